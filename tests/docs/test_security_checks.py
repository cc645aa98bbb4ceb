"""The list of security checks names tests that are there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "security-checks.md"


def test_every_test_named_on_the_page_exists() -> None:
    named = re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", PAGE.read_text("utf-8"))
    assert len(named) > 40
    missing = []
    for file, function in named:
        path = ROOT / file
        known = set()
        if path.is_file():
            tree = ast.parse(path.read_text("utf-8"))
            known = {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}
        if not known or (function and function not in known):
            missing.append(f"{file}::{function}")
    assert missing == []
