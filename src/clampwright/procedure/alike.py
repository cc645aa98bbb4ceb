"""The same work on further fasteners: "turn bolt 1 by 90°. Proceed likewise with the others"."""

from __future__ import annotations

from clampwright.procedure.clauses import HEADS, Clause
from clampwright.procedure.draft import Slot
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Fasteners
from clampwright.procedure.steps import copy_slot
from clampwright.procedure.subjects import members
from clampwright.words import words

_NUMBERED = frozenset({"subset", "span", "reference"})


def done_alike(scope: Scope, clause: Clause) -> bool:
    """Let what was done to one fastener be done to those a clause names; tell whether it was.

    Parameters
    ----------
    scope : Scope
    clause : Clause

    Returns
    -------
    bool
    """
    if clause.figures or not _says_alike(clause):
        return False
    run = _last_run(scope.draft.slots)
    items = [item for item in clause.items if item.kind in _NUMBERED]
    named = {number for item in items for number in members(item, scope.draft)}
    if not run or not (named or clause.has("OTHERS", "ALL")):
        return False
    first = run[0].fasteners
    if isinstance(first, tuple) and not named.isdisjoint(first):
        return False  # the same bolts once more
    for item in items:
        scope.draft.mark(item.tokens, "used", words("which fasteners"))
    if isinstance(first, tuple) and len(first) == 1:  # one fastener was the example
        chosen: Fasteners = tuple(sorted(named | set(first))) if named else "all"
        for slot in run:
            slot.fasteners, slot.per_fastener = chosen, True
        return True
    others = scope.draft.written([i for i, token in clause.words() if token.has("OTHERS", "ALL")])
    for slot in run:
        copy_slot(scope, slot, "as before")
        scope.draft.slots[-1].fasteners = tuple(sorted(named)) or others.lower()
    return True


def _says_alike(clause: Clause) -> bool:
    """Tell "repeat for bolts 2 to 8" from "repeat step 2"."""
    steps = any(item.kind in HEADS for item in clause.items) or clause.has("STEP")
    return clause.has("ALIKE") or (clause.has("REPEAT") and not steps)


def _last_run(slots: list[Slot]) -> list[Slot]:
    """Return the stages at the end that are for the same numbered fasteners."""
    run: list[Slot] = []
    for slot in reversed(slots):
        if not isinstance(slot.fasteners, tuple) or (run and slot.fasteners != run[0].fasteners):
            break
        run.append(slot)
    return run[::-1]
