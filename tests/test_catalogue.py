"""Every sentence a person may see is in the catalogue template, and can be filled."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path
from string import Formatter

from babel.messages.pofile import read_po

from clampwright.formula import relations

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "clampwright"
TEMPLATE = PACKAGE / "locale" / "clampwright.pot"


def test_the_template_is_up_to_date() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "tools" / "catalogue.py"), "--check"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, "")


def test_every_sentence_can_be_filled_by_name() -> None:
    with TEMPLATE.open(encoding="utf-8") as file:
        sentences = [str(message.id) for message in read_po(file) if message.id]
    assert len(sentences) > 500
    for sentence in sentences:
        names = [name for _, name, _, _ in Formatter().parse(sentence) if name is not None]
        assert all(name.isidentifier() for name in names), sentence


def test_every_sentence_of_the_relations_is_in_it() -> None:
    with TEMPLATE.open(encoding="utf-8") as file:
        known = {str(message.id) for message in read_po(file)}
    said = [
        sentence.template
        for one in relations()
        for sentence in (
            one.title,
            one.holds_for,
            *(each.meaning for each in one.inputs),
            *(each.why for each in one.inputs if each.why),
            *(out.meaning for out in one.outputs),
        )
    ]
    assert set(said) - known == set()


def test_every_sentence_stands_whole_in_the_code() -> None:
    """Where the template is no single literal, the catalogue would hold something nobody says."""
    glued = [
        f"{path.relative_to(PACKAGE)}, line {node.lineno}"
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "words"
        and not isinstance(node.args[0], ast.Constant)
    ]
    assert glued == []
