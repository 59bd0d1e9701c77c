"""A plate that was put right since the last print: what was seen on that print says nothing about the next one.

In: the report as it was and as it is with new readings. Out: the report to judge. Pure. The case's history keeps all of
it.
"""

from core.cases.lifecycle import is_correction
from core.geometry import Geometry, compare, measure
from core.knowledge import Knowledge
from core.report import Report

BETTER = "better"


def set_aside_seen(report: Report, earlier: Report | None, added: Report, knowledge: Knowledge) -> Report:
    """Return ``report`` without what was seen before the plate was put right, where new readings show that it was.

    Nothing is set aside for a coupon read again, nor where no change for the better is beyond what measuring explains.
    """
    if earlier is None or earlier.readings is None or added.readings is None or report.readings is None:
        return report
    if not (earlier.findings or earlier.absent) or is_correction(earlier.readings, report.readings):
        return report
    before, after = measure(earlier.readings, knowledge), measure(report.readings, knowledge)
    if not (isinstance(before, Geometry) and isinstance(after, Geometry)):
        return report
    changes = dict(compare(before, after).changes())
    if not any(changes[name].direction == BETTER for name in ("spread", "tilt", "offset", "crown")):
        return report
    return report.model_copy(update={"findings": added.findings, "absent": added.absent})
