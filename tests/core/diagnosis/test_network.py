"""Compiling a network: what is laid out, and what is refused."""

import numpy as np
import pytest

from core.diagnosis.network import build_network
from core.errors import UnusableKnowledge


def test_chances_stand_where_their_names_say():
    network = build_network({"a": 0.1, "b": 0.2}, {"x": (0.01, {"b": 0.5}), "y": (0.02, {})})
    assert network.causes == ("a", "b")
    assert network.events == ("x", "y")
    assert network.prior.tolist() == [0.1, 0.2]
    assert network.leak.tolist() == [0.01, 0.02]
    assert network.link.tolist() == [[0.0, 0.5], [0.0, 0.0]]
    assert (network.cause_at["b"], network.event_at["y"]) == (1, 1)


def test_a_network_cannot_be_changed():
    """One compiled network serves every report."""
    network = build_network({"a": 0.1}, {"x": (0.01, {"a": 0.5})})
    for array in (network.prior, network.leak, network.link):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0.9


@pytest.mark.parametrize("chance", [-0.1, 1.0, 1.5, np.nan, np.inf])
@pytest.mark.parametrize("at", ["causes.a.prior", "events.x.leak", "events.x.links.a"])
def test_what_is_no_chance_is_refused_by_name(at, chance):
    """A certain link or cause would leave nothing to weigh: chances lie in [0, 1)."""
    values = dict.fromkeys(["causes.a.prior", "events.x.leak", "events.x.links.a"], 0.5) | {at: chance}
    with pytest.raises(UnusableKnowledge) as raised:
        build_network(
            {"a": values["causes.a.prior"]}, {"x": (values["events.x.leak"], {"a": values["events.x.links.a"]})}
        )
    assert [(fault.field, fault.code) for fault in raised.value.faults] == [(at, "network_probability")]


def test_every_fault_is_named_at_once():
    with pytest.raises(UnusableKnowledge) as raised:
        build_network({"a": 2.0}, {"x": (0.01, {"b": 0.5, "a": -1.0})})
    assert {(fault.field, fault.code) for fault in raised.value.faults} == {
        ("causes.a.prior", "network_probability"),
        ("events.x.links", "network_cause"),
        ("events.x.links.a", "network_probability"),
    }


def test_changed_links_leave_the_rest_and_the_original_alone():
    network = build_network({"a": 0.1, "b": 0.2}, {"x": (0.01, {"a": 0.5, "b": 0.4}), "y": (0.02, {"a": 0.3})})
    changed = network.with_links({"x": {"b": 0.25}})
    assert changed.link.tolist() == [[0.5, 0.25], [0.3, 0.0]]
    assert network.link.tolist() == [[0.5, 0.4], [0.3, 0.0]]


@pytest.mark.parametrize("chance", [-0.1, 1.0, float("nan")])
def test_a_changed_link_is_a_chance(chance):
    with pytest.raises(ValueError, match="chance"):
        build_network({"a": 0.1}, {"x": (0.01, {"a": 0.5})}).with_links({"x": {"a": chance}})
