"""Phrases gathered into clauses and sentences: what belongs together before it is understood."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from clampwright.procedure.syntax import Item, phrases
from clampwright.procedure.tokens import Token

HARD = frozenset(".;n")
LONG = 150
"""Tokens after which a sentence is cut at the next chance; no instruction is as long."""

_SOFT = frozenset(",ha+/>:|-gr")
MOST_FIGURES = 12
"""Quantities in a row without any sign between them; no clause has more."""
HEADS = frozenset({"step_head", "step_list", "enumerator"})
_REFERS = ("REPEAT", "AFTER", "BEFORE", "SAME")
_LEADING_CLASSES = ("WHILE", "UNTIL", "IF")


@dataclass(slots=True)
class Clause:
    """A run of phrases between two breaks.

    Parameters
    ----------
    tokens : list of Token
        Of the whole text.
    leads : frozenset of str
        What stands before it: letters of signs, ``while``, ``until``, ``if``.
    sentence : int
        Number of its sentence.
    inside : bool
        Whether it stands in brackets.
    """

    tokens: Sequence[Token]
    leads: frozenset[str]
    sentence: int
    inside: bool = False
    items: list[Item] = field(default_factory=list)
    own: list[int] = field(default_factory=list)
    ends_with: str = ""
    quantities: tuple[int, tuple[Any, ...]] = field(default=(-1, ()), compare=False, repr=False)
    """How many items stood here when its quantities were gathered, and those (quantities.py)."""
    _classes: tuple[int, frozenset[str]] = (-1, frozenset())

    def words(self) -> Iterator[tuple[int, Token]]:
        """Yield its words with their positions."""
        for index in self.own:
            if self.tokens[index].means:
                yield index, self.tokens[index]

    def has(self, *names: str) -> bool:
        """Tell whether one of its words is of one of some classes."""
        count, found = self._classes
        if count != len(self.own):
            found = self.classes()
        return not found.isdisjoint(names)

    def classes(self) -> frozenset[str]:
        """Return the classes of its words."""
        if self._classes[0] != len(self.own):
            found = frozenset(name for _, token in self.words() for name, _ in token.means)
            self._classes = len(self.own), found
        return self._classes[1]

    def values(self, name: str) -> list[str]:
        """Return the values of its words of a class, in order."""
        if name not in self.classes():
            return []
        found = (token.value(name) for _, token in self.words())
        return [value for value in found if value is not None]

    def place(self, *names: str) -> int | None:
        """Return the position of its first word of some classes."""
        return next((index for index, token in self.words() if token.has(*names)), None)

    @property
    def figures(self) -> list[Item]:
        """Its quantities."""
        return [item for item in self.items if item.kind == "figure"]

    @property
    def empty(self) -> bool:
        """Whether nothing stands in it."""
        return not self.items and not self.own


@dataclass(slots=True)
class Sentence:
    """Clauses up to a full stop, a semicolon or the end of a line.

    Parameters
    ----------
    number : int
        Counted from 0.
    clauses : list of Clause
    """

    number: int
    clauses: list[Clause] = field(default_factory=list)
    _classes: frozenset[str] | None = None

    def has(self, *names: str) -> bool:
        """Tell whether one of its words is of one of some classes."""
        if self._classes is None:  # asked for only when all clauses are there
            self._classes = frozenset().union(*(clause.classes() for clause in self.clauses))
        return not self._classes.isdisjoint(names)


def sentences(tokens: Sequence[Token], start: int = 0, stop: int | None = None) -> list[Sentence]:
    """Return the sentences of a text.

    Parameters
    ----------
    tokens : sequence of Token
    start, stop : int
        The part of it to take; all if not given.

    Returns
    -------
    list of Sentence
    """
    made: list[Sentence] = []
    begin, end = start, len(tokens) if stop is None else stop
    for index in range(start, end):
        ended = tokens[index].letter in HARD and not _in_brackets(tokens, begin, index)
        ended = ended or _next_size(tokens, index)
        if (ended and tokens[index].letter) or _too_long(tokens, begin, index):
            _add(made, tokens, begin, index + 1)
            begin = index + 1
    _add(made, tokens, begin, end)
    return made


def _next_size(tokens: Sequence[Token], index: int) -> bool:
    """Tell where a row of sizes goes on without a stop: "M6: 10 N·m M8: 25 N·m"."""
    if tokens[index].letter != "Q":
        return False
    letters = "".join(token.letter for token in tokens[index + 1 : index + 12])
    if letters.startswith("w:N") and _names_only(tokens[index + 1 : index + 12]):
        return True  # "front: 90 N·m rear: 110 N·m"
    return letters.startswith(("M:", "M=", "M|", "MNQ", "(N)~(N):", "(N)-(N):"))


def _names_only(tokens: Sequence[Token]) -> bool:
    word = next(token for token in tokens if token.letter)
    return not word.means or word.has("VARIANT")


def _too_long(tokens: Sequence[Token], begin: int, index: int) -> bool:
    """Tell where to cut what is too long for a sentence, so that time grows with length only."""
    length, letter = index - begin, tokens[index].letter
    return (
        (length > LONG and letter in {",", "h", "a"})
        or (length > 2 * LONG and letter == "w")
        or length > 3 * LONG
    )


def _in_brackets(tokens: Sequence[Token], begin: int, index: int) -> bool:
    """Tell whether a semicolon stands in an open bracket: (15–18 lb·ft; 2.0–2.5 kgf·m)."""
    if tokens[index].letter == "n":
        return False
    depth = 0
    for token in tokens[max(begin, index - 40) : index]:
        depth += (token.letter == "(") - (token.letter == ")")
    return depth > 0 and any(token.letter == ")" for token in tokens[index : index + 40])


def _add(made: list[Sentence], tokens: Sequence[Token], begin: int, end: int) -> None:
    if end <= begin:
        return
    sentence = Sentence(len(made))
    items = phrases(tokens[begin:end], begin)
    _Gatherer(tokens, sentence).gather(items, begin, end)
    sentence.clauses = [clause for clause in sentence.clauses if not clause.empty]
    if sentence.clauses:
        made.append(sentence)


class _Gatherer:
    """Deals the items of one sentence out to its clauses."""

    def __init__(self, tokens: Sequence[Token], sentence: Sentence) -> None:
        self.tokens, self.sentence = tokens, sentence

    def gather(self, items: Sequence[Item], begin: int, end: int, *, inside: bool = False) -> None:
        """Fill the sentence with clauses made from items."""
        clause = self._new(frozenset(), inside=inside)
        position = begin
        groups: list[Item] = []
        for item in items:
            # Words without a letter stand between the items; they go with what follows.
            silent = range(position, item.first)
            position = item.last + 1
            if item.kind == "mark":
                leads = self._leads(item)
                if leads is not None:
                    clause.own.extend(silent)
                    clause = self._break(clause, leads, groups, inside=inside)
                    self._keep_word(clause, item)
                    continue
            clause.own.extend(silent)
            if item.kind == "figure" and len(clause.figures) >= MOST_FIGURES:
                clause = self._break(clause, frozenset({"|"}), groups, inside=inside)
            if item.kind in HEADS and not clause.has(*_REFERS):
                clause = self._break(clause, frozenset({"step"}), groups, inside=inside)
            clause.items.append(item)
            clause.own.extend(_outside_groups(item))
            groups.extend(_groups_of(item))
        clause.own.extend(range(position, end))
        self._flush(groups)

    def _new(self, leads: frozenset[str], *, inside: bool) -> Clause:
        clause = Clause(self.tokens, leads, self.sentence.number, inside)
        self.sentence.clauses.append(clause)
        return clause

    def _break(
        self, clause: Clause, leads: frozenset[str], groups: list[Item], *, inside: bool
    ) -> Clause:
        if clause.empty:
            clause.leads |= leads
            return clause
        clause.ends_with = next(iter(leads))
        self._flush(groups)
        return self._new(leads, inside=inside)

    def _flush(self, groups: list[Item]) -> None:
        """Put what stands in brackets behind the clause it was met in."""
        for group in groups:
            inner = group.parts
            begin, end = group.tokens[0] + 1, group.tokens[-1]
            if inner or end > begin:
                self.gather(inner, begin, end, inside=True)
        groups.clear()

    def _leads(self, item: Item) -> frozenset[str] | None:
        token = self.tokens[item.tokens[0]]
        if token.letter in _SOFT or token.letter in HARD:
            return frozenset({token.letter})
        for name in _LEADING_CLASSES:
            if token.has(name) and not (name == "UNTIL" and self._aims(item)):
                return frozenset({name.casefold()})
        return None

    def _aims(self, item: Item) -> bool:
        """Tell "bis 30 Nm" (up to) from "bis zum Anschlag" (until)."""
        token = self.tokens[item.tokens[0]]
        near = self.tokens[item.last + 1 : item.last + 20]
        after = next((t for t in near if t.letter), None)
        return token.has("TO") and after is not None and (after.letter in "NW" or after.has("MAX"))

    def _keep_word(self, clause: Clause, item: Item) -> None:
        """Keep the word that opens the clause among its words: it still means something."""
        if self.tokens[item.tokens[0]].means:
            clause.own.extend(item.tokens)


def _outside_groups(item: Item) -> list[int]:
    if item.kind == "group":
        return []
    own = list(item.tokens)
    for part in item.parts:
        own.extend(_outside_groups(part))
    return sorted(own)


def _groups_of(item: Item) -> list[Item]:
    if item.kind == "group":
        return [item]
    return [group for part in item.parts for group in _groups_of(part)]
