"""Compare what the program is made of with a list of known holes.

``python tools/audit.py FILE`` reads ``requirements.lock`` and advisories in the OSV format (one
object, a list, an object a line, or a folder of such files), and asks nobody. With ``--ask URL``
names and versions of the packages are sent to a server that speaks the OSV query form, and to no
other. Exit status: 0 none is known, 1 holes are known, 2 something cannot be read.

Format: Open Source Vulnerability format 1.6, https://ossf.github.io/osv-schema/ (``affected``,
``ranges`` of type ECOSYSTEM with ``events``, ``versions``, ``withdrawn``); names of packages are
compared as PEP 503 writes them, versions as PEP 440 orders them.
"""

from __future__ import annotations

import json
import re
import sys
import urllib.request
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from packaging.version import InvalidVersion, Version

ROOT = Path(__file__).parents[1]
LOCK = ROOT / "requirements.lock"
ECOSYSTEM = "PyPI"
PATIENCE = 60.0
_PACKAGE = re.compile(r"^([a-z0-9][a-z0-9._-]*)(?:\[[^\]]*\])?==([^ ;\\]+)", re.IGNORECASE)


def named(name: str) -> str:
    """Return a package's name as PEP 503 writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


Packages = frozenset[tuple[str, str]]
"""Name and version; a lock for several Pythons may hold two versions of one package."""


def locked(lock: str) -> Packages:
    """Return the packages of a lock file."""
    found = (_PACKAGE.match(line) for line in lock.splitlines())
    return frozenset((named(one[1]), one[2]) for one in found if one)


def advisories(path: Path) -> Iterator[Mapping[str, Any]]:
    """Go through the advisories of a file, or of every JSON file of a folder."""
    if path.is_dir():
        for one in sorted(path.rglob("*.json")):
            yield from advisories(one)
        return
    text = path.read_text("utf-8")
    try:
        content = json.loads(text)
    except ValueError:
        content = [json.loads(line) for line in text.splitlines() if line.strip()]
    for one in content if isinstance(content, list) else [content]:
        if not isinstance(one, dict) or not isinstance(one.get("id"), str):
            raise ValueError(f"{path}: an advisory is an object with an id")  # noqa: TRY004 - what a file holds is a value
        yield one


def is_affected(version: str, affected: Mapping[str, Any]) -> bool:
    """Say whether a version is among those that an advisory names, or within its ranges."""
    if version in affected.get("versions", ()):
        return True
    return any(
        _within(Version(version), one.get("events", ()))
        for one in affected.get("ranges", ())
        if one.get("type") == "ECOSYSTEM"
    )


def _within(version: Version, events: Iterable[Mapping[str, str]]) -> bool:
    """Follow the events in their order: the last one at or before the version says how it is."""
    inside = False
    for event in sorted(events, key=_place):
        ((kind, at),) = event.items()
        if kind == "introduced" and (at == "0" or Version(at) <= version):
            inside = True
        elif (kind == "fixed" and Version(at) <= version) or (
            kind == "last_affected" and Version(at) < version
        ):
            inside = False
    return inside


def _place(event: Mapping[str, str]) -> tuple[Version, bool]:
    ((kind, at),) = event.items()
    return Version("0.dev0" if at == "0" else at), kind != "introduced"


def holes(packages: Packages, known: Iterable[Mapping[str, Any]]) -> list[str]:
    """Return one line for each hole that is known of a package that is used."""
    found = []
    for one in known:
        if one.get("withdrawn"):
            continue
        for affected in one.get("affected", ()):
            package = affected.get("package", {})
            name = named(str(package.get("name", "")))
            if package.get("ecosystem") != ECOSYSTEM:
                continue
            about = str(one.get("summary") or one.get("details") or "").partition("\n")[0][:120]
            found += [
                f"{name} {version}: {one['id']} {about}".rstrip()
                for used, version in packages
                if used == name and is_affected(version, affected)
            ]
    return sorted(set(found))


def asked(packages: Packages, address: str) -> list[str]:
    """Ask a server that speaks the OSV query form (``querybatch``) about all packages at once."""
    if not address.startswith("https://"):
        raise ValueError(f"{address} is no https address")
    used = sorted(packages)
    queries = [
        {"package": {"name": name, "ecosystem": ECOSYSTEM}, "version": version}
        for name, version in used
    ]
    request = urllib.request.Request(  # noqa: S310 - https, looked at above
        address,
        json.dumps({"queries": queries}).encode(),
        {"content-type": "application/json"},
    )
    with urllib.request.urlopen(request, timeout=PATIENCE) as answer:  # noqa: S310 - as above
        results = json.loads(answer.read())["results"]
    pairs = zip(used, results, strict=True)
    return sorted(
        f"{name} {version}: {one['id']}"
        for (name, version), result in pairs
        for one in result.get("vulns", ())
    )


def main(words: list[str]) -> int:
    """Say what is known of the packages of the lock file."""
    if not (len(words) == 1 or (len(words) == 2 and words[0] == "--ask")):
        print("Usage: python tools/audit.py FILE-OR-FOLDER | --ask URL", file=sys.stderr)
        return 2
    packages = locked(LOCK.read_text("utf-8"))
    try:
        if words[0] == "--ask":
            found = asked(packages, words[1])
        else:
            found = holes(packages, advisories(Path(words[0])))
    except (OSError, ValueError, KeyError, InvalidVersion) as error:
        print(f"this cannot be read as advisories: {error}", file=sys.stderr)
        return 2
    for line in found:
        print(line)
    print(f"{len(packages)} packages, {len(found)} known holes")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
