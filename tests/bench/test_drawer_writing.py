"""The drawer's file on the disk: written whole or not at all; papers known by their content."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.bench import drawer_writing
from clampwright.bench.drawer_writing import add_tool, attach_paper
from clampwright.bench.folder import Workshop
from clampwright.drawer import load_drawer
from clampwright.drawer.new_tool import NewTool, added
from clampwright.errors import BadFile, ClampwrightError, Refused

WRENCH = NewTool("Click wrench", "click", "1/2 in", "N·m", 40, 200, 20, 2)
PDF, PNG = b"%PDF-1.7 invented", b"\x89PNG\r\n\x1a\n invented"


def tree(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@pytest.fixture
def place(tmp_path: Path) -> Workshop:
    return Workshop(tmp_path)


def test_the_first_tool_begins_the_file(place: Workshop) -> None:
    made = add_tool(place, WRENCH)
    assert load_drawer(place.drawer.read_bytes(), "drawer.toml").tool(made).kind == "click"


def test_bad_input_changes_nothing(place: Workshop) -> None:
    add_tool(place, WRENCH)
    before = tree(place.folder)
    for bad in (replace(WRENCH, main_step=33.0), replace(WRENCH, title="")):
        with pytest.raises(ClampwrightError):
            add_tool(place, bad)
    with pytest.raises(BadFile, match="by its content this is no PDF, JPEG"):
        attach_paper(place, "click-200", b"MZ...", "certificate", "scan.pdf")
    with pytest.raises(BadFile, match="by its content this is no JPEG"):
        attach_paper(place, "click-200", PDF, "photograph", "photo.jpg")
    with pytest.raises(Refused, match="the drawer has no"):
        attach_paper(place, "nobody", PDF, "certificate", "c.pdf")
    assert tree(place.folder) == before


def test_a_broken_file_is_not_added_to(place: Workshop) -> None:
    place.drawer.write_bytes(b"\xff\xfe")
    with pytest.raises(BadFile, match="not UTF-8"):
        add_tool(place, WRENCH)
    assert place.drawer.read_bytes() == b"\xff\xfe"


def test_papers_are_kept_by_their_hash(place: Workshop) -> None:
    made = add_tool(place, WRENCH)
    kept = attach_paper(place, made, PDF, "certificate", "c.pdf")
    attach_paper(place, made, PNG, "photograph", "p.png")
    papers = load_drawer(place.drawer.read_bytes(), "d").tool(made).belongings.papers
    assert [paper.kind for paper in papers] == ["certificate", "photograph"]
    assert papers[0].sha256 == hashlib.sha256(PDF).hexdigest()
    assert (place.folder / papers[0].file) == kept
    assert kept.read_bytes() == PDF
    with pytest.raises(Refused, match="this very paper already"):
        attach_paper(place, made, PDF, "certificate", "again.pdf")


def test_a_file_changed_meanwhile_is_left_alone(
    place: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    add_tool(place, WRENCH)
    mine = added

    def slow(*args: object, **more: object) -> tuple[str, str]:
        place.drawer.write_bytes(place.drawer.read_bytes() + b"# by another hand\n")
        return mine(*args, **more)  # type: ignore[arg-type]  # handed on

    monkeypatch.setattr(drawer_writing, "added", slow)
    with pytest.raises(Refused, match="was changed meanwhile"):
        add_tool(place, WRENCH)
    assert place.drawer.read_bytes().endswith(b"# by another hand\n")


def test_a_paper_too_large(place: Workshop, monkeypatch: pytest.MonkeyPatch) -> None:
    made = add_tool(place, WRENCH)
    monkeypatch.setattr(drawer_writing, "LARGEST_PAPER", 10)
    with pytest.raises(BadFile, match="larger than 10 bytes"):
        attach_paper(place, made, PDF, "certificate", "c.pdf")
