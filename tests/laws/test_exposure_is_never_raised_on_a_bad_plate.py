"""The law of the plan: no increase of exposure while the geometry is bad or unmeasured.

Random reports go through the whole engine. Whether the geometry is good is judged here from the raw readings, by the
trade's own bands (common practice), not by the program's geometry.
"""

from hypothesis import given, settings
from hypothesis import strategies as st

from core.engine import triage
from core.knowledge import load_knowledge
from core.report import CORNERS, POSITIONS, Readings, Report, Resin, Seen, Settings
from core.words import load_words

KNOWLEDGE = load_knowledge()
WORDS = load_words("en")
PLACES = [*KNOWLEDGE.places, "unknown"]

thickness = st.floats(0.4, 1.8).map(lambda value: round(value, 2))
near = st.floats(0.9, 1.1).map(lambda value: round(value, 2))
coupon = st.one_of(st.tuples(thickness), st.tuples(near), st.tuples(near, near, near), st.just(()), st.none())
readings = st.one_of(
    st.none(),
    st.builds(Readings, **{position.value: st.tuples(near) for position in POSITIONS}),
    st.builds(Readings, **{position.value: coupon for position in POSITIONS}),
)


@st.composite
def reports(draw):
    names = draw(st.lists(st.sampled_from(list(KNOWLEDGE.findings)), max_size=5, unique=True))
    split = draw(st.integers(0, len(names)))
    seen = tuple(
        Seen(id=name, where=draw(st.sampled_from(PLACES)) if KNOWLEDGE.findings[name].placed else "unknown")
        for name in names[:split]
    )
    return Report(
        readings=draw(readings),
        findings=seen,
        absent=tuple(names[split:]),
        settings=draw(
            st.builds(
                Settings,
                layer_height_mm=st.sampled_from([None, 0.05]),
                burn_in_layers=st.one_of(st.none(), st.integers(1, 15)),
                burn_in_s=st.one_of(st.none(), st.floats(3, 90)),
                transition_layers=st.one_of(st.none(), st.integers(0, 15)),
                exposure_s=st.one_of(st.none(), st.floats(0.5, 8)),
                raised_exposure=st.sampled_from([None, True, False]),
            )
        ),
        resin=draw(st.sampled_from([Resin(), Resin(penetration_depth_mm=0.1, critical_time_s=1.2, temperature_c=14)])),
    )


def plainly_not_good(given_readings: Readings | None) -> bool:
    """Bad or unmeasured by the raw numbers: a value missing, corners over 0.20 mm apart, or 0.20 mm off on average."""
    if given_readings is None or given_readings.missing:
        return True
    means = {place: sum(values) / len(values) for place, values in given_readings.measured()}
    corners = [means[corner] - given_readings.nominal_mm for corner in CORNERS]
    return max(corners) - min(corners) > 0.20 or abs(sum(corners) / 4) > 0.20


@settings(max_examples=120, deadline=None)
@given(reports())
def test_no_step_raises_exposure_while_the_plate_is_bad_or_unmeasured(report):
    judged = triage(report, KNOWLEDGE, WORDS)
    raising = [step.id for step in judged.verdict.steps if KNOWLEDGE.remedies[step.id].raises_exposure]
    if plainly_not_good(report.readings):
        assert raising == []
        assert "longer_exposure" in {item.id for item in judged.verdict.avoid}


@settings(max_examples=60, deadline=None)
@given(reports())
def test_every_verdict_is_whole(report):
    """Probabilities are proper and sorted, steps are few and known, and touching anything brings cautions."""
    verdict = triage(report, KNOWLEDGE, WORDS).verdict
    probabilities = [cause.probability for cause in verdict.causes]
    assert probabilities == sorted(probabilities, reverse=True)
    assert all(0 <= probability <= 1 for probability in probabilities)
    assert {cause.id for cause in verdict.causes} == set(KNOWLEDGE.causes)
    assert len(verdict.steps) <= 4
    assert len({step.id for step in verdict.steps}) == len(verdict.steps)
    assert verdict.summary
    if any(KNOWLEDGE.remedies[step.id].cautions for step in verdict.steps):
        assert verdict.cautions


def test_a_sound_plate_and_a_short_burn_in_do_get_a_longer_burn_in():
    """The law withholds; it does not forbid: on a plate known to be good the increase is offered."""
    report = Report(
        readings=Readings(**{position.value: (1.0, 1.0, 1.0) for position in POSITIONS}),
        findings=(Seen(id="missing_parts", where="everywhere"), Seen(id="curled_edges", where="everywhere")),
        absent=("glossy_raft", "floating_scraps"),
        settings=Settings(burn_in_layers=2, burn_in_s=8, exposure_s=2.5, layer_height_mm=0.05),
    )
    steps = triage(report, KNOWLEDGE, WORDS).verdict.steps
    assert "lengthen_burn_in" in {step.id for step in steps}
