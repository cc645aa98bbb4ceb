"""Fold the fragments of ``changes/`` into CHANGELOG.md, under the version that is not released yet.

A fragment is one small file for each change that users notice: ``+short-name.added.md``,
``.changed.md``, ``.fixed.md`` or ``.removed.md``. Each says itself what it is, so that two people
never edit the same line. ``--check`` writes nothing: it refuses a name that is wrong, an empty file
and a heading.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).parents[1]
SORTS = {"added": "Added", "changed": "Changed", "fixed": "Fixed", "removed": "Removed"}
NAME = re.compile(rf"\+[a-z0-9]+(-[a-z0-9]+)*\.({'|'.join(SORTS)})\.md")
UNRELEASED = re.compile(r"^## .*not released yet$", re.MULTILINE)


class WrongFragmentError(ValueError):
    """A fragment that cannot be folded in; says which and why."""


def items(path: Path) -> str:
    """Return a fragment as items of a list.

    Parameters
    ----------
    path : pathlib.Path

    Returns
    -------
    str

    Raises
    ------
    WrongFragmentError
        When its name is wrong, or it is empty or holds a heading.
    """
    if not NAME.fullmatch(path.name):
        known = ", ".join(f".{sort}.md" for sort in SORTS)
        raise WrongFragmentError(
            f"{path.name}: a fragment is named +short-name and one of {known}, in small letters"
        )
    text = path.read_text("utf-8").strip()
    if not text or re.search("^#", text, re.MULTILINE):
        raise WrongFragmentError(f"{path.name}: a fragment is text, not empty, without headings")
    if text.startswith("- "):
        return text
    return "- " + text.replace("\n", "\n  ")


def folded(changelog: str, paths: Iterable[Path]) -> str:
    """Return the changelog with fragments at the end of their sections.

    Parameters
    ----------
    changelog : str
    paths : iterable of pathlib.Path

    Returns
    -------
    str

    Raises
    ------
    WrongFragmentError
        For a wrong fragment, or where no version is open: nothing is lost then.
    """
    begin = UNRELEASED.search(changelog)
    if begin is None:
        raise WrongFragmentError("CHANGELOG.md: no version is marked as not released yet")
    end = changelog.find("\n## ", begin.end())
    end = len(changelog) if end < 0 else end + 1
    part = changelog[begin.start() : end].rstrip("\n") + "\n"
    for path in sorted(paths):
        part = _added(part, items(path), SORTS[path.name.split(".")[1]])
    return (
        changelog[: begin.start()]
        + part
        + ("\n" if end < len(changelog) else "")
        + (changelog[end:])
    )


def _added(part: str, text: str, heading: str) -> str:
    """Return the part of one version with an item at the end of one of its sections."""
    start = re.search(rf"^### {heading}$", part, re.MULTILINE)
    if start is None:
        return f"{part}\n### {heading}\n\n{text}\n"
    end = part.find("\n### ", start.end())
    end = len(part) if end < 0 else end
    return f"{part[:end].rstrip()}\n{text}\n{part[end:]}"


def main(root: Path = ROOT) -> int:
    """Fold the fragments in and take them away, or only check them."""
    changelog = root / "CHANGELOG.md"
    paths = sorted(path for path in (root / "changes").glob("*") if path.name != ".gitkeep")
    try:
        text = folded(changelog.read_text("utf-8"), paths)
    except WrongFragmentError as error:
        print(error)
        return 1
    if "--check" in sys.argv[1:]:
        return 0
    changelog.write_text(text, "utf-8")
    for path in paths:
        path.unlink()
    print(f"{len(paths)} fragments folded into CHANGELOG.md")
    return 0


if __name__ == "__main__":
    sys.exit(main())
