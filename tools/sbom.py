"""Write what the program is made of, as a software bill of materials (CycloneDX 1.5, JSON).

``python tools/sbom.py FILE`` reads ``requirements.lock`` (names, versions, hashes) and, where a
package is installed, its licence. The same lock and the same packages give the same file.
"""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator, Mapping
from importlib import metadata
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
LOCK = ROOT / "requirements.lock"
_PACKAGE = re.compile(r"^([a-z0-9][a-z0-9._-]*)(?:\[[^\]]*\])?==([^ ;\\]+)", re.IGNORECASE)
_HASH = re.compile(r"--hash=sha256:([0-9a-f]{64})")


def components(lock: str) -> Iterator[dict[str, Any]]:
    """Go through the packages of a lock file.

    Parameters
    ----------
    lock : str
        Its text.

    Yields
    ------
    dict
        A component of the bill. Its hashes are those of every file the lock allows.
    """
    current: dict[str, Any] | None = None
    for line in lock.splitlines():
        found = _PACKAGE.match(line)
        if found:
            if current is not None:
                yield current
            name, version = found.groups()
            current = {
                "type": "library",
                "name": name,
                "version": version,
                "purl": f"pkg:pypi/{name}@{version}",
                "hashes": [],
                **_licence(name),
            }
        for digest in _HASH.findall(line):
            if current is None:
                raise SystemExit(f"{LOCK.name}: a hash before any package")
            current["hashes"].append({"alg": "SHA-256", "content": digest})
    if current is not None:
        yield current


def _licence(name: str) -> Mapping[str, Any]:
    try:
        found = metadata.metadata(name)
    except metadata.PackageNotFoundError:
        return {}
    said = found.json.get("license_expression") or ""
    return {"licenses": [{"expression": said}]} if said else {}


def bill() -> dict[str, Any]:
    """Return the whole bill."""
    text = (ROOT / "src/clampwright/__init__.py").read_text("utf-8")
    version = re.search(r'__version__ = "([^"]+)"', text)
    if version is None:
        raise SystemExit("src/clampwright/__init__.py names no version")
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": {
            "component": {
                "type": "application",
                "name": "clampwright",
                "version": version[1],
                "purl": f"pkg:pypi/clampwright@{version[1]}",
                "licenses": [{"expression": "Apache-2.0"}],
            }
        },
        "components": list(components(LOCK.read_text("utf-8"))),
    }


def main() -> None:
    """Write the bill into the file named on the command line."""
    if len(sys.argv) != 2:
        raise SystemExit("Usage: python tools/sbom.py FILE")
    made = bill()
    text = json.dumps(made, indent=1, ensure_ascii=False) + "\n"
    Path(sys.argv[1]).write_text(text, "utf-8")
    print(f"{sys.argv[1]}: {len(made['components'])} components")


if __name__ == "__main__":
    main()
