"""The finished stages of a draft, as the last looks at them need them."""

from __future__ import annotations

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Draft, Slot

PULLED = frozenset({"torque", "angle", "stretch"})
BACK = frozenset({"loosen", "back_off_then"})


def made(draft: Draft) -> list[Slot]:
    """Return the stages that are certain, in working order.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of Slot
    """
    return [slot for slot in draft.slots if slot.certain and slot.options]


def told(draft: Draft) -> list[Slot]:
    """Return the certain stages that have a figure or words of their own.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of Slot
    """
    return [slot for slot in made(draft) if slot.tokens]


def one_joint(first: Slot, then: Slot) -> bool:
    """Tell whether two stages are for the same fasteners.

    Parameters
    ----------
    first, then : Slot

    Returns
    -------
    bool
    """
    return first.stage.fasteners == then.stage.fasteners


def clause_of(draft: Draft, slot: Slot) -> Clause | None:
    """Return the clause a stage was met in.

    Parameters
    ----------
    draft : Draft
    slot : Slot

    Returns
    -------
    Clause or None
    """
    return draft.homes.get(id(slot.around))
