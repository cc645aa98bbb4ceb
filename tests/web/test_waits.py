"""What these tests wait for in a page is a function: the pages forbid the evaluating of strings.

The browser evaluates a function once, from outside the page's policy; a bare expression is
evaluated again at each look, which the policy refuses unless the first look is enough. Such a
test passes on a fast machine and fails on a busy one.
"""

from __future__ import annotations

import ast
import re
from pathlib import Path

HERE = Path(__file__).parent
FUNCTION = re.compile(r"""f?["']{1,3}\s*(async )?\(?[\w, ]*\)? =>""")


def waits(source: str) -> list[str]:
    """What each call of ``wait_for_function`` is given, as it is written."""
    calls = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call))
    return [
        ast.unparse(call.args[0])
        for call in calls
        if isinstance(call.func, ast.Attribute) and call.func.attr == "wait_for_function"
    ]


def test_every_wait_in_a_page_is_a_function() -> None:
    said = {path.name: waits(path.read_text(encoding="utf-8")) for path in HERE.glob("test_*.py")}
    assert sum(map(len, said.values())) > 10, "the calls are found"
    bare = {name: [one for one in each if not FUNCTION.match(one)] for name, each in said.items()}
    assert not {name: each for name, each in bare.items() if each}


def test_a_bare_expression_is_found() -> None:
    (bare,) = waits("page.wait_for_function(f'window.sockets > {before}')")
    (function,) = waits("page.wait_for_function(f'() => window.sockets > {before}')")
    assert not FUNCTION.match(bare)
    assert FUNCTION.match(function)
