"""Named tokens in, the places on the plate that they mention out.

A word such as "right" or "left" counts only where its neighbours make it a place, unless its language has it for
nothing else (``<surely>``). This file must never know a finding.
"""

from dataclasses import dataclass, replace

from core.intake.patterns import Names
from core.knowledge import Knowledge

AMBIGUOUS = ""
"""Where of a place that was named but cannot be told, such as "one side"."""

ACROSS, ALONG = ("<left>", "<right>"), ("<front>", "<back>")
_PHRASES = (
    ("<everywhere>", "everywhere"),
    ("<scattered>", "scattered"),
    ("<rim>", "edges"),
    ("<at_front>", "front"),
    ("<at_back>", "back"),
    ("<some_place>", AMBIGUOUS),
)
_GOOD_WITHIN = 4


@dataclass(frozen=True, slots=True)
class Mention:
    """A place that was named.

    Attributes:
        start: First token, with its preposition.
        end: One past the last.
        where: Place id, or ``AMBIGUOUS``.
        fine: Whether it was said that all is well there.
        settled: Whether words that follow it can no longer change that.
    """

    start: int
    end: int
    where: str
    fine: bool = False
    settled: bool = False


def find_places(names: Names, knowledge: Knowledge) -> tuple[Mention, ...]:
    """Return the places named, in order, each with whether all is well there."""
    mentions: list[Mention] = []
    at = 0
    while at < len(names):
        if "<not_place>" in names[at]:
            at += names[at]["<not_place>"]
            continue
        mention = _mention_at(at, names, mentions[-1].end if mentions else 0)
        if mention is None:
            at += 1
            continue
        if mention.where == "everywhere":
            mention = _with_exception(mention, names, knowledge)
        elif _is_on_a_model(mention.end, names):
            mention = replace(mention, where=AMBIGUOUS)
        at = mention.end
        # "Thinner at the back than at the front": the front is only what it is compared with.
        if not _has(mention.start - 1, names, "<than>"):
            mentions.append(mention)
    return tuple(mention if mention.settled else _judged(mention, names) for mention in mentions)


def opposite(where: str, knowledge: Knowledge) -> str:
    """Return the rest of the plate: the other side, the rim for the centre; ``AMBIGUOUS`` where it is no one place."""
    place = knowledge.places.get(where)
    if place is None:
        return AMBIGUOUS
    swapped = {"edges": "centre", "centre": "edges"}.get(place.kind)
    if swapped:
        return swapped
    if (place.x == 0) == (place.y == 0):
        return AMBIGUOUS
    return next(
        name for name, other in knowledge.places.items() if (other.x, other.y) == (-place.x, -place.y) != (0, 0)
    )


def _mention_at(at: int, names: Names, free: int) -> Mention | None:
    for name, where in _PHRASES:
        if name in names[at]:
            return Mention(_reach_back(at, names, free), at + names[at][name], where)
    if "<middle>" in names[at]:
        end = at + names[at]["<middle>"]
        said = _has(at, names, "<surely>") or _leads(at, names)
        if said or _has(end, names, "<side>") or _has(end, names, "<be>"):
            return Mention(_reach_back(at, names, free), _past_side(end, names), "centre")
        return None
    return _side_at(at, names, free)


def _is_on_a_model(end: int, names: Names) -> bool:
    """Say whether "of the torso" follows, which tells where on a model and not where on the plate."""
    if not _has(end, names, "<of>"):
        return False
    at = end + 1
    while _has(at, names, "<the>") or _has(at, names, "<light>"):
        if _has(at, names, "<laid_out>"):
            return False
        at += 1
    return at < len(names) and not _has(at, names, "<laid_out>")


def _side_at(at: int, names: Names, free: int) -> Mention | None:
    first = _side(at, names)
    if not first:
        return None
    end = at + 1
    second_at = end
    while _has(second_at, names, "-") or _has(second_at, names, "<side>"):
        second_at += 1
    second = _side(second_at, names)
    if second and (first in ACROSS) != (second in ACROSS):
        across, along = (first, second) if first in ACROSS else (second, first)
        where = f"{along}_{across}".replace("<", "").replace(">", "")
        return Mention(_reach_back(at, names, free), _past_side(second_at + 1, names), where)
    if not _reads_as_place(at, end, names):
        return None
    where = AMBIGUOUS if _has(at - 1, names, "<updown>") else first.strip("<>")
    return Mention(_reach_back(at, names, free), _past_side(end, names), where)


def _reads_as_place(at: int, end: int, names: Names) -> bool:
    if _has(end, names, "<body>") or _has(at - 1, names, "<pronoun>"):
        return False
    if _has(at, names, "<surely>") or _has(at - 1, names, "<updown>") or _has(end, names, "<side>"):
        return True
    paired = (_has(at - 1, names, "<join>") and _side(at - 2, names)) or (
        _has(end, names, "<join>") and _side(end + 1, names)
    )
    closed = end >= len(names) or any(
        _has(end, names, name)
        for name in ("<stop>", "<soft>", "<turn>", "<be>", "<join>", "<light>", "<side>", "<good>")
    )
    beside_noun = _has(end, names, "<printed>") or (_has(at - 1, names, "<printed>") and closed)
    begins = at == 0 or any(
        _has(at - 1, names, name) for name in ("<stop>", "<soft>", "<turn>", "<join>", "<definite>")
    )
    names_itself = begins and (_has(end, names, ":") or _has(end, names, "<be>"))
    return bool(paired or beside_noun or names_itself or (_leads(at, names) and not _has(end, names, "<not_after>")))


def _leads(at: int, names: Names) -> bool:
    """Say whether "on", or "on the", stands before."""
    before = at - 1
    if _has(before, names, "<the>"):
        before -= 1
    return _has(before, names, "<at>")


def _with_exception(mention: Mention, names: Names, knowledge: Knowledge) -> Mention:
    at = mention.end
    if not _has(at, names, "<except>"):
        return mention
    at += names[at]["<except>"]
    while _has(at, names, "<the>") or _has(at, names, "<at>"):
        at += 1
    if at >= len(names):
        return mention
    left_out = (
        Mention(at, _past_side(at + 1, names), "centre")
        if "<middle>" in names[at]
        else _mention_at(at, names, at) or _bare(at, names)
    )
    if left_out is None:
        return mention
    return Mention(mention.start, left_out.end, opposite(left_out.where, knowledge), settled=True)


def _bare(at: int, names: Names) -> Mention | None:
    side = _side(at, names)
    return Mention(at, at + 1, side.strip("<>")) if side else None


def _judged(mention: Mention, names: Names) -> Mention:
    """Return the mention, fine where "is fine" follows it or "fine" stands before it."""
    end = mention.end
    for index in range(mention.end, min(mention.end + _GOOD_WITHIN + 1, len(names))):
        if "<good>" in names[index]:
            return Mention(mention.start, index + names[index]["<good>"], mention.where, fine=True)
        if not any(name in names[index] for name in ("<be>", "<light>", "<printed>")) and ":" not in names[index]:
            break
        if "<negator>" in names[index]:
            break
        end = index
    before = mention.start - 1
    if end >= mention.end - 1 and _has(before, names, "<good>") and not _has(before - 1, names, "<negator>"):
        return Mention(before, mention.end, mention.where, fine=True)
    return mention


def _side(at: int, names: Names) -> str:
    if not 0 <= at < len(names):
        return ""
    return next((side for side in (*ACROSS, *ALONG) if side in names[at]), "")


def _has(at: int, names: Names, name: str) -> bool:
    return 0 <= at < len(names) and name in names[at]


def _past_side(end: int, names: Names) -> int:
    while end < len(names) and "<side>" in names[end]:
        end += names[end]["<side>"]
    return end


def _reach_back(at: int, names: Names, free: int) -> int:
    start = at
    while start > free and any(_has(start - 1, names, name) for name in ("<the>", "<at>", "<updown>")):
        start -= 1
    return start
