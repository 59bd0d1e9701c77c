"""What one closed case teaches, and many of them as tables of numbers.

In: ``Lesson`` values in any order, Knowledge. Out: arrays in an order that depends on the lessons alone. This file must
never know how anything is learned.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from core.knowledge import Knowledge

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """One case whose causes somebody confirmed.

    Who confirmed it, and how several opinions were settled, is decided before; a case is one lesson however many
    helpers confirmed it.

    Attributes:
        at: When it was confirmed.
        community: Whose case.
        causes: All causes that held; empty where none is known, which teaches nothing.
        seen, absent: Findings that were seen, and looked for in vain, when help was asked for. What is in neither was
            not told.
        ratios: What readings and settings said, cause to log likelihood ratio; used to judge a prediction, not to
            learn.
    """

    at: datetime
    community: str
    causes: frozenset[str]
    seen: frozenset[str]
    absent: frozenset[str] = frozenset()
    ratios: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Lessons:
    """Usable lessons, oldest first, as arrays; L lessons, G distinct sets of causes, F findings, C causes.

    Attributes:
        community: Of each lesson, L names.
        group: Row of each lesson in ``sets``, shape (L,).
        sets: Which causes held, shape (G, C), 0 or 1.
        seen, absent: What was told, shape (L, F).
        ratios: Log likelihood ratios, shape (L, C).
        left_out: Communities of the lessons without a known cause, or with one that the knowledge does not have.
    """

    community: tuple[str, ...]
    group: NDArray[np.intp]
    sets: Floats
    seen: NDArray[np.bool_]
    absent: NDArray[np.bool_]
    ratios: Floats
    left_out: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.community)


def tabulate(lessons: Iterable[Lesson], knowledge: Knowledge) -> Lessons:
    """Sort lessons by time, those of one time by their contents, and turn them into arrays.

    Findings that the knowledge does not have are dropped; a finding both seen and absent was seen, as in triage.
    """
    everything = sorted(lessons, key=_order)
    usable = [bool(one.causes) and one.causes <= knowledge.causes.keys() for one in everything]
    kept = list(compress(everything, usable))
    sets = sorted({tuple(sorted(one.causes)) for one in kept})
    at = {held: row for row, held in enumerate(sets)}
    return Lessons(
        community=tuple(one.community for one in kept),
        group=np.array([at[tuple(sorted(one.causes))] for one in kept], dtype=np.intp),
        sets=_marks(sets, tuple(knowledge.causes)).astype(np.float64),
        seen=_marks([one.seen for one in kept], tuple(knowledge.findings)),
        absent=_marks([one.absent - one.seen for one in kept], tuple(knowledge.findings)),
        ratios=np.array(
            [[one.ratios.get(cause, 0.0) for cause in knowledge.causes] for one in kept], dtype=np.float64
        ).reshape(len(kept), len(knowledge.causes)),
        left_out=tuple(one.community for one, fits in zip(everything, usable, strict=True) if not fits),
    )


def _order(lesson: Lesson) -> tuple[object, ...]:
    told = (sorted(lesson.causes), sorted(lesson.seen), sorted(lesson.absent), sorted(lesson.ratios.items()))
    return (lesson.at, lesson.community, *told)


def _marks(rows: Sequence[Iterable[str]], names: Sequence[str]) -> NDArray[np.bool_]:
    at = {name: column for column, name in enumerate(names)}
    marks = np.zeros((len(rows), len(names)), dtype=np.bool_)
    for row, held in enumerate(rows):
        marks[row, [at[name] for name in held if name in at]] = True
    return marks


# ---- what was counted -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Counts:
    """How often each set of causes was confirmed, and with it each finding seen or absent: all that learning needs.

    Attributes:
        sets: Which causes held, shape (G, C).
        cases: Shape (G,).
        seen, absent: Shape (G, F).
    """

    sets: Floats
    cases: Floats
    seen: Floats
    absent: Floats


def count_lessons(lessons: Lessons, which: NDArray[np.bool_]) -> Counts:
    """Count the lessons that ``which``, shape (L,), marks."""
    groups, findings = len(lessons.sets), lessons.seen.shape[1]
    rows = lessons.group[which]
    seen, absent = np.zeros((groups, findings)), np.zeros((groups, findings))
    np.add.at(seen, rows, lessons.seen[which])
    np.add.at(absent, rows, lessons.absent[which])
    return Counts(lessons.sets, np.bincount(rows, minlength=groups).astype(np.float64), seen, absent)
