"""Where the reader stands in the text: sentence, step, joint, and what was said on the way."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from clampwright.procedure.amounts import Amount
from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.draft import Draft, Slot, Subject
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.stage import Fasteners, Order, Stage, WrenchSetting
from clampwright.procedure.tokens import Token
from clampwright.words import Words

_VERBS = ("TIGHTEN", "RETIGHTEN", "TURN", "LOOSEN", "TORQUE")
YEARS = "year "
"""How the years a figure holds for are told from the named variants."""

_COATED = frozenset({"anti_seize", "thread_locker"})
_YEAR = re.compile(r"19[5-9]\d|20[0-4]\d")
_VERB_LAST = frozenset({"de", "nl", "ja"})


@dataclass(frozen=True, slots=True)
class LeftHand:
    """Where the text speaks of a left-hand thread.

    Parameters
    ----------
    subject : Subject or None
        The part it speaks of, when one has been named.
    own : tuple of Slot
        The stages of its sentence; none when it is a heading or a remark.
    opens : bool
        Whether no stage stands before it.
    """

    subject: Subject | None
    own: tuple[Slot, ...]
    opens: bool


@dataclass(slots=True)
class Scope:
    """The place in the text, and what holds there.

    Parameters
    ----------
    draft : Draft
    sentence : Sentence
        The one being read.
    """

    draft: Draft
    sentence: Sentence
    following: Sentence | None = None
    clause: Clause | None = None
    subject: Subject | None = None
    fasteners: Fasteners = "all"
    fasteners_step: object = None
    headed_fasteners: Fasteners = "all"
    step: object = None
    steps: dict[object, list[Slot]] = field(default_factory=dict)
    declared: str = ""
    portions: list[tuple[float, tuple[int, ...]]] = field(default_factory=list)
    recheck: bool = False
    checked: bool = False
    per_fastener: bool = False
    started: int = 0
    passes: tuple[int, int] | None = None
    left_hand: bool = False
    left_subject: Subject | None = None
    left: list[LeftHand] = field(default_factory=list)
    ccw: bool = False
    variants: frozenset[str] = frozenset()
    heading: int = -1
    headed: Subject | None = None
    run_in: bool = False
    running: bool = False
    setting: WrenchSetting | None = None
    retightened: int = -1
    case: str = ""
    total: Slot | None = None
    alternative: int | None = None
    deferred: list[Slot] = field(default_factory=list)
    sentence_order: Order | None = None
    text_order: Order | None = None

    def add(
        self,
        options: Sequence[Sequence[Stage]],
        *,
        certain: bool = True,
        tokens: Sequence[int] = (),
        explicit: bool = False,
        at: int | None = None,
    ) -> Slot:
        """Put a stage, or a question with its alternatives, into the order of work.

        Parameters
        ----------
        options : sequence of sequences of Stage
        certain : bool
        tokens : sequence of int
            Where it stands in the text.
        explicit : bool
            Whether the text says that an angle comes on top of what was before.
        at : int, optional
            Place among the slots; the end if not given.

        Returns
        -------
        Slot
        """
        slot = Slot(
            [list(one) for one in options],
            certain,
            self.sentence.number,
            subject=self.subject,
            fasteners=self.fasteners,
            explicit=explicit,
            per_fastener=self.per_fastener,
            tokens=tuple(tokens),
        )
        if self.clause is not None:
            slot.variants = variants_of(self.clause) | self.variants
            slot.case, slot.around = self.case, self.clause.own
            slot.conditional = "if" in self.clause.leads or self.clause.inside
        place = len(self.draft.slots) if at is None else at
        self.draft.slots.insert(place, slot)
        if self.step is not None:
            self.steps.setdefault(self.step, []).append(slot)
        return slot

    def ask(
        self,
        code: str,
        why: Words,
        options: Sequence[Sequence[Stage]],
        tokens: Sequence[int] = (),
    ) -> Slot:
        """Put a question with its alternatives into the order of work."""
        slot = self.add(options, certain=False, tokens=tokens)
        slot.question = (code, why)
        return slot

    def set_order(self, order: Order, *, own: bool = False) -> None:
        """Note an order of work for the present sentence, or for the whole text."""
        if own:
            self.sentence_order = order
        else:
            self.text_order = order

    @property
    def new_slots(self) -> list[Slot]:
        """Slots that come from the present sentence."""
        return self.draft.slots[self.started :]

    def before(self, quantity: Quantity, others: Sequence[Quantity]) -> list[int]:
        """Return the words between a quantity and the one before it, or the clause's start."""
        clause = self.clause
        if clause is None:
            return []
        floor = max((other.last for other in others if other.last < quantity.first), default=-1)
        return [index for index in clause.own if floor < index < quantity.first]

    def behind(self, quantity: Quantity, others: Sequence[Quantity]) -> list[int]:
        """Return the words between a quantity and the next one, or the clause's end."""
        clause = self.clause
        if clause is None:
            return []
        roof = min((other.first for other in others if other.first > quantity.last), default=10**9)
        return [index for index in clause.own if quantity.last < index < roof]

    def verb_of(self, quantity: Quantity) -> Token | None:
        """Return the verb of a quantity: the one behind it where verbs stand last, else before."""
        clause = self.clause
        if clause is None:
            return None
        verbs = [index for index, token in clause.words() if token.has(*_VERBS)]
        behind = [index for index in verbs if index > quantity.last]
        ahead = [index for index in verbs if index < quantity.first]
        last = self.draft.language in _VERB_LAST
        chosen = behind[:1] + ahead[-1:] if last else ahead[-1:] + behind[:1]
        return self.draft.tokens[chosen[0]] if chosen else None

    def any(self, indices: Sequence[int], *names: str) -> bool:
        """Tell whether one of some tokens is a word of one of some classes."""
        return any(self.draft.tokens[index].has(*names) for index in indices)


def variants_of(clause: Clause) -> frozenset[str]:
    """Return which of several cases the figures of a clause hold for.

    Parameters
    ----------
    clause : Clause

    Returns
    -------
    frozenset of str
    """
    found = set(clause.values("VARIANT"))
    if clause.has("USED") or ("if" in clause.leads and clause.has("REUSE")):
        found.add("used")
    elif clause.has("NEW") and (clause.has("FASTENER", "ROTOR", "BEARING") or _alone(clause)):
        found.add("new")
    coated = _COATED & set(clause.values("LUBE"))
    found |= coated
    if "dry" in clause.values("LUBE"):
        found.add("dry")
    elif clause.has("OIL") and not coated:
        found.add("oiled")
    if years := _years(clause):
        found.add(YEARS + years)
    return frozenset(found)


def _years(clause: Clause) -> str:
    """Return the model years of "up to 2010: 60 N·m, from 2011: 80 N·m"; a measure is none."""
    found = []
    for index in clause.own:
        behind = clause.tokens[index + 1 : index + 2]
        measured = any(token.letter and token.letter in "QALHKFV%" for token in behind)
        if _YEAR.fullmatch(clause.tokens[index].text) and not measured:
            found.append(clause.tokens[index].text)
    return " ".join(found)


def _alone(clause: Clause) -> bool:
    """Tell whether a bracket holds one word only, as "(new)" does."""
    spoken = [index for index in clause.own if clause.tokens[index].letter]
    return clause.inside and len(spoken) == 1


def with_value(amount: Amount, value: object) -> Amount:
    """Return an amount with another value, limits scaled out of it.

    Parameters
    ----------
    amount : Amount
    value : Fraction

    Returns
    -------
    Amount
    """
    return replace(amount, value=value, low=None, high=None, from_range=False)  # type: ignore[arg-type]  # a Fraction
