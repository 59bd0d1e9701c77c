"""A finding's identifier in, its drawing out, large or on a sheet with those seen on the same thing.

Which drawing, which group and which finding it is mistaken for are the knowledge's to say; all words are the
language's. This file must never know a particular finding.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import FancyBboxPatch

from core.card import Picture
from core.knowledge.schema import Knowledge
from core.pictures.finding_sketches.pen import TALL, WIDE, Pen
from core.pictures.finding_sketches.registry import SKETCHES
from core.pictures.finding_sketches.wrapping import line_px, wrap
from core.pictures.guide_sketches.sheet import CENTRE, LARGE, SMALL, WIDTH_PX, open_sheet, picture, write
from core.pictures.palette import FRAME, INK, PAPER
from core.words import Words, capital

COLUMNS, ROWS = 2, 3
_EDGE, _GAP = 12.0, 12.0
_FRAME = (WIDTH_PX - 2 * _EDGE - _GAP) / COLUMNS
_INSET = (_FRAME - WIDE) / 2
_PAD = 10.0
_NAME = 14.0
_LARGE_SCALE = (WIDTH_PX - 2 * _EDGE - 2 * _PAD) / WIDE
_TEXT_WIDE = WIDTH_PX - 2 * 24.0


def draw_finding(finding_id: str, knowledge: Knowledge, words: Words) -> Picture | None:
    """Draw one finding large, how it should be, and what it is often mistaken for; nothing where it has no drawing.

    Raises:
        KeyError: There is no such finding.
    """
    sketch = SKETCHES.get(knowledge.findings[finding_id].sketch or "")
    if sketch is None:
        return None
    page = _Page.of(finding_id, knowledge, words)
    axes, figure = open_sheet(page.height)
    y = page.height - 16.0
    y = _write_lines(axes, y, page.title, LARGE, weight="bold")
    y = _write_lines(axes, y - 4, page.looks, SMALL)
    tall = TALL * _LARGE_SCALE + 2 * _PAD
    y -= 8 + tall
    _frame(axes, _EDGE, y, WIDTH_PX - 2 * _EDGE, tall)
    label = words.say(f"findings.{finding_id}.mark")
    large = Pen(axes=axes, left=_EDGE + _PAD, bottom=y + _PAD, scale=_LARGE_SCALE, label=label)
    sketch(large, words, fault=True)
    names = max(len(page.healthy), len(page.unlike))
    tall = TALL + 2 * _PAD + names * line_px(_NAME)
    y -= 10 + tall
    _panel(axes, _EDGE, y, tall, page.healthy, sign=True)
    sketch(Pen(axes=axes, left=_EDGE + _INSET, bottom=y + _PAD), words, fault=False)
    other = knowledge.findings[finding_id].mistaken_for
    unlike = SKETCHES.get((knowledge.findings[other].sketch or "") if other else "")
    if other and unlike:
        left = _EDGE + _FRAME + _GAP
        _panel(axes, left, y, tall, page.unlike, sign=False)
        mark = words.say(f"findings.{other}.mark")
        unlike(Pen(axes=axes, left=left + _INSET, bottom=y + _PAD, label=mark), words, fault=True)
    y = _write_lines(axes, y - 10, page.apart_heading, SMALL, weight="bold")
    y = _write_lines(axes, y, page.apart, SMALL)
    _write_lines(axes, y - 6, page.care, _NAME, weight="bold")
    return picture(figure, f"{finding_id.replace('_', '-')}.png", page.alt)


def draw_findings(knowledge: Knowledge, words: Words) -> tuple[Picture, ...]:
    """Draw all findings that have a drawing, six to a sheet, a new sheet for each thing that they are seen on."""
    return tuple(
        _sheet(group, names, number, knowledge, words)
        for group, held in group_findings(knowledge).items()
        for number, names in enumerate(_parted(held, COLUMNS * ROWS), 1)
    )


def group_findings(knowledge: Knowledge) -> dict[str, tuple[str, ...]]:
    """Return what findings are seen on, in the order of the data, to those drawn there.

    Two that are mistaken for each other stand side by side, before the others.
    """
    drawn = {name: finding for name, finding in knowledge.findings.items() if finding.sketch in SKETCHES}
    groups: dict[str, list[str]] = {}
    for name, finding in drawn.items():
        if finding.seen_on:
            groups.setdefault(finding.seen_on, []).append(name)

    def in_pairs(held: Sequence[str]) -> Iterator[str]:
        for name in held:
            other = drawn[name].mistaken_for
            if other and other in held and drawn[other].mistaken_for == name:
                yield from (name, other)

    return {group: tuple(dict.fromkeys((*in_pairs(held), *held))) for group, held in groups.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Page:
    """Everything that is written beside one large drawing, in lines, and how much room that takes."""

    title: tuple[str, ...]
    looks: tuple[str, ...]
    healthy: tuple[str, ...]
    unlike: tuple[str, ...]
    apart_heading: tuple[str, ...]
    apart: tuple[str, ...]
    care: tuple[str, ...]
    alt: str

    @classmethod
    def of(cls, finding_id: str, knowledge: Knowledge, words: Words) -> "_Page":
        """Wrap the texts of a finding and of the one it is mistaken for."""
        name = words.say(f"findings.{finding_id}.name")
        looks = words.say(f"findings.{finding_id}.looks_like")
        other = knowledge.findings[finding_id].mistaken_for
        unlike = apart_heading = apart = ""
        if other:
            other_name = words.say(f"findings.{other}.name")
            unlike = words.say("finding_guide.unlike", name=other_name)
            apart_heading = words.say("finding_guide.apart", name=other_name)
            apart = words.say(f"findings.{finding_id}.tell_apart")
        check = next((one for one in knowledge.checks.values() if one.about == f"finding:{finding_id}"), None)
        drawn = capital(words.say(f"findings.{finding_id}.drawn"))
        alt = words.say("finding_guide.alt_one", name=name, drawn=drawn, looks=looks, apart=f"{apart_heading}. {apart}")
        beside_sign = WIDE - 34
        return cls(
            title=wrap(capital(name), LARGE, _TEXT_WIDE, "bold"),
            looks=wrap(looks, SMALL, _TEXT_WIDE),
            healthy=wrap(words.say("finding_guide.healthy"), _NAME, beside_sign, "bold"),
            unlike=wrap(unlike, _NAME, beside_sign, "bold"),
            apart_heading=wrap(apart_heading, SMALL, _TEXT_WIDE, "bold"),
            apart=wrap(apart, SMALL, _TEXT_WIDE),
            care=wrap(words.say("finding_guide.care"), _NAME, _TEXT_WIDE, "bold") if check and check.cautions else (),
            alt=alt.strip(),
        )

    @property
    def height(self) -> int:
        """Return the height of the sheet that holds it all, px."""
        written = (
            len(self.title) * line_px(LARGE)
            + (len(self.looks) + len(self.apart_heading) + len(self.apart)) * line_px(SMALL)
            + (max(len(self.healthy), len(self.unlike)) + len(self.care)) * line_px(_NAME)
        )
        return round(written + TALL * _LARGE_SCALE + TALL + 4 * _PAD + 70)


def _sheet(group: str, names: Sequence[str], number: int, knowledge: Knowledge, words: Words) -> Picture:
    heading = words.say(f"finding_guide.groups.{group}")
    titles = {name: capital(words.say(f"findings.{name}.name")) for name in names}
    rows = [{name: wrap(titles[name], _NAME, WIDE - 4, "bold") for name in row} for row in _parted(names, COLUMNS)]
    talls = [TALL + 2 * _PAD + max(map(len, row.values())) * line_px(_NAME) for row in rows]
    top = wrap(heading, LARGE, _TEXT_WIDE, "bold")
    height = round(16 + len(top) * line_px(LARGE) + sum(tall + _GAP for tall in talls) + 8)
    axes, figure = open_sheet(height)
    y = _write_lines(axes, height - 12.0, top, LARGE, weight="bold") - 4
    for row, tall in zip(rows, talls, strict=True):
        y -= tall
        for column, (name, lines) in enumerate(row.items()):
            left = _EDGE + column * (_FRAME + _GAP)
            _panel(axes, left, y, tall, lines)
            label = words.say(f"findings.{name}.mark")
            pen = Pen(axes=axes, left=left + _INSET, bottom=y + _PAD - 2, label=label)
            SKETCHES[knowledge.findings[name].sketch or ""](pen, words, fault=True)
        y -= _GAP
    panels = " ".join(
        words.say("finding_guide.alt_panel", name=title, drawn=words.say(f"findings.{name}.drawn"))
        for name, title in titles.items()
    )
    alt = words.say("finding_guide.alt_sheet", heading=heading, panels=panels)
    return picture(figure, f"findings-{group}-{number}.png".replace("_", "-"), alt)


def _parted(names: Sequence[str], size: int) -> Iterator[Sequence[str]]:
    return (names[start : start + size] for start in range(0, len(names), size))


def _panel(
    axes: Axes, left: float, bottom: float, tall: float, name: Sequence[str], *, sign: bool | None = None
) -> None:
    """Draw a frame with a name at its top and, before it, a tick or a cross."""
    _frame(axes, left, bottom, _FRAME, tall)
    middle = left + _FRAME / 2
    if sign is not None:
        at_x, at_y = left + 22, bottom + tall - 20
        strokes = [[(-9, 0), (-3, -8), (9, 9)]] if sign else [[(-8, -8), (8, 8)], [(-8, 8), (8, -8)]]
        for stroke in strokes:
            axes.plot([at_x + x for x, _ in stroke], [at_y + y for _, y in stroke], color=INK, linewidth=3.5, zorder=9)
        middle += 14
    y = bottom + tall - 6
    for line in name:
        y -= line_px(_NAME)
        write(axes, middle, y + line_px(_NAME) / 2 - 3, line, _NAME, weight="bold")


def _frame(axes: Axes, left: float, bottom: float, wide: float, tall: float) -> None:
    axes.add_patch(
        FancyBboxPatch(
            (left, bottom),
            wide,
            tall,
            boxstyle="round,pad=0,rounding_size=10",
            facecolor=PAPER,
            edgecolor=FRAME,
            linewidth=1.2,
            zorder=1,
        )
    )


def _write_lines(axes: Axes, top: float, lines: Sequence[str], size: float, *, weight: str = "normal") -> float:
    """Write lines downwards from ``top``, and return where they end."""
    step = line_px(size)
    for number, line in enumerate(lines):
        write(axes, CENTRE, top - (number + 0.5) * step - 3, line, size, weight=weight)
    return top - len(lines) * step
