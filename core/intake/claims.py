"""Named tokens and their outline in, claims out: what the text says of findings and settings, taken or doubtful.

This file must never know where on the plate a claim belongs, nor a word of any language.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from core.intake.clauses import Outline
from core.intake.patterns import Match, Names, match_at
from core.intake.sentence_lexicon import Kind, Rule, SentenceLexicon, Value
from core.intake.tokens import Token

NEGATOR_REACH = 4
"""How many unimportant words a "no" reaches over: "no sign of any cracks"."""
DENIAL_REACH = 2
"""How many words that are not understood a "no" may stand before and still throw doubt on what follows."""
SLIPS_ASKED = 2
"""Typing errors in one word from which it is asked about."""
BLOCK, BLOCKS_REACHED = 20, 3
"""Tokens looked at together, and how many such blocks the longest pattern may span."""
PREFERENCE: tuple[Kind, ...] = ("absent", "seen", "setting", "ask")


@dataclass(frozen=True, slots=True)
class Claim:
    """One thing said.

    Attributes:
        about: Finding id or dotted path of a setting.
        kind: ``ask`` where it must be asked about.
        start: First token.
        end: One past the last.
        words: The tokens that say it.
        reason: Why it must be asked, for ``ask``.
        where: Place that lies in the words themselves.
        value: Of a setting.
    """

    about: str
    kind: Kind
    start: int
    end: int
    words: frozenset[int]
    reason: str = ""
    where: str = ""
    value: Value | None = None

    @property
    def value_is_given(self) -> bool:
        """Whether it is about a setting."""
        return self.value is not None


def hear_claims(tokens: Sequence[Token], names: Names, outline: Outline, lexicon: SentenceLexicon) -> tuple[Claim, ...]:
    """Return everything said that may be taken or asked about, in order; what is void is left out."""
    heard = [
        claim
        for rule, match in _matches(tokens, names, outline, lexicon)
        for claim in _claims(rule, match, tokens, names, outline)
    ]
    findings = [claim for claim in heard if not claim.value_is_given]
    return tuple(sorted((*_largest(findings), *_disjoint(heard)), key=lambda claim: (claim.start, claim.end)))


def _matches(
    tokens: Sequence[Token], names: Names, outline: Outline, lexicon: SentenceLexicon
) -> Iterator[tuple[Rule, Match]]:
    for first, last in outline.sentences:
        for block in range(first, last, BLOCK):
            # No pattern reaches past a sentence, nor past the blocks that follow: most rules need not be tried at all.
            there = frozenset[str]().union(*names[block : min(block + BLOCKS_REACHED * BLOCK, last)])
            rules = _possible(there, lexicon)
            for at in range(block, min(block + BLOCK, last)):
                if outline.void[at]:
                    continue
                for name in names[at]:
                    for rule in rules.get(name, ()):
                        match = match_at(rule.pattern, at, tokens, names, lexicon.units)
                        if match is not None:
                            yield rule, match


def _possible(there: frozenset[str], lexicon: SentenceLexicon) -> Mapping[str, Sequence[Rule]]:
    return {
        name: [rule for rule in lexicon.rules[name] if not any(there.isdisjoint(wanted) for wanted in rule.needs)]
        for name in there & lexicon.rules.keys()
    }


def _claims(rule: Rule, match: Match, tokens: Sequence[Token], names: Names, outline: Outline) -> Iterator[Claim]:
    words = frozenset(range(match.start, match.end)) - frozenset(match.gaps)
    if any(outline.void[index] for index in words):
        return
    negator = _negator(match, names)
    meant = _meaning(rule, denied=negator is not None)
    if meant is None:
        return
    kind, value, reason = meant
    doubt = _doubt(words, negator, tokens, names, outline) or reason
    start, end = match.start, match.end
    if negator is not None:
        start, end = min(start, negator), max(end, negator + 1)
    if rule.kind != "setting":
        told: tuple[tuple[str, Value | None], ...] = ((rule.about, None),)
    elif value is None:
        told = match.numbers
    else:
        told = ((rule.about, value), *match.numbers)
    for about, one in told:
        yield Claim(about, "ask" if doubt else kind, start, end, words, doubt, rule.where, one)


def _meaning(rule: Rule, *, denied: bool) -> tuple[Kind, Value | None, str] | None:
    """Return what a rule says, plainly or denied, and why that must be asked; nothing where it says nothing."""
    if not denied:
        return rule.kind, rule.value, "ambiguous" if rule.kind == "ask" else ""
    if rule.kind == "seen":
        return "absent", None, ""
    if rule.kind == "absent":
        return "absent", None, "ambiguous"
    if rule.denied is not None:
        return rule.kind, rule.denied, ""
    return None


def _doubt(words: frozenset[int], negator: int | None, tokens: Sequence[Token], names: Names, outline: Outline) -> str:
    said = next((outline.doubt[index] for index in sorted(words) if outline.doubt[index]), "")
    if said:
        return said
    if any(tokens[index].slips >= SLIPS_ASKED for index in words):
        return "typo"
    # "Not too shiny" is neither shiny nor not.
    if negator is not None:
        return "hedged" if negator + 1 < len(names) and "<degree>" in names[negator + 1] else ""
    return "ambiguous" if _denied_from_afar(min(words), names) else ""


def _denied_from_afar(start: int, names: Names) -> bool:
    """Say whether a "no" stands before words that were not understood: what it denies is then a guess."""
    for index in range(start - 1, max(start - 2 - DENIAL_REACH, -1), -1):
        if any(end in names[index] for end in ("<stop>", "<soft>", "<turn>", "<join>")):
            return False
        if _negates(index, names):
            return True
    return False


def _negator(match: Match, names: Names) -> int | None:
    """Return the token that negates a match: one in its gaps after the last comma, one just before or just behind it.

    Only some languages put a "not" behind what it denies: ``<negator_after>``.
    """
    for index in reversed(match.gaps):
        if "<soft>" in names[index]:
            break
        if _negates(index, names):
            return index
    if match.start and "<negator>" in names[match.start - 1]:
        # "No supports torn": right before what it denies, a "no" is one, whatever else "no supports" may begin.
        return match.start - 1
    for index in range(match.start - 1, max(match.start - 2 - NEGATOR_REACH, -1), -1):
        if _negates(index, names):
            return index
        if "<light>" not in names[index]:
            break
    if match.end < len(names) and "<negator_after>" in names[match.end]:
        last = match.end + names[match.end]["<negator_after>"] - 1
        return last if _negates(last, names) else None
    return None


def _negates(at: int, names: Names) -> bool:
    if "<negator>" not in names[at]:
        return False
    return not any(
        names[start].get("<not_negator>", 0) > at - start for start in range(max(0, at - NEGATOR_REACH), at + 1)
    )


def _largest(claims: Sequence[Claim]) -> Iterator[Claim]:
    """Yield claims about findings whose words are not all part of a claim that says more."""
    kept: list[Claim] = []
    for claim in sorted(claims, key=lambda one: (-len(one.words), PREFERENCE.index(one.kind), one.end - one.start)):
        covered = any(
            claim.words <= other.words and (claim.about == other.about or claim.words < other.words) for other in kept
        )
        if not covered:
            kept.append(claim)
    told = [one for one in kept if one.kind != "ask"]
    for claim in kept:
        # What was said plainly with some of the same words is not asked about again.
        if claim.kind != "ask" or not any(one.about == claim.about and one.words & claim.words for one in told):
            yield claim


def _disjoint(claims: Iterable[Claim]) -> Iterator[Claim]:
    """Yield claims about settings so that no word serves two of them; those that say most come first."""
    taken: dict[int, frozenset[int]] = {}
    settings = [claim for claim in claims if claim.value_is_given]
    for claim in sorted(settings, key=lambda one: (-len(one.words), one.start, one.end)):
        if all(taken.get(index, claim.words) == claim.words for index in claim.words):
            taken |= dict.fromkeys(claim.words, claim.words)
            yield claim
