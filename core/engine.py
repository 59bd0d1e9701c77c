"""The whole way from a report to a verdict, as one pure function. Knows the order of the steps and nothing else."""

from dataclasses import dataclass

from core.diagnosis import Diagnosis, diagnose
from core.exposure import Exposure, expose
from core.geometry import Geometry, TooFew, measure
from core.knowledge import Knowledge
from core.plan import Plan, make_plan
from core.report import Report
from core.verdict import Verdict, give_verdict
from core.words import Words

SEED = 20_100
"""Seed of the Monte Carlo propagation: the same report always gets the same verdict."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Triage:
    """A verdict with everything it was made from."""

    report: Report
    geometry: Geometry | TooFew | None
    exposure: Exposure
    diagnosis: Diagnosis
    plan: Plan
    verdict: Verdict

    @property
    def known_geometry(self) -> Geometry | None:
        """The geometry, where enough coupons were measured to know it."""
        return self.geometry if isinstance(self.geometry, Geometry) else None


def triage(report: Report, knowledge: Knowledge, words: Words, *, seed: int = SEED) -> Triage:
    """Judge one report.

    Args:
        report: What the person told us.
        knowledge: What the service knows.
        words: Texts of the person's language.
        seed: Of the Monte Carlo propagation.
    """
    geometry = None
    if report.readings is not None and (any(report.readings.measured()) or report.readings.lost):
        geometry = measure(report.readings, knowledge, seed=seed)
    known = geometry if isinstance(geometry, Geometry) else None
    exposure = expose(report.settings, report.raft, report.machine, report.resin, known, knowledge)
    diagnosis = diagnose(report, geometry, knowledge)
    plan = make_plan(report, geometry, exposure, diagnosis, knowledge)
    verdict = give_verdict(report, geometry, exposure, diagnosis, plan, knowledge, words)
    return Triage(report=report, geometry=geometry, exposure=exposure, diagnosis=diagnosis, plan=plan, verdict=verdict)
