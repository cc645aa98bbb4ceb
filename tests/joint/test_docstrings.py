"""Every public function of joint mechanics says what it takes, what it gives, its source, and how.

Read from the files, so that a new function without them is found on the day it is written. Whether
an example runs is the doctests' business.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import clampwright.joint

FOLDER = Path(clampwright.joint.__file__).parent


def public_functions() -> Iterator[tuple[str, ast.FunctionDef]]:
    for path in sorted(FOLDER.glob("[a-z]*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield f"{path.stem}.{node.name}", node


FUNCTIONS = dict(public_functions())


def arguments(function: ast.FunctionDef) -> list[str]:
    given = function.args
    return [one.arg for one in (*given.posonlyargs, *given.args, *given.kwonlyargs)]


def section(docstring: str, title: str) -> str:
    pattern = rf"^{title}\n-+\n(.*?)(?=\n\n\S[^\n]*\n-+\n|\Z)"
    match = re.search(pattern, docstring, re.MULTILINE | re.DOTALL)
    return match[1] if match else ""


def test_there_are_functions_to_read() -> None:
    assert len(FUNCTIONS) > 100


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_function_says_what_a_reader_needs(name: str) -> None:
    function = FUNCTIONS[name]
    docstring = ast.get_docstring(function) or ""
    gives_nothing = ast.unparse(function.returns) == "None" if function.returns else True
    assert section(docstring, "Examples"), "a runnable example"
    assert ">>>" in section(docstring, "Examples")
    assert section(docstring, "Returns") or gives_nothing, "what it returns"
    assert section(docstring, "References"), "its source"
    parameters = section(docstring, "Parameters")
    told = {
        one.strip(" *")
        for line in re.findall(r"^(\S[^:\n]*)(?: :|$)", parameters, re.MULTILINE)
        for one in line.split(",")
    }
    assert told >= set(arguments(function))
