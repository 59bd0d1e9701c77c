"""One out of a few: choices, yes or no, and what an unknown word was probably meant to be.

In: text and what is accepted. Out: the id that was meant exactly, or a fault that names the nearest. A near
miss is proposed and never taken. This file must never know what the choices mean.
"""

from collections.abc import Iterable, Mapping, Sequence

from rapidfuzz import fuzz, process

from core.errors import Fault, UnusableInput
from core.intake.characters import clean, fold
from core.intake.lexicon import Lexicon

NEAR = 70.0
"""Similarity, out of 100, from which a word is proposed; one wrong letter in four still is."""


def read_choice(text: str, accepted: Mapping[str, Sequence[str]], field: str) -> str:
    """Return the id whose own name or one of whose other names ``text`` is.

    Args:
        text: As typed.
        accepted: Id to its other names.
        field: Name of the field, for the faults.

    Raises:
        UnusableInput: It is none of them; the fault names the nearest.
    """
    typed = fold(clean(text, field))
    names = {fold(name): key for key, others in accepted.items() for name in (key, *others)}
    if typed in names:
        return names[typed]
    raise UnusableInput((closest(text, tuple(names), field, "not_a_choice", accepted),))


def read_yes_no(text: str, field: str, *, lexicon: Lexicon) -> bool:
    """Return whether ``text`` says yes.

    Raises:
        UnusableInput: It is no answer the lexicon knows.
    """
    answer = lexicon.answers.get(fold(clean(text, field)))
    if answer is None:
        raise UnusableInput((Fault(field, text, "not_yes_or_no"),))
    return answer


def closest(given: str, names: Sequence[str], field: str, code: str, accepted: Iterable[str] | None = None) -> Fault:
    """Return the fault of an unknown word: ``code``, or ``<code>_meant`` with the nearest known name.

    Args:
        given: The unknown word.
        names: All known names, folded.
        field: Name of the field.
        code: Code of the fault.
        accepted: Ids to list in the fault, where that is not the names themselves.
    """
    values: dict[str, object] = {"accepted": ", ".join(names if accepted is None else accepted)}
    # Bounded, so that hostile input costs nothing.
    near = process.extractOne(fold(given[:60]), names, scorer=fuzz.ratio, score_cutoff=NEAR)
    if near is None:
        return Fault(field, given, code, values)
    return Fault(field, given, f"{code}_meant", {**values, "meant": near[0]})
