"""README and the guide say what the program does: commands, options of the command line, and the generated tables."""

import re
from pathlib import Path

from core.commands import COMMANDS
from core.knowledge import load_knowledge
from core.knowledge.reference import reference_page
from core.words import load_words

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_every_command_is_in_the_readme():
    assert [command.name for command in COMMANDS if f"`/{command.name}`" not in README] == []


def test_the_two_commands_of_the_readme_exist():
    named = re.findall(r"^    bash (\S+)", README, re.MULTILINE)
    assert named == ["deploy/try.sh", "deploy/check.sh"]
    assert all((ROOT / name).is_file() for name in named)


def test_the_generated_tables_are_up_to_date():
    """`bash deploy/reference.sh` renews them."""
    page = GUIDE.partition("<!-- reference -->\n")[2].partition("<!-- /reference -->")[0]
    assert page.rstrip() == reference_page(load_knowledge(), load_words("en")).rstrip()


def test_every_part_of_the_map_exists():
    named = re.findall(r"`((?:core|bot|tests|deploy)/[\w./]*)`", GUIDE)
    assert len(named) > 15
    assert [name for name in named if not (ROOT / name).exists()] == []
