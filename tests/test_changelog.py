"""Fragments are folded into the changelog by section; a wrong one is refused, and nothing lost."""

from __future__ import annotations

from pathlib import Path

import changelog
import pytest

ROOT = Path(__file__).parents[1]
BEFORE = """# Changelog

## 0.2.0, not released yet

Words.

### Added

- old

### Fixed

- mended

## 0.1.0, 2026-01-05

### Added

- first
"""


def tree(folder: Path, **fragments: str) -> Path:
    (folder / "changes").mkdir()
    (folder / "CHANGELOG.md").write_text(BEFORE, "utf-8")
    for name, text in fragments.items():
        (folder / "changes" / name).write_text(text, "utf-8")
    return folder


def test_the_fragments_of_this_tree_can_be_folded() -> None:
    text = (ROOT / "CHANGELOG.md").read_text("utf-8")
    paths = [path for path in (ROOT / "changes").glob("*") if path.name != ".gitkeep"]
    after = changelog.folded(text, paths)
    assert len(after) >= len(text)
    assert changelog.folded(after, []) == after


def test_each_goes_to_its_section_of_the_open_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.argv", ["changelog.py"])
    new = {"+b.added.md": "new\nin two lines\n", "+a.added.md": "- one\n- two\n",
           "+c.changed.md": "other", "+d.fixed.md": "whole"}  # fmt: skip
    root = tree(tmp_path, **new)
    assert changelog.main(root) == 0
    assert list((root / "changes").iterdir()) == []
    assert (root / "CHANGELOG.md").read_text("utf-8") == BEFORE.replace(
        "- old\n", "- old\n- one\n- two\n- new\n  in two lines\n"
    ).replace("- mended\n", "- mended\n- whole\n\n### Changed\n\n- other\n")


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("b.added.md", "x"), ("+b.new.md", "x"), ("+B.added.md", "x"), ("+b.added.txt", "x"),
        ("+b_c.added.md", "x"), ("+.added.md", "x"), ("+b.added.md", " \n"),
        ("+b.added.md", "## 9.9.9\n- x"),
    ],
)  # fmt: skip
def test_a_wrong_fragment_is_refused_and_nothing_is_lost(
    name: str, text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    root = tree(tmp_path, **{name: text, "+good.fixed.md": "y"})
    for arguments in ([], ["--check"]):
        monkeypatch.setattr("sys.argv", ["changelog.py", *arguments])
        assert changelog.main(root) == 1
        assert name in capsys.readouterr().out
    assert (root / "CHANGELOG.md").read_text("utf-8") == BEFORE
    assert (root / "changes" / "+good.fixed.md").exists()


def test_without_an_open_version_nothing_is_folded() -> None:
    with pytest.raises(changelog.WrongFragmentError, match="no version"):
        changelog.folded(BEFORE.replace(", not released yet", ", today"), [])
