"""Invented reports with the answer a good helper would give, read from ``tests/cases/trade_cases.toml``.

The cases are written from the trade, not from the program.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path

from core.report import POSITIONS, Report

CASES = tomllib.loads((Path(__file__).parent / "cases" / "trade_cases.toml").read_text("utf-8"))["case"]
NAMED = [case for case in CASES if "first" in case]
PARTS = ("settings", "raft", "machine", "resin")
GIVEN = {"lost": None, "none": ()}


def report_of(case) -> Report:
    """Build the Report of one case: ``id@place`` findings, five values, parts as they stand."""
    fields = {
        "findings": [dict(zip(("id", "where"), finding.split("@"), strict=False)) for finding in case["findings"]],
        "absent": list(case.get("absent", ())),
        **{part: case[part] for part in PARTS if part in case},
    }
    if "readings" in case:
        values = [GIVEN.get(value, value) for value in case["readings"]]
        fields["readings"] = {
            place.value: [value] if isinstance(value, float) else value
            for place, value in zip(POSITIONS, values, strict=True)
        }
    return Report.model_validate(fields)


@dataclass(frozen=True)
class Score:
    """How one triage compares with the helper's answer; ``None`` where the case does not say."""

    name: str
    first: bool | None
    in_three: bool | None
    first_step: bool | None
    harmful: bool


def score(case, judged, knowledge) -> Score:
    """Compare one triage with its case.

    The first step is right when it measures where the helper would measure first, and elsewhere acts on one of the
    causes that may lead. Advice is harmful when it raises exposure while the raw readings are missing or outside the
    trade's bands (0.20 mm between corners, 0.20 mm of offset; common practice), or turns screws on a plate that was
    not measured.
    """
    leading = [cause.id for cause in judged.verdict.causes[:3]]
    steps = [step.id for step in judged.verdict.steps]
    first = in_three = first_step = None
    if "first" in case:
        first = leading[0] in case["first"]
        in_three = set(case.get("among", ())) <= set(leading) and not set(case["first"]).isdisjoint(leading)
    if "measure_first" in case:
        if case["measure_first"]:
            first_step = steps[:1] == ["measure_coupons"]
        elif "first" in case:
            first_step = bool(steps) and bool(set(knowledge.remedies[steps[0]].causes) & set(case["first"]))
            first_step = first_step and steps[0] != "measure_coupons"
    raised = any(knowledge.remedies[step].raises_exposure for step in steps)
    turned = "level_plate" in steps and "readings" not in case
    return Score(case["name"], first, in_three, first_step, (raised and not _plainly_good(case)) or turned)


def _plainly_good(case) -> bool:
    values = case.get("readings", ())
    if len(values) != 5 or not all(isinstance(value, float) for value in values):
        return False
    corners = values[:4]
    return max(corners) - min(corners) <= 0.20 and abs(sum(corners) / 4 - 1.0) <= 0.20
