"""``platewright coupons``: a plate's size in, a printable file and its note out. No database, no network."""

from collections.abc import Callable, Mapping
from pathlib import Path

from core.coupons import CouponSet, design_coupons, printing_note, to_3mf, to_stl
from core.errors import Fault, UnusableInput
from core.intake import load_lexicon, read_nominal, read_plate
from core.knowledge import Knowledge, load_knowledge
from core.words import Words

WRITERS: Mapping[str, Callable[[CouponSet], bytes]] = {".stl": to_stl, ".3mf": to_3mf}
"""Ending of the file's name, in lower case, to what writes it."""


def write_coupons(plate_text: str, nominal_text: str, out_path: Path, words: Words) -> str:
    """Write the coupon set for a plate and return how to print and measure it, one line each.

    Args:
        plate_text: Width and depth as typed, such as ``150x85``.
        nominal_text: Nominal thickness as typed; blank for the usual one.
        out_path: Where the file goes; its ending says which kind.
        words: Texts.

    Raises:
        UnusableInput: With every fault: the plate or the thickness cannot be read or is outside what the coupons are
            made for, the ending is unknown, or the file cannot be written.
    """
    knowledge = load_knowledge()
    faults: list[Fault] = []
    writer = WRITERS.get(out_path.suffix.lower())
    if writer is None:
        faults.append(Fault("out", str(out_path), "coupon_file", {"accepted": ", ".join(WRITERS)}))
    coupon_set = _design(plate_text, nominal_text, knowledge, faults)
    if writer is None or coupon_set is None:
        raise UnusableInput(tuple(faults))
    try:
        out_path.write_bytes(writer(coupon_set))
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UnusableInput((Fault("out", str(out_path), "file_unwritable", {"why": why}),)) from error
    return "\n".join((words.say("coupons.written", path=out_path), *printing_note(coupon_set, words, knowledge)))


def _design(plate_text: str, nominal_text: str, knowledge: Knowledge, faults: list[Fault]) -> CouponSet | None:
    lexicon = load_lexicon()
    plate: tuple[float, float] | None = None
    nominal: float | None = None
    try:
        plate = read_plate(plate_text, lexicon=lexicon)
    except UnusableInput as error:
        faults.extend(error.faults)
    try:
        nominal = (
            read_nominal(nominal_text, lexicon=lexicon)[0]
            if nominal_text.strip()
            else knowledge.norm("coupon_nominal_mm")
        )
    except UnusableInput as error:
        faults.extend(error.faults)
    if plate is None or nominal is None:
        return None
    try:
        return design_coupons(*plate, nominal)
    except UnusableInput as error:
        faults.extend(error.faults)
        return None
