"""A text in, its words with their places in it out: spelling put right where only one word of the trade can be meant.

In: any text, a spelling table. Out: tokens whose ``start`` and ``end`` are positions in the text as it was given. This
file must never know what a word means, nor change a single character of the text.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from rapidfuzz.distance import OSA

SHORTEST_CORRECTED = 5
"""Letters below which a typing error could be too many other words."""
LONG_ENOUGH_FOR_TWO = 8
"""Letters from which two slips still leave one word recognisable; what rests on such a word is asked, not taken."""

WHOLE_DIGITS = 9
"""A number longer than this is no setting of a printer."""

_DOT_OR_COMMA = r"\d,\d{1,2}|\d{2,3},\d"
_COMMA = r"\d{1,3},\d{1,4}"
_TOKEN, _TOKEN_WITH_COMMA = (
    re.compile(
        rf"(?P<number>(?<!\d)(?:\d{{1,{WHOLE_DIGITS}}}\.\d{{1,4}}|{comma}|(?<![\w.,])\.\d{{1,4}}|\d{{1,{WHOLE_DIGITS}}})(?!\d))"
        r"|(?P<word>[^\W\d_](?:[^\W\d_]|[\u0300-\u036f])*(?:'[^\W\d_]+)*)"
        r"|(?P<hyphen>(?<=[^\W\d_])[-‐‑](?=[^\W\d_]))"
        r"|(?P<mark>\S|\n)"
    )
    for comma in (_DOT_OR_COMMA, _COMMA)
)
"""Where a language writes a decimal comma, any comma between digits is one; elsewhere only what cannot be a list."""
_QUOTES = str.maketrans({"\u2018": "'", "\u2019": "'", "\u02bc": "'", "\u00d7": "x", "\u00b5": "u", "\u03bc": "u"})


@dataclass(frozen=True, slots=True)
class Token:
    """One word, number or mark.

    Attributes:
        text: In comparable form: lower case, straight quotes, spelling put right.
        start: First character in the text as given.
        end: One past the last.
        number: Its value, where it is a number.
        slips: How many typing errors were put right.
    """

    text: str
    start: int
    end: int
    number: float | None = None
    slips: int = 0

    @property
    def is_word(self) -> bool:
        """Whether it is made of letters."""
        return self.number is None and self.text[:1].isalpha()


@dataclass(frozen=True, slots=True)
class Spelling:
    """How the words of a language are spelt.

    Attributes:
        words: Words by first letter to which a slip may be put right.
        known: Words that are no slip.
        letters: Letter, as its code point, to how it is written where it cannot be typed.
        compounds: First part of words written together to the parts that may follow it.
        decimal_comma: Whether numbers are written with a comma.
    """

    words: Mapping[str, tuple[str, ...]]
    known: frozenset[str]
    letters: Mapping[int, str] = field(default_factory=dict)
    compounds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    decimal_comma: bool = False

    def spell(self, word: str) -> str:
        """Return a word without the letters that some keyboards lack."""
        return word if word.isascii() else unicodedata.normalize("NFC", word).translate(self.letters)

    def part(self, word: str) -> tuple[str, ...]:
        """Return the words that were written as one; the word itself where it is none such."""
        if word in self.known:
            return (word,)
        for first, following in self.compounds.items():
            if word.startswith(first):
                last = word.removeprefix(first)
                if last in following:
                    return first, last
        return (word,)

    def correct(self, word: str) -> tuple[str, int]:
        """Return the word meant and the number of slips; the word itself where that is not certain."""
        if len(word) < SHORTEST_CORRECTED or word in self.known or not word.isascii():
            return word, 0
        most = 2 if len(word) >= LONG_ENOUGH_FOR_TWO else 1
        best, nearest, rivals = word, most + 1, 0
        for candidate in self.words.get(word[0], ()):
            if abs(len(candidate) - len(word)) > most:
                continue
            distance = OSA.distance(word, candidate, score_cutoff=most)
            if distance < nearest:
                best, nearest, rivals = candidate, distance, 0
            elif distance == nearest <= most:
                rivals += 1
        # Two words one slip away are mostly forms of one, such as singular and plural; two slips away not.
        if nearest > most or (rivals and nearest > 1):
            return word, 0
        return best, nearest


def split_tokens(text: str, spelling: Spelling) -> tuple[Token, ...]:
    """Return the tokens of a text in order."""
    same_length = text.lower() if text.isascii() else "".join(_plain(sign) for sign in text)
    tokens: list[Token] = []
    for found in (_TOKEN_WITH_COMMA if spelling.decimal_comma else _TOKEN).finditer(same_length):
        start, end, written = found.start(), found.end(), spelling.spell(found.group())
        if found.lastgroup == "number":
            tokens.append(Token(written, start, end, float(written.replace(",", "."))))
        elif found.lastgroup == "word":
            # Words written as one become as many tokens, each of which stands for the whole of what was typed.
            for part in spelling.part(written):
                stem = part.removesuffix("'s")
                known = part in spelling.known or stem not in spelling.known
                word, slips = spelling.correct(part if known else stem)
                tokens.append(Token(word, start, end, slips=slips))
        elif found.lastgroup == "mark":
            tokens.append(Token(written, start, end))
    return tuple(tokens)


def _plain(sign: str) -> str:
    """Return one character for one character, so that positions stay what they are."""
    low = unicodedata.normalize("NFKC", sign.translate(_QUOTES)).lower()
    return low if len(low) == 1 else sign
