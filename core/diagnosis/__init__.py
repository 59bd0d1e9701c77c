"""Evidence in, posterior causes, their reasons and the next check out. Knows nothing of remedies or front ends."""

from core.diagnosis.diagnose import diagnose, geometry_known_good
from core.diagnosis.explain import ask_in_words, explain_in_words, explain_next
from core.diagnosis.model import (
    CauseSet,
    Diagnosis,
    EvidenceItem,
    NextCheck,
    Question,
    RankedCause,
    Shift,
    Status,
)

__all__ = [
    "CauseSet",
    "Diagnosis",
    "EvidenceItem",
    "NextCheck",
    "Question",
    "RankedCause",
    "Shift",
    "Status",
    "ask_in_words",
    "diagnose",
    "explain_in_words",
    "explain_next",
    "geometry_known_good",
]
