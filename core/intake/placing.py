"""Claims and places in, claims with their places out.

A place belongs to the claim beside it in the same stretch of words; a place at the head of a sentence goes for all that
follows; one that comes after, by itself, goes for what was said last. What stays unclear is asked. This file must never
know a word of any language.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from core.intake.claims import Claim
from core.intake.clauses import Outline, Span
from core.intake.patterns import Names
from core.intake.plate_places import ACROSS, ALONG, AMBIGUOUS, Mention, opposite
from core.knowledge import Knowledge

UNKNOWN = "unknown"
WORDS_BETWEEN_SIDES = 6
"""Words in which the second side must follow an "and" that joins two of them."""
LEAST_TELLING = ("edges", "everywhere", AMBIGUOUS)
_PLAIN = ("<light>", "<the>", "<at>", "<side>", "<be>")


@dataclass(frozen=True, slots=True)
class Placed:
    """A claim at a place.

    Attributes:
        where: Place id or ``unknown``.
        mention: The words of the place, where it has any.
        reason: Why the place must be asked about, or nothing.
    """

    claim: Claim
    where: str
    mention: Mention | None = None
    reason: str = ""


def place_claims(
    claims: Sequence[Claim], mentions: Sequence[Mention], names: Names, outline: Outline, knowledge: Knowledge
) -> tuple[Placed, ...]:
    """Return each claim once for each of its places, or once without."""
    seen = [claim for claim in claims if claim.about in knowledge.findings]
    bad = [mention for mention in mentions if not mention.fine]
    segments = _segments(seen, names)
    own = _own(seen, bad, segments, outline)
    mirrored = any("<mirror>" in name for name in names)
    placed: list[Placed] = []
    for number, claim in enumerate(seen):
        if not knowledge.findings[claim.about].placed:
            placed.append(Placed(claim, UNKNOWN))
            continue
        found = own[number]
        if all(mention.where == AMBIGUOUS for mention in found):
            found = _from_nearby(number, seen, bad, segments, names, outline) or found
        telling = [mention for mention in found if mention.where not in LEAST_TELLING] or found[:1]
        if telling:
            placed.extend(
                _settled(Placed(claim, mention.where, mention), mentions, outline, knowledge, mirrored=mirrored)
                for mention in telling
            )
        else:
            placed.append(
                _settled(Placed(claim, claim.where or UNKNOWN), mentions, outline, knowledge, mirrored=mirrored)
            )
    return tuple(placed)


def _settled(
    placed: Placed, mentions: Sequence[Mention], outline: Outline, knowledge: Knowledge, *, mirrored: bool
) -> Placed:
    claim, where = placed.claim, placed.where
    fine = [mention for mention in mentions if mention.fine]
    if where == AMBIGUOUS:
        return Placed(claim, UNKNOWN, placed.mention, "place")
    if where == "everywhere":
        here = [one for one in fine if outline.sentence_of[one.start] == outline.sentence_of[claim.start]]
        if here:
            where = opposite(here[0].where, knowledge) if len(here) == 1 else AMBIGUOUS
            if where == AMBIGUOUS:
                return Placed(claim, UNKNOWN, placed.mention, "place")
    if where == UNKNOWN and fine and claim.kind == "seen":
        return Placed(claim, UNKNOWN, None, "place")
    place = knowledge.places.get(where)
    if mirrored and place is not None and place.x:
        return Placed(claim, UNKNOWN, placed.mention, "mirror")
    return Placed(claim, where, placed.mention)


def _segments(claims: Sequence[Claim], names: Names) -> tuple[int, ...]:
    """Number the stretches of words: they end at marks, at turns, and at "and" unless that joins two sides."""
    inside = {index for claim in claims for index in range(claim.start + 1, claim.end)}
    segments: list[int] = []
    current = 0
    for index, name in enumerate(names):
        ends = any(end in name for end in ("<stop>", "<soft>", "<turn>"))
        joins = "<join>" in name and index not in inside and not _joins_sides(index, names)
        current += ends or joins
        segments.append(current)
    return tuple(segments)


def _joins_sides(at: int, names: Names) -> bool:
    sides = (*ACROSS, *ALONG)
    if not at or not any(side in names[at - 1] for side in sides):
        return False
    # "Tight left and loose right" says two things; "on the left and also on the right" one.
    for name in names[at + 1 : at + 1 + WORDS_BETWEEN_SIDES]:
        if any(side in name for side in sides):
            return True
        if not any(plain in name for plain in _PLAIN):
            return False
    return False


def _own(
    claims: Sequence[Claim], mentions: Sequence[Mention], segments: Sequence[int], outline: Outline
) -> list[list[Mention]]:
    """Return for each claim the places that stand in the same stretch of words and nearest to it."""
    own: list[list[Mention]] = [[] for _ in claims]
    for mention in mentions:
        here = segments[mention.start]
        near = [
            (segments[claim.end - 1] != here, _distance(claim, mention), claim.start > mention.start, number)
            for number, claim in enumerate(claims)
            if segments[claim.start] <= here <= segments[claim.end - 1]
            and outline.sentence_of[claim.start] == outline.sentence_of[mention.start]
        ]
        if near:
            # What ends in this stretch comes before what only passes through: "thick on the left, thin on the right".
            closest = min(near)
            for *rank, _, number in near:
                # Two claims over the same words, such as "thin and shiny rafts on the left", share their place.
                shared = rank == list(closest[:2]) and claims[number].start <= claims[closest[3]].end
                if shared or claims[number].about == claims[closest[3]].about:
                    own[number].append(mention)
    return own


def _distance(claim: Claim, mention: Mention) -> int:
    return max(0, mention.start - claim.end + 1, claim.start - mention.end + 1)


def _from_nearby(
    number: int,
    claims: Sequence[Claim],
    mentions: Sequence[Mention],
    segments: Sequence[int],
    names: Names,
    outline: Outline,
) -> list[Mention]:
    claim = claims[number]
    sentence = outline.sentences[outline.sentence_of[claim.start]]
    mentions = [one for one in mentions if one.where != AMBIGUOUS]
    before = [one for one in mentions if sentence[0] <= one.start and one.end <= claim.start]
    if before:
        refers_back = any("<there>" in names[index] for index in range(claim.start, min(claim.end + 2, sentence[1])))
        opening = range(sentence[0], before[-1].start)
        first = len(opening) <= 1 and not any("<subject>" in names[index] for index in opening)
        heads = first or _stands_alone(before[-1], segments, names, sentence)
        turned = any("<turn>" in names[index] for index in range(before[-1].end, claim.start))
        if refers_back or (heads and not turned):
            return [before[-1]]
    last_here = (
        number + 1 == len(claims) or outline.sentence_of[claims[number + 1].start] != outline.sentence_of[claim.start]
    )
    if not last_here:
        return []
    limit = claims[number + 1].start if number + 1 < len(claims) else len(names)
    for mention in mentions:
        if not claim.end <= mention.start < limit:
            continue
        home = outline.sentences[outline.sentence_of[mention.start]]
        further = outline.sentence_of[mention.start] - outline.sentence_of[claim.start]
        if (
            further <= 1
            and _stands_alone(mention, segments, names, home)
            and (not further or _is_all(mention, names, home))
        ):
            return [mention]
    return []


def _stands_alone(mention: Mention, segments: Sequence[int], names: Names, sentence: Span) -> bool:
    """Say whether its stretch of words holds nothing but the place."""
    here = [index for index in range(*sentence) if segments[index] == segments[mention.start]]
    return _is_all(mention, names, (here[0], here[-1] + 1))


def _is_all(mention: Mention, names: Names, span: Span) -> bool:
    return all(
        mention.start <= index < mention.end
        or any(name in names[index] for name in (*_PLAIN, "<soft>", "<turn>", "<join>", "<opener>"))
        for index in range(*span)
    )
