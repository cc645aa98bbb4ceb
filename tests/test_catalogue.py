"""Every sentence a person may see is in the catalogue template, and can be filled."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from dataclasses import dataclass
from functools import cache
from gettext import GNUTranslations
from pathlib import Path
from string import Formatter

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po
from translations import (
    begin,
    compile_all,
    faults,
    read,
    sentences,
    translations,
    untranslated,
    updated,
)

from clampwright.formula import relations

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "clampwright"
TEMPLATE = PACKAGE / "locale" / "clampwright.pot"


CHECK = """
import json, sys
from pathlib import Path
import catalogue
found = catalogue.collect()
Path(sys.argv.pop()).write_text(json.dumps([str(one.id) for one in found if one.id]))
catalogue.collect = lambda: found
sys.exit(catalogue.main())
"""


@dataclass(frozen=True)
class Checked:
    """What ``tools/catalogue.py --check`` said, and the sentences that it had collected."""

    status: int
    said: str
    sentences: set[str]


@pytest.fixture(scope="module")
def checked(tmp_path_factory: pytest.TempPathFactory) -> Checked:
    """The check, run once: collecting reads all of the package."""
    file = tmp_path_factory.mktemp("checked") / "sentences.json"
    done = subprocess.run(
        [sys.executable, "-c", CHECK, "--check", str(file)],
        cwd=ROOT / "tools",
        capture_output=True,
        text=True,
        check=False,
    )
    return Checked(done.returncode, done.stdout, set(json.loads(file.read_text("utf-8"))))


def test_the_template_is_up_to_date(checked: Checked) -> None:
    assert (checked.status, checked.said) == (0, "")


@cache
def template() -> set[str]:
    with TEMPLATE.open(encoding="utf-8") as file:
        return {str(message.id) for message in read_po(file) if message.id}


def test_every_sentence_can_be_filled_by_name() -> None:
    said = template()
    assert len(said) > 500
    for sentence in said:
        names = [name for _, name, _, _ in Formatter().parse(sentence) if name is not None]
        assert all(name.isidentifier() for name in names), sentence


def test_every_sentence_of_the_relations_is_in_it() -> None:
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
    assert set(said) - template() == set()


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


def test_a_translation_keeps_the_fields_and_codes_of_its_sentences() -> None:
    assert [file.parts[-3] for file in translations()] == ["de"]
    for file in translations():
        assert faults(read(file)) == []


def test_german_is_whole(checked: Checked) -> None:
    german = {
        said for said, told, unsure in sentences(read(translations()[0])) if told and not unsure
    }
    assert sorted(checked.sentences - german) == []


@pytest.mark.parametrize(
    ("translated", "fault"),
    [
        ("{torque:.1f} N·m bei {ort}", "fields"),
        ("{torque:.2f} N·m bei {place}", "format codes"),
        ("{torque:.1f} N·m", "fields"),
        ("{torque:.1f} N·m bei {place!r}", "fields"),
        ("{torque:.1f} N·m bei {place", "expected"),
        ("{torque:.1f} N·m bei {place} ", "blanks"),
        ("bei {place}: {torque:.1f} N·m", None),
    ],
)
def test_what_is_wrong_with_a_translation_is_told(translated: str, fault: str | None) -> None:
    one = Catalog(locale="de")
    one.add("{torque:.1f} N·m at {place}", translated)
    found = faults(one)
    assert len(found) == (fault is not None)
    assert fault is None or fault in found[0]


def test_a_translation_is_brought_up_to_date_and_nothing_is_guessed(tmp_path: Path) -> None:
    file = begin("de", tmp_path)
    head = file.read_text("utf-8")
    file.write_text(
        f'{head}msgid "gone"\nmsgstr "weg"\n\n#, fuzzy\nmsgid "changed"\nmsgstr "alt"\n\n'
        'msgid "kept"\nmsgstr "bleibt"\n',
        "utf-8",
    )
    template = Catalog()
    for sentence in ("kept", "changed", "added"):
        template.add(sentence)
    file.write_bytes(updated(file, template))
    assert list(sentences(read(file))) == [
        ("added", "", False), ("changed", "", False), ("kept", "bleibt", False),
    ]  # fmt: skip
    assert untranslated(read(file)) == ["added", "changed"]
    assert updated(file, template) == file.read_bytes()
    (made,) = compile_all(tmp_path)
    assert compile_all(tmp_path) == []
    with made.open("rb") as compiled:
        assert GNUTranslations(compiled).gettext("kept") == "bleibt"
