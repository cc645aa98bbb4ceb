"""One place alone can send anything to the outside; what it is asked for stands in its callers."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import clampwright

ROOM = Path(clampwright.__file__).parent
SENDING = {"aiohttp", "ftplib", "http.client", "httpx", "httpx2", "psycopg", "requests", "smtplib",
           "telnetlib", "urllib.request", "urllib3"}  # fmt: skip
ALLOWED = {
    "bench/outside.py": "a person gave the command to ask an authority or a witness",
    "cli/feeding.py": "lines of a device, to this program's own server on this machine",
    "store/server.py": "the log's own database, in a workshop whose folder names one",
    "cli/practice_send.py": "a pull for practice, to this program's own server",
}
ASKING = {"bench/asking.py", "bench/stamping.py"}
TELLING = {"bench/telling.py"}
"""The only callers of the one place: who asks when a person says so, and who tells when a person
has turned a receiver on."""


def imported(tree: ast.AST) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{one.name}" for one in node.names)


def test_only_these_modules_can_send() -> None:
    found, asking, telling = set(), set(), set()
    for path in sorted(ROOM.rglob("*.py")):
        name = path.relative_to(ROOM).as_posix()
        names = set(imported(ast.parse(path.read_text(encoding="utf-8"))))
        if names & SENDING:
            found.add(name)
        if "clampwright.bench.outside.post" in names:
            asking.add(name)
        if "clampwright.bench.outside.deliver" in names:
            telling.add(name)
    assert found == set(ALLOWED)
    assert asking == ASKING
    assert telling == TELLING
