"""Schematic drawings of the findings, as PNG with alt text: one large, or six to a sheet.

All are our own, out of scale, drawn from what a finding is by definition; colour only repeats what outline, hatching
and words say.
"""

from core.pictures.finding_sketches.finding_drawing import draw_finding, draw_findings, group_findings
from core.pictures.finding_sketches.registry import SKETCHES

__all__ = ["SKETCHES", "draw_finding", "draw_findings", "group_findings"]
