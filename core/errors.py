"""The exception tree: the person's mistake, the data author's mistake, ours.

Errors carry data; words for them are looked up where they are shown (``Words.fault``). Nothing here knows a front end.
"""

import dataclasses
from collections.abc import Mapping


@dataclasses.dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with an input.

    Attributes:
        field: Dotted name of the field, such as ``readings.front_left``.
        given: What was given, as text, unshortened; ``Words.fault`` shortens and escapes it.
        code: Key under ``faults`` in the words, which says what is accepted.
        values: Further values for that text, such as limits or what was probably meant.
    """

    field: str
    given: str
    code: str
    values: Mapping[str, object] = dataclasses.field(default_factory=dict)


class PlatewrightError(Exception):
    """Root of everything platewright raises on purpose."""


class _Faulty(PlatewrightError):
    def __init__(self, faults: tuple[Fault, ...]) -> None:
        if not faults:
            raise ValueError("an error without a fault says nothing")
        super().__init__("; ".join(f"{fault.field}: {fault.code} ({fault.given[:60]!r})" for fault in faults))
        self.faults = faults


class UnusableInput(_Faulty):
    """What a person gave cannot be used; every fault is listed, nothing was stored."""


class UnusableKnowledge(_Faulty):
    """A knowledge or words file is wrong; every fault of every file is listed, for its author."""


class Refused(PlatewrightError):
    """The person may not do this, or not here. ``code`` is a key under ``refusals`` in the words."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(code)
        self.code = code
        self.values = values


class ServiceFailure(PlatewrightError):
    """Our own failure. ``code`` is a key under ``failures`` in the words."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(f"{code}: {values}" if values else code)
        self.code = code
        self.values = values


class StoreUnusable(ServiceFailure):
    """The database cannot be opened, read or written, or was made by a newer version."""
