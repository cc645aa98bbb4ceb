"""One tool's part of a drawer file, taken out and put into another one as it was written."""

from __future__ import annotations

import re

from clampwright.drawer.files import load_drawer
from clampwright.errors import Refused
from clampwright.tomlfile import end_of, line_of
from clampwright.words import words

_ID = re.compile(r"""(?m)^[ \t]*id[ \t]*=[ \t]*(?:"[^"\n]*"|'[^'\n]*')""")
_FIRST_TABLE = re.compile(r"(?m)^[ \t]*\[(?!\[tool\]\])")


def tool_text(text: str, tool_id: str) -> str:
    r"""Return the tables of one tool, as they stand in a drawer file.

    Parameters
    ----------
    text : str
        The drawer file; it can be read.
    tool_id : str

    Returns
    -------
    str

    Raises
    ------
    Refused
        When the tools are not written as ``[[tool]]`` tables.

    Examples
    --------
    >>> bars = "[[tool]]\nid = 'a'\ntitle = 'A'\nkind = 'bar'\ndrive = '1/2 in'\n"
    >>> bars += "\n[[tool]]\nid = 'b'\ntitle = 'B'\nkind = 'bar'\ndrive = '1/2 in'\n"
    >>> tool_text(bars, "b").splitlines()[:2]
    ['[[tool]]', "id = 'b'"]
    """
    place = [tool.id for tool in load_drawer(text.encode(), "drawer").tools].index(tool_id)
    begin, end = line_of(text, ("tool", place)), end_of(text, ("tool", place))
    lines = text.splitlines()
    if begin is None or end is None or lines[begin - 1].split("#")[0].strip() != "[[tool]]":
        raise Refused(words("write the tools as [[tool]] tables, so that one can be handed over"))
    return "\n".join([*lines[begin - 1 : end], ""])


def with_id(table: str, tool_id: str) -> str:
    r"""Return the tables of a tool under another id.

    Parameters
    ----------
    table : str
        As `tool_text` gives it.
    tool_id : str

    Returns
    -------
    str

    Examples
    --------
    >>> with_id("[[tool]]\nid = 'a'\n\n[tool.calibration]\n", "b")
    '[[tool]]\nid = "b"\n\n[tool.calibration]\n'
    """
    own = _FIRST_TABLE.search(table)
    end = own.start() if own else len(table)
    return _ID.sub(f'id = "{tool_id}"', table[:end], count=1) + table[end:]


def with_tool(text: str, table: str, name: str) -> str:
    """Return a drawer file with the tables of one more tool; it can be read.

    Parameters
    ----------
    text : str
        The drawer file; may be empty.
    table : str
        As `tool_text` gives it.
    name : str
        Of the file, for messages.

    Returns
    -------
    str

    Raises
    ------
    BadFile
        When the tool's tables cannot be taken.
    """
    whole = f"{text.rstrip()}\n\n{table}" if text.strip() else table
    load_drawer(whole.encode(), name)
    return whole
