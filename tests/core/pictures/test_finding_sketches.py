"""The drawn guide to the findings: sheets for a phone whose words stay in their panels, told in the alt text."""

import dataclasses
from functools import cache
from io import BytesIO

import numpy as np
import pytest
from matplotlib.patches import FancyBboxPatch
from PIL import Image

from core.knowledge import load_knowledge
from core.pictures.canvas import to_png
from core.pictures.finding_sketches import (
    SKETCHES,
    draw_finding,
    draw_findings,
    finding_drawing,
    group_findings,
)
from core.pictures.finding_sketches.pen import TALL, WIDE, Pen
from core.pictures.finding_sketches.wrapping import text_px, wrap
from core.pictures.guide_sketches.sheet import DPI, WIDTH_PX, open_sheet
from core.words import capital, languages, load_words

KNOWLEDGE = load_knowledge()
FINDINGS = sorted(KNOWLEDGE.findings)
WORDS = {language: load_words(language) for language in languages()}
ALT_LIMIT = 1024
"""Characters of description that the chat platform takes."""
MOST_BYTES = 400_000
PHONE_PX, LEAST_TEXT_PX = 360, 9
TOUCHING_PX = 1.0


def kept_figures(draw):
    """Return the figures that a drawing finishes, in place of pictures of them."""
    kept = []
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(finding_drawing, "picture", lambda figure, name, alt: kept.append((name, figure)))
        draw()
    return kept


@cache
def sheets(language):
    return kept_figures(lambda: draw_findings(KNOWLEDGE, WORDS[language]))


@cache
def pages(language):
    return [
        page
        for name in FINDINGS
        for page in kept_figures(lambda name=name: draw_finding(name, KNOWLEDGE, WORDS[language]))
    ]


def written(figure):
    renderer = figure.canvas.get_renderer()
    return [(text.get_text(), text.get_window_extent(renderer)) for text in figure.axes[0].texts]


def frames(figure):
    return [
        patch.get_window_extent(figure.canvas.get_renderer())
        for patch in figure.axes[0].patches
        if isinstance(patch, FancyBboxPatch)
    ]


def overlap(one, other):
    wide = min(one.x1, other.x1) - max(one.x0, other.x0)
    tall = min(one.y1, other.y1) - max(one.y0, other.y0)
    return wide > TOUCHING_PX and tall > TOUCHING_PX


def inside(text, box):
    return box.x0 <= text.x0 and text.x1 <= box.x1 and box.y0 <= text.y0 and text.y1 <= box.y1


def faults(figure):
    """Return every text that leaves the sheet or its panel, or lies on another."""
    texts, panels = written(figure), frames(figure)
    for at, (text, box) in enumerate(texts):
        if not inside(box, figure.bbox):
            yield f"{text} leaves the sheet"
        middle = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
        for panel in panels:
            if panel.contains(*middle) and not inside(box, panel):
                yield f"{text} leaves its panel"
        yield from (f"{text} lies on {other}" for other, there in texts[at + 1 :] if overlap(box, there))


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("drawn", [sheets, pages], ids=["sheets", "pages"])
def test_no_text_leaves_its_panel_or_lies_on_another(drawn, language):
    """Measured as the renderer draws it, over every text of every picture."""
    held = drawn(language)
    assert sum(len(written(figure)) for _, figure in held) > 3 * len(FINDINGS)
    assert {name: found for name, figure in held if (found := list(faults(figure)))} == {}


def test_the_search_finds_a_text_that_is_too_long_and_one_on_another():
    texts = {**WORDS["en"].texts, "findings.glossy_raft.mark": "W" * 22, "finding_guide.things.hard": "W\nW\nW\nW"}
    words = dataclasses.replace(WORDS["en"], texts=texts)
    found = " ".join(faults(kept_figures(lambda: draw_findings(KNOWLEDGE, words))[0][1]))
    assert "leaves its panel" in found
    assert "plate lies on W" in found


@pytest.mark.parametrize("language", languages())
def test_every_text_can_be_read_on_a_phone(language):
    """A letter's body is at least nine px high where the picture is shown 360 px wide."""
    sizes = {
        text.get_fontsize() * DPI / 72 * PHONE_PX / WIDTH_PX
        for _, figure in (*sheets(language), *pages(language))
        for text in figure.axes[0].texts
    }
    assert min(sizes) >= LEAST_TEXT_PX


@pytest.mark.parametrize("language", languages())
def test_the_sheets_are_png_six_panels_each_and_tell_every_panel(language):
    words = WORDS[language]
    held = list(group_findings(KNOWLEDGE).values())
    told = draw_findings(KNOWLEDGE, words)
    assert len(told) == len(held)
    assert len({sheet.name for sheet in told}) == len(told)
    for sheet, names in zip(told, held, strict=True):
        with Image.open(BytesIO(sheet.png)) as image:
            assert (image.format, image.width) == ("PNG", WIDTH_PX)
            assert image.height <= 2 * WIDTH_PX
        assert len(sheet.png) < MOST_BYTES
        assert len(names) <= 6
        assert len(sheet.alt) <= ALT_LIMIT
        assert "{" not in sheet.alt
        for name in names:
            assert f"{capital(words.say(f'findings.{name}.name'))}: " in sheet.alt
            assert words.say(f"findings.{name}.drawn") in sheet.alt


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("name", FINDINGS)
def test_one_finding_is_drawn_large_and_told_in_its_alt_text(name, language):
    words = WORDS[language]
    page = draw_finding(name, KNOWLEDGE, words)
    with Image.open(BytesIO(page.png)) as image:
        assert (image.format, image.width) == ("PNG", WIDTH_PX)
        assert image.height <= 2 * WIDTH_PX
    assert len(page.png) < MOST_BYTES
    assert len(page.alt) <= ALT_LIMIT
    for text in ("name", "looks_like", "tell_apart"):
        assert words.say(f"findings.{name}.{text}") in page.alt
    other = KNOWLEDGE.findings[name].mistaken_for
    assert words.say(f"findings.{other}.name") in page.alt


def scene(name, *, fault):
    """Return one scene in grey, without its label."""
    axes, figure = open_sheet(round(TALL))
    SKETCHES[name](Pen(axes=axes, left=0, bottom=0), WORDS["en"], fault=fault)
    with Image.open(BytesIO(to_png(figure))) as image:
        return np.asarray(image.convert("L")).astype(int)


@pytest.mark.parametrize("name", sorted(SKETCHES))
def test_fault_and_healthy_differ_in_grey(name):
    """Nothing hangs on colour: at least a fiftieth of the scene changes by a fifth of the way from ink to paper."""
    fault, healthy = scene(name, fault=True), scene(name, fault=False)
    assert (np.abs(fault - healthy) > 40).sum() > WIDE * TALL / 50


@pytest.mark.parametrize("name", FINDINGS)
def test_what_is_confused_differs_in_grey(name):
    """A finding and the one it is mistaken for differ over at least a twenty-fifth of the scene."""
    one, other = KNOWLEDGE.findings[name].sketch, KNOWLEDGE.findings[KNOWLEDGE.findings[name].mistaken_for].sketch
    assert (np.abs(scene(one, fault=True) - scene(other, fault=True)) > 40).sum() > WIDE * TALL / 25


def test_confused_findings_stand_side_by_side():
    held = group_findings(KNOWLEDGE)["raft"]
    assert held[:2] == ("glossy_raft", "delaminated_raft")


def test_a_finding_without_a_drawing_is_left_to_words():
    plain = KNOWLEDGE.findings["glossy_raft"].model_copy(update={"sketch": None, "seen_on": None})
    knowledge = dataclasses.replace(KNOWLEDGE, findings={**KNOWLEDGE.findings, "glossy_raft": plain})
    assert draw_finding("glossy_raft", knowledge, WORDS["en"]) is None
    assert all("glossy_raft" not in names for names in group_findings(knowledge).values())


def test_a_finding_may_be_mistaken_for_nothing():
    alone = KNOWLEDGE.findings["glossy_raft"].model_copy(update={"mistaken_for": None})
    knowledge = dataclasses.replace(KNOWLEDGE, findings={**KNOWLEDGE.findings, "glossy_raft": alone})
    page = draw_finding("glossy_raft", knowledge, WORDS["en"])
    assert "confused" not in page.alt
    assert WORDS["en"].say("findings.glossy_raft.looks_like") in page.alt


def test_lines_break_between_words_and_keep_every_word():
    text = "supports grew and then all end cleanly at one height"
    lines = wrap(text, 14, 200)
    assert " ".join(lines) == text
    assert len(lines) > 1
    assert all(text_px(line, 14) <= 200 for line in lines)
