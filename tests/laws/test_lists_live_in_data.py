"""Causes, findings, remedies and words live in data, and code that names a text names one that exists."""

import ast
from pathlib import Path

import pytest

from core.knowledge import load_knowledge
from core.words import load_words

ROOT = Path(__file__).parents[2]
MODULES = sorted([*ROOT.glob("core/**/*.py"), *ROOT.glob("bot/**/*.py")])
MOST_IN_ONE_LITERAL = 4
"""Four causes are the geometry's own; a longer list would be the knowledge, repeated."""


def literals(tree: ast.AST, ids: set[str]):
    for node in ast.walk(tree):
        if isinstance(node, ast.List | ast.Tuple | ast.Set):
            parts = node.elts
        elif isinstance(node, ast.Dict):
            parts = [part for part in node.keys if part is not None]
        else:
            continue
        found = [part.value for part in parts if isinstance(part, ast.Constant) and part.value in ids]
        if len(found) > MOST_IN_ONE_LITERAL:
            yield node.lineno, found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_list_of_causes_or_findings_is_repeated_in_code(path):
    knowledge = load_knowledge()
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for ids in (set(knowledge.causes), set(knowledge.findings), set(knowledge.cautions)):
        assert list(literals(tree, ids)) == []


def test_every_text_that_code_names_exists():
    """A literal key given to ``say`` is in the language data; keys made at run time are tried by their own tests."""
    words = load_words("en")
    missing = []
    seen = 0
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "say"):
                continue
            key = node.args[0] if node.args else None
            if isinstance(key, ast.Constant) and isinstance(key.value, str):
                seen += 1
                if not words.has(key.value):
                    missing.append(f"{path.relative_to(ROOT)}:{node.lineno} {key.value}")
    assert seen > 50
    assert missing == []


def test_every_fault_that_code_raises_has_words():
    """The code of a ``Fault`` written as a literal is a text under ``faults``."""
    words = load_words("en")
    missing = []
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Fault":
                code = node.args[2] if len(node.args) > 2 else None
                if isinstance(code, ast.Constant) and not words.has(f"faults.{code.value}"):
                    missing.append(f"{path.relative_to(ROOT)}:{node.lineno} {code.value}")
    assert missing == []
