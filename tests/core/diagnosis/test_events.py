"""The network compiled from the knowledge: the same however it is put together, and worked out once."""

from dataclasses import replace

import numpy as np
import pytest

from core.diagnosis.events import compile_network, describe_events
from core.diagnosis.network import build_network
from core.diagnosis.once import once_per_knowledge
from core.diagnosis.priors import starting_odds


@pytest.mark.parametrize(
    "readings", [None, (1.22, 0.78, 1.24, 0.76, 1.0), (1.0, 1.0, 1.0, 1.0, 1.2), (1.4, 1, 1, 1, 1)]
)
def test_the_compiled_network_is_the_one_described(readings, tell, gauge, knowledge):
    geometry = gauge(tell(readings=readings and tuple(map(float, readings))))
    compiled = compile_network(geometry, knowledge)
    built = build_network(starting_odds(knowledge), describe_events(geometry, knowledge))
    assert (compiled.causes, compiled.events) == (built.causes, built.events)
    for part in ("prior", "leak", "link"):
        assert np.array_equal(getattr(compiled, part), getattr(built, part))
    assert not compiled.link.flags.writeable


def test_one_report_s_geometry_leaves_the_next_one_alone(tell, gauge, knowledge):
    before = compile_network(None, knowledge).link.copy()
    compile_network(gauge(tell(readings=(1.22, 0.78, 1.24, 0.76, 1.0))), knowledge)
    assert np.array_equal(compile_network(None, knowledge).link, before)


def test_a_copy_with_one_number_changed_is_compiled_anew(knowledge):
    """It has the version of the original."""
    tilt = knowledge.causes["tilt"].model_copy(update={"prior": 0.5})
    changed = replace(knowledge, causes={**knowledge.causes, "tilt": tilt})
    assert changed.version == knowledge.version
    assert compile_network(None, changed).prior[0] == 0.5
    assert compile_network(None, knowledge).prior[0] == knowledge.causes["tilt"].prior


def test_an_answer_is_worked_out_once_for_each_argument(knowledge):
    asked = []

    @once_per_knowledge
    def count(known, number):
        asked.append(number)
        return len(known.causes) + number

    assert [count(knowledge, number) for number in (1, 2, 1, 2)] == [len(knowledge.causes) + n for n in (1, 2, 1, 2)]
    assert asked == [1, 2]
