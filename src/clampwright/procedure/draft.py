"""What has been understood so far while a text is being read."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from clampwright.procedure.amounts import Amount
from clampwright.procedure.clauses import Clause
from clampwright.procedure.reading import Limit, Role
from clampwright.procedure.stage import Check, Fasteners, Figure, Kind, Order, Stage
from clampwright.procedure.tokens import Token
from clampwright.procedure.vocabulary import Vocabulary, fold
from clampwright.words import Words, words

LOOK_BACK = 200
"""Stages looked back on; a text with more is no procedure but must still be read in linear time."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What a stage is applied to, as the text names it.

    Parameters
    ----------
    text : str
        Such as ``Inner wheel nuts``.
    names : frozenset of str
        Its telling words, folded, to compare subjects by.
    listed : bool
        Whether it heads a line of a list or table.
    general : bool
        Whether it is only a word such as bolts, with or without a thread size.
    """

    text: str
    names: frozenset[str]
    listed: bool = False
    general: bool = False


@dataclass(slots=True, eq=False)
class Slot:
    """A place in the order of work: one certain stage, or a question with its alternatives.

    Parameters
    ----------
    options : list of list of Stage
        One list with one stage when certain; several to choose from; none when the question has
        no candidates.
    certain : bool
        Whether nothing has to be asked here.
    sentence : int
        Number of the sentence it comes from.
    tokens : tuple of int
        The figure it was made from.
    extra : tuple of int
        Figures met later that changed it: limits, other units, a wrench setting.
    around : sequence of int
        The clause it was met in.
    """

    options: list[list[Stage]]
    certain: bool
    sentence: int
    subject: Subject | None = None
    fasteners: Fasteners = "all"
    order: Order | None = None
    explicit: bool = False
    variants: frozenset[str] = frozenset()
    conditional: bool = False
    case: str = ""
    curing: bool = False
    per_fastener: bool = False
    tokens: tuple[int, ...] = ()
    extra: tuple[int, ...] = ()
    around: Sequence[int] = ()
    question: tuple[str, Words] | None = None

    @property
    def stage(self) -> Stage:
        """The stage, or the first alternative."""
        return self.options[0][0]

    @property
    def kind(self) -> str:
        """Kind of the stage; empty for a question without candidates."""
        return self.options[0][0].kind if self.options and self.options[0] else ""

    def change(self, **fields: object) -> None:
        """Change fields of the stage in every alternative."""
        self.options = [
            [replace(stage, **fields) for stage in one]  # type: ignore[arg-type]  # names of fields
            for one in self.options
        ]


@dataclass(slots=True)
class Draft:
    """The state of reading.

    Parameters
    ----------
    tokens : list of Token
    text : str
        The plain text.
    """

    tokens: Sequence[Token]
    text: str
    clauses: list[Clause] = field(default_factory=list)
    """Every clause that was met, in order."""
    homes: dict[int, Clause] = field(default_factory=dict)
    """The same by the identity of their lists of tokens, which the slots keep."""
    spoken: dict[int, list[int]] = field(default_factory=dict)
    """The tokens of each sentence."""
    slots: list[Slot] = field(default_factory=list)
    settled: list[Slot] = field(default_factory=list)
    why: list[Words] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    marks: dict[int, tuple[Role, Words]] = field(default_factory=dict)
    lubrication: list[str] = field(default_factory=list)
    reuse: str | None = None
    limits: list[Limit] = field(default_factory=list)
    ceilings: list[Slot] = field(default_factory=list)
    """Limits said before the torque they hold for: "never exceed 35 N·m. Tighten to 30 N·m"."""
    unsettled: bool = False
    words: Vocabulary | None = None
    not_physical: Words | None = None
    tightens: bool = False
    commanded: bool = False

    @property
    def language(self) -> str:
        """Language of the words."""
        return self.words.language if self.words else "en"

    def is_general(self, name: str) -> bool:
        """Tell a bare "nut" from a name such as "hub nut"."""
        if self.words is None:
            return False
        return any(kind == "GENERAL" for kind, _ in self.words.meanings(fold(name)))

    def meet(self, clause: Clause) -> None:
        """Note a clause that is about to be read."""
        self.clauses.append(clause)
        self.homes[id(clause.own)] = clause
        self.spoken.setdefault(clause.sentence, []).extend(clause.own)

    def warn(self, code: str) -> None:
        """Note a caution once."""
        if code not in self.warnings:
            self.warnings.append(code)

    def ask(self, code: str, why: Words) -> None:
        """Note that a person must settle something that has no complete alternatives."""
        self.warn(code)
        self.why.append(why)
        self.unsettled = True

    def collect_questions(self) -> None:
        """Add the questions that stand at single stages."""
        for slot in self.slots:
            if slot.question is not None and not slot.certain:
                self.warn(slot.question[0])
                self.why.append(slot.question[1])

    def mark(self, indices: Iterable[int], role: Role, what: Words) -> None:
        """Note what became of tokens; the first word on each of them stands."""
        for index in indices:
            self.marks.setdefault(index, (role, what))

    def written(self, indices: Sequence[int]) -> str:
        """Return the text of tokens as it stands."""
        if not indices:
            return ""
        start, end = self.tokens[min(indices)].start, self.tokens[max(indices)].end
        return " ".join(self.text[start:end].split())

    def place_of(self, slot: Slot) -> int:
        """Return the place of a slot, looking from the end."""
        for place in range(len(self.slots) - 1, -1, -1):
            if self.slots[place] is slot:
                return place
        raise ValueError(slot.kind)  # only slots of this draft are asked for

    def last(self, *kinds: str) -> Slot | None:
        """Return the latest slot of some kinds (any kind if none is named)."""
        for slot in reversed(self.slots[-LOOK_BACK:]):
            if slot.options and (not kinds or slot.kind in kinds):
                return slot
        return None


def number_of(value: Fraction | None) -> float | None:
    """Return a value as plain number for a stage.

    Parameters
    ----------
    value : Fraction or None

    Returns
    -------
    float or None
    """
    return None if value is None else float(value)


def stage_of(
    kind: Kind,
    amount: Amount,
    *,
    draft: Draft,
    also: Sequence[Amount] = (),
    check: Check | None = None,
    note: str = "",
) -> Stage:
    """Return the stage that an amount describes.

    Parameters
    ----------
    kind : str
    amount : Amount
    draft : Draft
        For the text as written.
    also : sequence of Amount
        The same in other units.
    check : str, optional
    note : str

    Returns
    -------
    Stage
    """
    value = amount.value
    if check is not None and amount.from_range:
        value = None
    odd = amount.written_unit or amount.oddities & {"thousands", "foreign_mark", "letters"}
    return Stage(
        kind=kind,
        value=number_of(value),
        unit=amount.unit,
        tolerance_low=number_of(amount.low),
        tolerance_high=number_of(amount.high),
        note=note,
        also=tuple(figure_of(one) for one in also),
        as_written=draft.written(amount.tokens) if odd else "",
        check=check,
        value_from="range_midpoint" if amount.from_range and value is not None else "",
    )


def figure_of(amount: Amount) -> Figure:
    """Return an amount as the figure that stands beside another.

    Parameters
    ----------
    amount : Amount

    Returns
    -------
    Figure
    """
    return Figure(
        number_of(amount.value), amount.unit, number_of(amount.low), number_of(amount.high)
    )


def shown(value: Fraction | float | None) -> str:
    """Return a number for a sentence.

    Parameters
    ----------
    value : Fraction, float or None

    Returns
    -------
    str
    """
    return "?" if value is None else f"{float(value):.6g}"


USED_TORQUE = words("torque")
USED_ANGLE = words("angle")
