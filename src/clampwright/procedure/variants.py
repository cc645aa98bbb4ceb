"""Figures of which only one holds: by wheel, by gasket, by age of the bolts."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import takewhile

from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.scope import YEARS
from clampwright.procedure.stage import Stage
from clampwright.procedure.vocabulary import fold
from clampwright.words import words

_SURFACES = {"dry", "oiled", "anti_seize", "thread_locker"}
_GROUPS = (
    {"steel", "alloy"},
    {"aluminium", "iron", "steel"},
    {"petrol", "diesel"},
    {"manual", "automatic"},
    {"early", "late"},
    {"with", "without"},
    {"conical", "flat"},
    {"used", "new"},
    _SURFACES,
    {"cold", "hot"},
    {"front", "rear"},
)


_BREAKS = frozenset({",", ";", ".", "n", "a", "h", "|", ":", "("})
_SHARED = 4
"""Letters at the end of two names that show them to be of one kind: Kegelsitz, Flachsitz."""

Keep = Callable[[Slot], bool]


def choose_variant(draft: Draft) -> list[Keep] | None:
    """Ask which variant is in hand, when the text gives a figure for each.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of callable or None
        For each variant, which slots hold for it; None when there is nothing to choose.
    """
    torques = [slot for slot in draft.slots if slot.kind in {"torque", "angle", "torque_check"}]
    values = {value for slot in torques for value in slot.variants}
    years = {value for value in values if value.startswith(YEARS)}
    groups = (*_GROUPS, years)
    named = next((group & values for group in groups if len(group & values) > 1), None)
    if named is None:
        return _against_the_plain(draft, torques, values) or _by_case(draft) or _by_kind(draft)
    if any(len(slot.variants & named) > 1 for slot in torques):
        return None
    if named <= _SURFACES:
        draft.lubrication[:] = [
            code for code in draft.lubrication if code not in named and code[:4] != "oil_"
        ]
    if named == {"used", "new"} and draft.reuse == "new_required":
        draft.reuse = None
    _asked(draft)
    return [
        partial(_holds_for, named=named, value=value)
        for value in sorted(named, key=lambda value: _first(torques, value))
    ]


def _holds_for(slot: Slot, *, named: set[str], value: str) -> bool:
    return not slot.variants & named or value in slot.variants


def _is_not(slot: Slot, other: Slot) -> bool:
    return slot is not other


def _first(torques: list[Slot], value: str) -> int:
    return next(place for place, slot in enumerate(torques) if value in slot.variants)


def _against_the_plain(draft: Draft, torques: list[Slot], values: set[str]) -> list[Keep] | None:
    """Take "60 N·m (used bolts 50 N·m)" as two alternatives."""
    conditional = [slot for slot in torques if slot.variants and slot.conditional]
    if len(conditional) != 1 or len(values) != 1 or len(torques) < 2:
        return None
    special = conditional[0]
    place = draft.slots.index(special)
    plain = next(
        (slot for slot in reversed(draft.slots[:place]) if slot.kind == special.kind), None
    )
    if plain is None:
        return None
    _asked(draft)
    return [partial(_is_not, other=special), partial(_is_not, other=plain)]


def _by_case(draft: Draft) -> list[Keep] | None:
    """Take "if M8, 25 N·m; otherwise 50 N·m" as alternatives."""
    torques = [slot for slot in draft.slots if slot.kind == "torque"]
    cases = list(dict.fromkeys(slot.case for slot in torques))
    if len(cases) < 2 or all(not case for case in cases):
        return None
    _asked(draft)
    return [partial(_of_case, case=case, cases=cases) for case in cases]


def _by_kind(draft: Draft) -> list[Keep] | None:
    """Take "spark plugs: cone seat 15 N·m, flat seat 25 N·m" as alternatives.

    The fastener is named before; what stands before each torque names no other fastener, and
    shares a word, or the end of one, with what stands before the other.
    """
    torques = [slot for slot in draft.slots if slot.kind == "torque"]
    if len(torques) != 2 or len(torques) != len(draft.slots):
        return None
    first, then = torques
    heading = _heading(draft, first)
    if first.sentence != then.sentence or not heading or first.fasteners != then.fasteners:
        return None
    if not (first.certain and then.certain and first.tokens and then.tokens):
        return None
    names = [_kind_names(draft, slot) for slot in torques]
    if not all(names) or not any(_akin(one, other) for one in names[0] for other in names[1]):
        return None
    if names[0] == names[1]:
        return None
    _asked(draft)
    return [partial(_is_not, other=then), partial(_is_not, other=first)]


def _heading(draft: Draft, slot: Slot) -> bool:
    """Tell whether a fastener and a colon open the sentence of a stage."""
    own = [clause for clause in draft.clauses if clause.sentence == slot.sentence]
    opening = own[0] if own else None
    return (
        opening is not None
        and opening.ends_with == ":"
        and opening.has("FASTENER")
        and not opening.figures
    )


def _kind_names(draft: Draft, slot: Slot) -> list[str]:
    """Return the words right before a torque; none where they name a fastener or a number."""
    found: list[str] = []
    for index in range(min(slot.tokens) - 1, max(-1, min(slot.tokens) - 9), -1):
        token = draft.tokens[index]
        if token.letter in _BREAKS:
            break
        if token.letter not in {"", "w", "v", "t"} or token.has("FASTENER", "TIGHTEN", "TORQUE"):
            return []
        if token.letter == "w":
            found.append(fold(token.text))
    return found


def _akin(one: str, other: str) -> bool:
    pairs = zip(reversed(one), reversed(other), strict=False)
    shared = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))
    return shared >= _SHARED and (one == other or min(len(one), len(other)) > shared)


def _of_case(slot: Slot, *, case: str, cases: list[str]) -> bool:
    return (
        slot.case == case or (slot.case not in cases) or (not slot.case and slot.kind != "torque")
    )


def _asked(draft: Draft) -> None:
    draft.warn("variant_choice")
    draft.why.append(words("the text gives figures for several variants; which one is in hand?"))


def stages_where(draft: Draft, keep: Keep) -> list[Stage]:
    """Return the stages of the slots that hold for a variant.

    Parameters
    ----------
    draft : Draft
    keep : callable

    Returns
    -------
    list of Stage
    """
    return [slot.stage for slot in draft.slots if slot.options and keep(slot)]
