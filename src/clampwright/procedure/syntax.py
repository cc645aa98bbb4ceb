"""From tokens to the phrases of the grammar."""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from clampwright.procedure.tokens import Token

if TYPE_CHECKING:
    from lark import Lark, Tree

FOLDER = Path(__file__).parent
GRAMMAR = FOLDER / "grammar.lark"
TABLES = FOLDER / "grammar.json"


@dataclass(slots=True)
class Item:
    """One phrase.

    Parameters
    ----------
    kind : str
        Its rule in the grammar, such as ``figure``, ``step_head`` or ``mark``.
    tokens : tuple of int
        Positions of its tokens, without those of inner items.
    parts : list of Item
        Of a figure: its amounts, and the group behind it; of a group: what stands in it.
    """

    kind: str
    tokens: tuple[int, ...] = ()
    parts: list[Item] = field(default_factory=list)
    amounts: tuple[Any, ...] | None = field(default=None, compare=False, repr=False)
    """What it amounts to, once asked for (amounts.py)."""

    @property
    def first(self) -> int:
        """Position of its first token."""
        if not self.parts:
            return self.tokens[0]
        inner = [part.first for part in self.parts]
        return min((*self.tokens, *inner))

    @property
    def last(self) -> int:
        """Position of its last token."""
        if not self.parts:
            return self.tokens[-1]
        inner = [part.last for part in self.parts]
        return max((*self.tokens, *inner))


def build() -> Lark:
    """Return the parser made from the grammar itself.

    Returns
    -------
    lark.Lark
    """
    from lark import Lark

    return Lark(GRAMMAR.read_text(encoding="utf-8"), parser="lalr", lexer="basic")


def tables() -> dict[str, Any]:
    """Return the prepared form of the parser, as it is kept beside the grammar.

    Returns
    -------
    dict
        Plain data: version of lark, fingerprint of the grammar, parser and memo.
    """
    import lark
    from lark.grammar import Rule
    from lark.lexer import TerminalDef

    data, memo = build().memo_serialize([TerminalDef, Rule])
    made = {"lark": lark.__version__, "grammar": _fingerprint(), "data": data, "memo": memo}
    plain: dict[str, Any] = json.loads(json.dumps(made))
    return plain


@lru_cache(maxsize=1)
def parser() -> Lark:
    """Return the parser: from the prepared tables if they fit the grammar and lark's version."""
    import lark

    kept = json.loads(TABLES.read_text(encoding="utf-8"), object_hook=_whole_keys)
    if kept["lark"] != lark.__version__ or kept["grammar"] != _fingerprint():
        return build()
    loaded: Lark = lark.Lark.load(kept)
    return loaded


def _fingerprint() -> int:
    return zlib.crc32(GRAMMAR.read_bytes())


def _whole_keys(data: dict[str, Any]) -> dict[Any, Any]:
    """Turn the keys that JSON made text back into whole numbers."""
    if next(iter(data), "").isdigit():
        return {int(key): value for key, value in data.items()}
    return data


def phrases(tokens: Sequence[Token], start: int = 0) -> list[Item]:
    """Return the phrases of a run of tokens.

    Parameters
    ----------
    tokens : sequence of Token
        Their letters are what the grammar sees.
    start : int
        Position of the first of them in the whole text.

    Returns
    -------
    list of Item
    """
    letters = [token.letter for token in tokens]
    where = [start + index for index, letter in enumerate(letters) if letter]
    tree = _parsed(balanced("".join(letters)))
    if tree is None:
        return _flat(letters, where)
    return [_item(child, where) for child in tree.children if not isinstance(child, str)]


@lru_cache(maxsize=4096)
def _parsed(letters: str) -> Tree[Any] | None:
    """Return the tree of a string of letters, or None where none fits; sentences repeat."""
    try:
        return parser().parse(letters)
    except ValueError:  # lark's errors of parsing are ValueErrors
        return None


def _flat(letters: Sequence[str], where: Sequence[int]) -> list[Item]:
    """Return every token as a phrase of its own, so that all numbers come up as unexplained."""
    kinds = {"N": "number", "W": "number", **dict.fromkeys("QALHKFV%", "unit"), "E": "enumerator"}
    shown = [letter for letter in letters if letter]
    return [Item(kinds.get(x, "mark"), (i,)) for x, i in zip(shown, where, strict=True)]


_BRACKETS = re.compile(r"\([^()n]{0,120}\)")


def balanced(letters: str) -> str:
    """Return the letters with every bracket that has no near partner made a plain word.

    Parameters
    ----------
    letters : str

    Returns
    -------
    str

    Examples
    --------
    >>> balanced("(N)(N((Q))")
    '(N)wNw(Q)w'
    """
    kept = {
        position
        for match in _BRACKETS.finditer(letters)
        for position in (match.start(), match.end() - 1)
    }
    return "".join(
        "w" if letter in "()" and position not in kept else letter
        for position, letter in enumerate(letters)
    )


def _item(tree: Tree[Any], where: Sequence[int]) -> Item:
    item = Item(str(tree.data))
    own: list[int] = []
    for child in tree.children:
        if isinstance(child, str):
            begin = getattr(child, "start_pos", 0)
            own.extend(where[begin : begin + len(child)])
        else:
            item.parts.append(_item(child, where))
    item.tokens = tuple(own)
    return item


def walk(items: Sequence[Item]) -> Iterator[Item]:
    """Yield items and all that stands inside them.

    Parameters
    ----------
    items : sequence of Item

    Yields
    ------
    Item
    """
    for item in items:
        yield item
        yield from walk(item.parts)


if __name__ == "__main__":
    TABLES.write_text(json.dumps(tables(), indent=0, sort_keys=True) + "\n", encoding="utf-8")
