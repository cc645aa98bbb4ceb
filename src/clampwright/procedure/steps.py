"""Steps: their numbers, their repetition, the number of passes."""

from __future__ import annotations

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Slot
from clampwright.procedure.quantities import quantities
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.procedure.syntax import Item
from clampwright.words import words

MOST_STEPS = 100
"""Steps from one number to another; "steps 7 to 100000000" is no row of steps."""


def enter_step(scope: Scope, item: Item) -> None:
    """Let the stages that follow belong to a step.

    Parameters
    ----------
    scope : Scope
    item : Item
    """
    steps = _step_numbers(scope, item)
    step = steps[0] if steps else None
    if step in scope.steps and step != scope.step:
        scope.steps.clear()  # counted from the start again: another procedure
    scope.step = step
    if scope.fasteners_step != scope.step:
        scope.fasteners, scope.fasteners_step = scope.headed_fasteners, scope.step


def _step_numbers(scope: Scope, item: Item) -> list[object]:
    found: list[object] = []
    upto = False
    for index in item.tokens:
        token = scope.draft.tokens[index]
        number: int | None = None
        if token.number is not None:
            number = int(token.number.value)
        elif (ordinal := token.value("ORDINAL")) is not None:
            number = int(ordinal)
        elif token.letter in "-~t":
            upto = True
        elif token.letter in {"Z", "E"}:
            found.append(token.text)
        if number is not None:
            first = found[-1] if found else None
            if upto and isinstance(first, int) and number - first <= MOST_STEPS:
                found.extend(range(first + 1, number))
            found.append(number)
            upto = False
    return found


def repeat_steps(scope: Scope, item: Item) -> None:
    """Add the stages of earlier steps once more.

    Parameters
    ----------
    scope : Scope
    item : Item
    """
    draft = scope.draft
    for step in _step_numbers(scope, item):
        slots = list(scope.steps.get(step, ()))
        if not slots and isinstance(step, int) and not scope.steps and step <= len(draft.slots):
            slots = [draft.slots[step - 1]]
        if not slots:
            draft.ask(
                "unexpected_text",
                words("step {step} is to be repeated, but there is no such step", step=str(step)),
            )
        for slot in slots:
            copy_slot(scope, slot, f"repeat of step {step}")


def copy_slot(scope: Scope, slot: Slot, note: str) -> None:
    """Add a stage once more.

    Parameters
    ----------
    scope : Scope
    slot : Slot
    note : str
    """
    kept, scope.step = scope.step, None
    options = [[_noted(stage, note) for stage in one] for one in slot.options]
    copy = scope.add(options, certain=slot.certain, explicit=True)
    copy.fasteners, copy.subject, copy.order = slot.fasteners, slot.subject, slot.order
    copy.per_fastener = slot.per_fastener
    scope.step = kept


def _noted(stage: Stage, note: str) -> Stage:
    from dataclasses import replace  # noqa: PLC0415 - already loaded; keeps the name local

    return replace(stage, note=note)


def passes(scope: Scope, _clause: Clause, item: Item) -> None:
    """Note in how many passes the torque is to be reached.

    Parameters
    ----------
    scope : Scope
    _clause : Clause
        Not needed; all phrases are taken the same way.
    item : Item
    """
    draft = scope.draft
    counts = [
        int(token.number.value)
        for token in (draft.tokens[index] for index in item.tokens)
        if token.number is not None
    ]
    draft.mark(item.tokens, "other", words("number of passes"))
    if scope.sentence.has("LOOSEN") and not scope.sentence.has("TIGHTEN", "RETIGHTEN"):
        return
    scope.passes = (max(counts, default=1), len(draft.slots))


def several_passes(scope: Scope, clause: Clause) -> None:
    """Note "in several passes", which leaves open how many and at which torques.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    """
    if not clause.has("SEVERAL") or "many" not in clause.values("STEP"):
        return
    if scope.passes is None and not scope.sentence.has("LOOSEN"):
        scope.passes = (2, scope.started)


def repeat_last(scope: Scope, clause: Clause) -> None:
    """Add the latest stage once more, for "repeat the last step twice".

    Parameters
    ----------
    scope : Scope
    clause : Clause
    """
    draft = scope.draft
    last = draft.last()
    if last is None:
        return
    times = [int(value) for value in clause.values("TWICE")] or [1]
    if clause.has("STEP") or clause.has("TWICE") or len(draft.slots) == 1:
        for _ in range(min(times[0], 12)):
            copy_slot(scope, last, "repeat of the step before")
        return
    draft.ask(
        "unexpected_text",
        words("{text}: which steps are to be repeated?", text=draft.written(clause.own)),
    )


def running_torque(scope: Scope, clause: Clause) -> None:
    """Add the measured running torque to the target when the text says so.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    """
    sentence = scope.sentence
    named = clause.has("RUNNING", "ROTATING") and not clause.figures
    joined = named and "+" in clause.leads  # "40 N·m + running torque"
    spoken = sentence.has("RUNNING") or (sentence.has("ROTATING") and sentence.has("ADD")) or joined
    measured = spoken and sentence.has("CHECK")
    if joined:
        scope.draft.warn("add_running_torque")
    if not joined and not sentence.has("ADD", "PLUS"):
        scope.running = scope.running or (measured and not scope.new_slots)
        return
    if not spoken and not scope.running:
        return
    if (clause.has("RUNNING", "ROTATING") and measured and not scope.checked) or scope.running:
        scope.running = False
        scope.draft.warn("add_running_torque")
        place = len(scope.draft.slots)
        own = [slot for slot in scope.new_slots if slot.kind == "torque"]
        if own:
            place = scope.draft.slots.index(own[0])
        unit = _unit_ahead(scope)
        scope.add([[Stage("torque_check", None, unit, check="running")]], at=place)
        scope.checked = True
    for slot in scope.new_slots:
        if slot.kind == "torque":
            slot.change(plus_running_torque=True)


def _unit_ahead(scope: Scope) -> str:
    for clause in scope.sentence.clauses:
        for quantity in quantities(clause):
            if quantity.letter == "Q":
                return quantity.amounts[0].unit
    last = scope.draft.last("torque")
    return (last.stage.unit or "N·m") if last else "N·m"
