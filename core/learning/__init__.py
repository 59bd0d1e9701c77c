"""Confirmed outcomes in, learned knowledge out, and whether it has earned its use. Knows no store and no clock."""

from core.learning.lessons import Lesson
from core.learning.teach import Taught, Trial, learn, teach, try_out

__all__ = ["Lesson", "Taught", "Trial", "learn", "teach", "try_out"]
