"""Characters in, harmless characters out: what every text passes before anything tries to understand it.

In: whatever a person or a program sent. Out: text of bounded length, in compatibility form (NFKC), with
plain spaces and digits. This file must never know what the text is about.
"""

import re
import unicodedata

from core.errors import Fault, UnusableInput

LONGEST = 2000
"""Characters of one text; the longest message of common chat platforms."""

FAULTS_SHOWN = 5
"""How many different unwanted characters are named."""

# Invisible and common in pasted text: zero-width space, non-joiner, joiner, word joiner, byte-order mark.
DROPPED = dict.fromkeys((0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF))
KEPT_CONTROLS = "\t\n"
UNWANTED = frozenset({"Cc", "Cf", "Cs"})
LINE_ENDS = re.compile("\r\n|\r|\u2028|\u2029")
JOINERS = re.compile(r"[\s_\-‐‑]+")


def clean(text: str, field: str) -> str:
    """Return ``text`` in compatibility form, without what nobody sees.

    Args:
        text: As it came.
        field: Name of the field, for the faults.

    Raises:
        UnusableInput: More than ``LONGEST`` characters, or control or direction-changing characters.
    """
    if len(text) > LONGEST:
        raise UnusableInput((Fault(field, text, "text_too_long", {"count": len(text), "most": LONGEST}),))
    text = LINE_ENDS.sub("\n", text.translate(DROPPED))
    unwanted = [
        sign for sign in dict.fromkeys(text) if unicodedata.category(sign) in UNWANTED and sign not in KEPT_CONTROLS
    ]
    if unwanted:
        raise UnusableInput(
            tuple(
                Fault(field, text, "bad_character", {"character": name_character(sign)})
                for sign in unwanted[:FAULTS_SHOWN]
            )
        )
    return "".join(_plain(sign) for sign in unicodedata.normalize("NFKC", text))


def name_character(sign: str) -> str:
    """Return a character's code point, with its name where it has one: ``U+202E RIGHT-TO-LEFT OVERRIDE``."""
    return f"U+{ord(sign):04X} {unicodedata.name(sign, '')}".rstrip()


def fold(phrase: str) -> str:
    """Return the form in which words are compared: NFKC, no case, hyphens and underscores as single spaces.

    A phrase of nothing but such signs, as a dash for a lost coupon, stays as it is.
    """
    folded = unicodedata.normalize("NFKC", phrase).casefold().strip()
    return JOINERS.sub(" ", folded).strip() or folded


def _plain(sign: str) -> str:
    if sign == "\n":
        return sign
    if sign.isspace():
        return " "
    # Digits of every script are digits; NFKC leaves those of other scripts alone.
    digit = unicodedata.decimal(sign, None)
    return sign if digit is None else str(digit)
