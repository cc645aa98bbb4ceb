"""Figures of which only one holds: by wheel, by gasket, by age of the bolts."""

from __future__ import annotations

from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.stage import Stage
from clampwright.words import words

_GROUPS = (
    {"steel", "alloy"},
    {"aluminium", "iron", "steel"},
    {"petrol", "diesel"},
    {"manual", "automatic"},
    {"early", "late"},
    {"with", "without"},
    {"used", "new"},
    {"dry", "oiled"},
)


def choose_variant(draft: Draft) -> list[list[Stage]] | None:
    """Ask which variant is in hand, when the text gives a figure for each.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of list of Stage or None
        Complete alternatives, one for each variant; None when there is nothing to choose.
    """
    torques = [slot for slot in draft.slots if slot.kind in {"torque", "angle"}]
    values = {value for slot in torques for value in slot.variants}
    named = next((group & values for group in _GROUPS if len(group & values) > 1), None)
    if named is None:
        return _against_the_plain(draft, torques, values)
    if any(len(slot.variants & named) > 1 for slot in torques):
        return None
    if named == {"dry", "oiled"}:
        draft.lubrication[:] = [c for c in draft.lubrication if c != "dry" and c[:4] != "oil_"]
    alternatives = [
        _stages(
            draft, lambda slot, value=value: not slot.variants & named or value in slot.variants
        )
        for value in sorted(named, key=lambda value: _first(torques, value))
    ]
    _asked(draft)
    return alternatives


def _first(torques: list[Slot], value: str) -> int:
    return next(place for place, slot in enumerate(torques) if value in slot.variants)


def _against_the_plain(
    draft: Draft, torques: list[Slot], values: set[str]
) -> list[list[Stage]] | None:
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
    return [
        _stages(draft, lambda slot: slot is not special),
        _stages(draft, lambda slot: slot is not plain),
    ]


def _asked(draft: Draft) -> None:
    draft.warn("variant_choice")
    draft.why.append(words("the text gives figures for several variants; which one is in hand?"))


def _stages(draft: Draft, keep: object) -> list[Stage]:
    if not callable(keep):
        return []
    return [slot.stage for slot in draft.slots if slot.options and keep(slot)]
