"""The developers' reference page shows everything the data say."""

import re

from core.knowledge import load_knowledge
from core.knowledge.reference import reference_page
from core.words import load_words


def test_every_entry_has_its_row_and_every_row_its_columns():
    knowledge = load_knowledge()
    page = reference_page(knowledge, load_words())
    sections = re.split(r"^### .*$", page, flags=re.MULTILINE)[1:]
    parts = (
        knowledge.causes,
        knowledge.findings,
        knowledge.profiles,
        knowledge.norms,
        knowledge.remedies,
        knowledge.checks,
        knowledge.cautions,
        knowledge.sources,
    )
    assert len(sections) == len(parts)
    for section, part in zip(sections, parts, strict=True):
        head, ruler, *rows = [line for line in section.splitlines() if line.startswith("|")]
        assert re.findall(r"^\| `(\w+)` \|", "\n".join(rows), flags=re.MULTILINE) == list(part)
        columns = {len(re.findall(r"(?<!\\)\|", line)) for line in (head, ruler, *rows)}
        assert len(columns) == 1


def test_a_link_stands_beside_its_finding():
    page = reference_page(load_knowledge(), load_words())
    row = next(line for line in page.splitlines() if line.startswith("| `common_stop` | no"))
    assert "`resin_low` 0.80, `transition_short` 0.20" in row
