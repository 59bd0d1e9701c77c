"""A pure function of the knowledge in, the same function that works each answer out only once out.

This file must never know what is worked out.
"""

from collections.abc import Callable, Hashable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar, cast

from core.knowledge import Knowledge

P = ParamSpec("P")
T = TypeVar("T")

_KEPT = 64
"""Answers kept for each function; a program has one knowledge, tests a few."""


def once_per_knowledge(work_out: Callable[P, T]) -> Callable[P, T]:
    """Return the function with its latest answers remembered.

    Its arguments are given by place, and are knowledge or hashable; its answers must be read-only.
    """

    @lru_cache(maxsize=_KEPT)
    def remembered(*arguments: Hashable) -> T:
        given = (one.knowledge if isinstance(one, _This) else one for one in arguments)
        return cast("Callable[..., T]", work_out)(*given)

    @wraps(work_out)
    def once(*arguments: P.args, **_named: P.kwargs) -> T:
        return remembered(*(_This(one) if isinstance(one, Knowledge) else one for one in arguments))

    return once


class _This:
    """Knowledge that equals only itself.

    Its version will not do, since a copy with one number changed has the same; to compare contents costs as much as
    to work the answer out anew. The knowledge is held, so that no other can take its identity.
    """

    __slots__ = ("knowledge",)

    def __init__(self, knowledge: Knowledge) -> None:
        self.knowledge = knowledge

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _This) and other.knowledge is self.knowledge

    def __hash__(self) -> int:
        return id(self.knowledge)
