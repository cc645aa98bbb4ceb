"""From clauses to stages: each clause is met once, in the order of the text."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from clampwright.procedure.bare import bare_number, bare_span, order_list, portions
from clampwright.procedure.cautions import note_cautions, shown_in_figure
from clampwright.procedure.clauses import HEADS, Clause, Sentence
from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.others import length, recheck, waiting
from clampwright.procedure.quantities import Quantity, quantities
from clampwright.procedure.reuse import note_reuse
from clampwright.procedure.scope import Scope, variants_of
from clampwright.procedure.stage import Stage
from clampwright.procedure.subjects import members, same, subject_of, take_label, take_subset
from clampwright.procedure.surface import note_surface
from clampwright.procedure.syntax import Item
from clampwright.procedure.torque import asked_unit, reduced, torque
from clampwright.procedure.turning import angle, clock
from clampwright.words import words

Handler = Callable[[Scope, Clause, Quantity, Sequence[Quantity]], None]


def interpret(draft: Draft, sentences: Sequence[Sentence], scope: Scope | None = None) -> Scope:
    """Read all sentences into a draft.

    Parameters
    ----------
    draft : Draft
        Is filled.
    sentences : sequence of Sentence
    scope : Scope, optional
        Where an earlier part of the text ended.

    Returns
    -------
    Scope
        The place at the end of the text.
    """
    scope = scope or Scope(draft, sentences[0] if sentences else Sentence(0))
    for place, sentence in enumerate(sentences):
        scope.following = sentences[place + 1] if place + 1 < len(sentences) else None
        _sentence(scope, sentence)
    return scope


def _sentence(scope: Scope, sentence: Sentence) -> None:
    draft = scope.draft
    scope.sentence, scope.started = sentence, len(draft.slots)
    scope.checked = scope.per_fastener = False
    scope.variants = frozenset()
    scope.case, scope.total = "", None
    scope.recheck = sentence.has("RECHECK")
    scope.portions.clear()
    if scope.fasteners_step != scope.step:
        scope.fasteners, scope.fasteners_step = "all", scope.step
    note_cautions(scope, sentence)
    note_surface(draft, sentence)
    note_reuse(draft, sentence)
    if not _only_asides(sentence):
        spoken = sentence.has("TIGHTEN", "RETIGHTEN", "SPECIFIED", "SNUG")
        of_bolts = sentence.has("TORQUE") and sentence.has("FASTENER", "REF")
        draft.tightens = draft.tightens or spoken or of_bolts
    portions(scope, sentence)
    for place, clause in enumerate(sentence.clauses):
        _clause(scope, clause, sentence.clauses[place + 1 : place + 2])
    _end_of_sentence(scope)


def _only_asides(sentence: Sentence) -> bool:
    return sentence.has("COMMAND")


def _clause(scope: Scope, clause: Clause, following: Sequence[Clause]) -> None:
    scope.clause = clause
    if scope.sentence.has("COMMAND"):
        for quantity in quantities(clause):
            scope.draft.mark(quantity.tokens, "reported", words("in a sentence to the program"))
        return
    if clause.has("PER_FASTENER"):
        scope.per_fastener = True
    _note_case(scope, clause)
    _name_subject(scope, clause, following)
    found = [one for one in quantities(clause) if not _taken(scope, one)]
    for item in _in_working_order(clause, found):
        if isinstance(item, Quantity):
            _quantity(scope, clause, item, found)
        else:
            _item(scope, clause, item)
    if not found:
        _without_figures(scope, clause)
        if clause.ends_with == ":":
            scope.variants = variants_of(clause)
        if clause.inside:
            _variant_in_brackets(scope, clause)
    _running_torque(scope, clause)


def _note_case(scope: Scope, clause: Clause) -> None:
    """Note for which case the figures hold: "if the bolts are new", "otherwise"."""
    if clause.has("OTHERWISE"):
        scope.case = "otherwise"
    condition = "if" in clause.leads and "when" not in clause.values("IF")
    if not condition or clause.has("CONTACT", "EXCEED", "BELOW", "LONGER", "LENGTH"):
        return
    case = scope.draft.written(clause.own)
    ahead = [slot for slot in scope.new_slots if not slot.case]
    if clause.inside or (ahead and not _more_figures(scope, clause)):
        for slot in ahead:
            slot.case = case
    else:
        scope.case = case


def _more_figures(scope: Scope, clause: Clause) -> bool:
    clauses = scope.sentence.clauses
    place = next(n for n, one in enumerate(clauses) if one is clause)
    return any(one.figures for one in clauses[place:])


def _variant_in_brackets(scope: Scope, clause: Clause) -> None:
    """Let "(steel wheels) 110 N·m" hold for steel wheels only."""
    place = next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    outer = next((c for c in reversed(scope.sentence.clauses[:place]) if not c.inside), None)
    for slot in scope.new_slots:
        if outer is not None and slot.tokens and slot.tokens[0] in outer.own:
            slot.variants |= variants_of(clause)


def _taken(scope: Scope, quantity: Quantity) -> bool:
    return all(index in scope.draft.marks for index in quantity.tokens)


def _in_working_order(clause: Clause, found: list[Quantity]) -> list[Item | Quantity]:
    """Return phrases and quantities by place; waits behind "after" come first."""
    merged: list[tuple[int, Item | Quantity]] = [(one.first, one) for one in found]
    merged += [(item.first, item) for item in clause.items if item.kind not in {"figure", "mark"}]
    _torque_first(clause, found, merged)
    return [one for _, one in sorted(merged, key=lambda pair: pair[0])]


def _torque_first(
    clause: Clause, found: Sequence[Quantity], merged: list[tuple[int, Item | Quantity]]
) -> None:
    """Put the torque first in "90° after 30 N·m"."""
    for turn, pull in zip(found, found[1:], strict=False):
        between = range(turn.last + 1, pull.first)
        after = any(clause.tokens[i].has("AFTER") for i in between)
        if turn.letter == "A" and pull.letter == "Q" and after:
            place = next(n for n, pair in enumerate(merged) if pair[1] is pull)
            merged[place] = (turn.first - 1, pull)


# --- names and steps -----------------------------------------------------------------------------


def _name_subject(scope: Scope, clause: Clause, following: Sequence[Clause]) -> None:
    if clause.inside or clause.leads & {"while", "until", "if"} or clause.has("BEFORE"):
        return
    heads_list = bool(following and following[0].leads & {":", "|", "-"}) or _stands_alone(clause)
    told = bool(clause.figures) or (
        bool(scope.declared) and any(item.kind == "number" for item in clause.items)
    )
    bare_list = not clause.has("TIGHTEN", "TURN", "LOOSEN", "RETIGHTEN") and told
    starts = not (clause.leads & {"a", "+", "h"})
    found = subject_of(clause, scope.draft, listed=heads_list or (bare_list and starts))
    if found is None:
        return
    if clause.has("LOOSEN", "RECHECK", "CHECK") and not clause.figures:
        return
    fastener = any(clause.tokens[i].has("FASTENER") for i in clause.own)
    torque_of = ":" in clause.leads and clause.has("TORQUE")
    if torque_of and not fastener and scope.subject is not None:
        return  # "studs: fitting torque 5 N·m" is about the studs
    if scope.subject is None or not same(found, scope.subject) or heads_list:
        scope.subject = found
        if scope.fasteners != "all" and heads_list:
            scope.fasteners = "all"


def _stands_alone(clause: Clause) -> bool:
    return clause.ends_with == "" and not clause.figures


def _item(scope: Scope, clause: Clause, item: Item) -> None:
    draft = scope.draft
    if item.kind in HEADS:
        if clause.has("REPEAT", "SAME") and not _opens(clause, item):
            _repeat_steps(scope, item)
        elif not clause.has("AFTER", "BEFORE") or item is clause.items[0]:
            _enter_step(scope, item)
        draft.mark(item.tokens, "other", words("step number"))
    elif item.kind == "subset":
        _subset(scope, clause, item)
    elif item.kind == "label":
        if not clause.inside:
            take_label(scope, clause, item)
    elif item.kind == "clock":
        clock(scope, item)
    elif item.kind == "order_list":
        order_list(scope, clause, item)
    elif item.kind == "span":
        bare_span(scope, clause, item)
    elif item.kind == "increment":
        draft.mark(item.tokens, "other", words("size of the steps"))
        draft.warn("intermediate_values_not_stated")
    elif item.kind == "pass_count":
        _passes(scope, clause, item)
    elif item.kind == "unit":
        _lone_unit(scope, clause, item)
    elif item.kind == "number":
        bare_number(scope, clause, item)
    elif item.kind != "group":
        _recognised(scope, clause, item)


def _opens(clause: Clause, item: Item) -> bool:
    """Tell "step 3: repeat steps 1 and 2" from "step 1 again": more than one step is named."""
    heads = [one for one in clause.items if one.kind in HEADS]
    return item.kind == "enumerator" or (item is heads[0] and len(heads) > 1)


_WHAT = {
    "reference": words("page, part or position number"),
    "count": words("count"),
    "size": words("size or part number"),
    "portions": words("part of the torque"),
}


def _recognised(scope: Scope, clause: Clause, item: Item) -> None:
    if item.kind == "portions":
        return
    group = next((i for i in item.tokens if scope.draft.tokens[i].value("REF") == "group"), None)
    if group is not None and len(item.tokens) > 1:
        scope.draft.mark(item.tokens, "used", words("which fasteners"))
        scope.fasteners = scope.draft.written(item.tokens).lower()
        scope.fasteners_step = scope.step
        return
    if item.kind == "reference" and _numbers_fasteners(scope, clause, item):
        take_subset(scope, clause, item)
        return
    scope.draft.mark(item.tokens, "other", _WHAT[item.kind])


def _numbers_fasteners(scope: Scope, clause: Clause, item: Item) -> bool:
    """Tell "Nos. 11-14: 10 N·m" from a part number."""
    tokens = [scope.draft.tokens[index] for index in item.tokens]
    if not any(token.value("REF") == "number" for token in tokens):
        return False
    several = len(members(item, scope.draft)) > 1
    told = bool(clause.figures) or clause.ends_with == ":"
    return told and (several or isinstance(scope.fasteners, tuple))


def _subset(scope: Scope, clause: Clause, item: Item) -> None:
    draft = scope.draft
    numbers = [i for i in item.tokens if draft.tokens[i].letter == "N"]
    alone = len(numbers) == 1 and not clause.figures and not scope.sentence.has("LOOSEN", "SNUG")
    figures_near = any(one.figures for one in scope.sentence.clauses) or clause.ends_with == ":"
    if alone and not figures_near:
        bare_number(scope, clause, Item("number", (numbers[0],)))
        return
    take_subset(scope, clause, item)


def _enter_step(scope: Scope, item: Item) -> None:
    step = _step_numbers(scope, item)
    scope.step = step[0] if step else None
    if scope.fasteners_step != scope.step:
        scope.fasteners, scope.fasteners_step = "all", scope.step


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
            if upto and found and isinstance(found[-1], int):
                found.extend(range(found[-1] + 1, number))
            found.append(number)
            upto = False
    return found


def _repeat_steps(scope: Scope, item: Item) -> None:
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
            _copy(scope, slot, f"repeat of step {step}")


def _copy(scope: Scope, slot: Slot, note: str) -> None:
    kept, scope.step = scope.step, None
    options = [[_noted(stage, note) for stage in one] for one in slot.options]
    copy = scope.add(options, certain=slot.certain, explicit=True)
    copy.fasteners, copy.subject, copy.order = slot.fasteners, slot.subject, slot.order
    copy.per_fastener = slot.per_fastener
    scope.step = kept


def _noted(stage: Stage, note: str) -> Stage:
    from dataclasses import replace  # noqa: PLC0415 - already loaded; keeps the name local

    return replace(stage, note=note)


def _passes(scope: Scope, clause: Clause, item: Item) -> None:
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


def _lone_unit(scope: Scope, clause: Clause, item: Item) -> None:
    unit = scope.draft.tokens[item.tokens[0]].unit
    if unit is not None and unit.letter == "Q":
        scope.declared = unit.name


# --- figures ---------------------------------------------------------------------------------------


def _quantity(scope: Scope, clause: Clause, quantity: Quantity, found: Sequence[Quantity]) -> None:
    letter = quantity.letter
    if "strange_count" in quantity.amounts[0].oddities:
        scope.draft.mark(quantity.tokens, "reported", words("not understood"))
        scope.draft.ask(
            "unexpected_text",
            words("{text}: how often?", text=scope.draft.written(quantity.tokens)),
        )
    elif letter == "Q":
        torque(scope, clause, quantity, found)
    elif letter == "A":
        _snug_first(scope, clause)
        angle(scope, clause, quantity, found)
    elif letter == "L":
        length(scope, clause, quantity, found)
    elif letter in "HK":
        waiting(scope, clause, quantity)
    elif letter == "F":
        asked_unit(scope, clause, quantity)
    elif letter == "%":
        _percent(scope, quantity)
    else:
        scope.draft.mark(quantity.tokens, "other", words("temperature, volume or other measure"))


def _percent(scope: Scope, quantity: Quantity) -> None:
    if all(index in scope.draft.marks for index in quantity.tokens):
        return
    if scope.sentence.has("REDUCE") and reduced(scope, quantity):
        return
    if scope.sentence.has("TIGHTEN", "TORQUE") or scope.new_slots:
        scope.draft.mark(quantity.tokens, "reported", words("percentage of what?"))
        scope.draft.ask(
            "unexpected_text",
            words("{text}: of what?", text=scope.draft.written(quantity.tokens)),
        )
        return
    scope.draft.mark(quantity.tokens, "other", words("percentage"))


def _snug_first(scope: Scope, clause: Clause) -> None:
    """Put the contact before the turn that starts from it: "¼ turn past finger tight"."""
    back = clause.has("LOOSEN") and not (clause.has("AFTER") and not scope.draft.slots)
    if back or clause.has("NOT") or "while" in clause.leads:
        return
    last = scope.draft.last()
    if last is not None and last.kind == "snug":
        return
    if note := _snug_note(clause, with_angle=True):
        scope.add([[Stage("snug", note=note)]])


def _snug_note(clause: Clause, *, with_angle: bool = False) -> str:
    if clause.values("SNUG"):
        return clause.values("SNUG")[0]
    if clause.has("BYHAND") and clause.has("TIGHTEN", "FIT"):
        return "finger tight"
    reaches = "until" in clause.leads or clause.has("UNTIL", "AFTER", "TO", "IF")
    if clause.values("CONTACT") and (reaches or (with_angle and clause.has("AFTER"))):
        return clause.values("CONTACT")[-1]
    return ""


def _running_torque(scope: Scope, clause: Clause) -> None:
    """Add the measured running torque to the target when the text says so."""
    sentence = scope.sentence
    if not (sentence.has("RUNNING") and sentence.has("ADD", "PLUS")):
        return
    if clause.has("RUNNING") and sentence.has("CHECK") and not scope.checked:
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


# --- clauses without a figure ------------------------------------------------------------------------


def _without_figures(scope: Scope, clause: Clause) -> None:
    negated = clause.has("NOT", "WITHOUT")
    if clause.has("REPEAT") and not any(item.kind in HEADS for item in clause.items):
        _repeat_last(scope, clause)
        return
    if clause.has("LOOSEN") and not negated:
        _loosen(scope, clause)
        return
    if "while" in clause.leads:
        _condition(scope, clause)
        return
    if negated and clause.has("TOOL"):
        _condition(scope, clause)
        return
    if negated or ("if" in clause.leads and not clause.has("CONTACT")):
        return
    if clause.has("TIGHTEN", "RETIGHTEN") and scope.draft.slots:
        scope.retightened = len(scope.draft.slots)
    if clause.has("TIGHTEN", "TURN", "FIT") and clause.has("SECURELY"):
        scope.run_in = True
    if note := _snug_note(clause):
        _snug(scope, clause, note)
    elif clause.has("SAME") and clause.has("TIGHTEN", "RETIGHTEN", "TORQUE"):
        _same_again(scope)
    elif clause.has("UNSUPPORTED"):
        scope.draft.warn("unsupported_step")


def _loosen(scope: Scope, clause: Clause) -> None:
    sentence = scope.sentence
    if "if" in clause.leads or (clause.has("BEFORE") and sentence.has("RECHECK")):
        return
    if sentence.has("BEFORE") and sentence.has("RECHECK") and not sentence_has_figures(sentence):
        return
    if clause.has("MARK") and not clause.has("ALL"):
        return
    scope.add([[Stage("loosen", note="amount not stated")]], tokens=clause.own[:1])


def sentence_has_figures(sentence: Sentence) -> bool:
    """Tell whether a sentence holds a quantity."""
    return any(clause.figures for clause in sentence.clauses)


def _condition(scope: Scope, clause: Clause) -> None:
    target = scope.draft.last("torque", "angle", "snug")
    if target is not None and not target.stage.condition:
        target.change(condition=scope.draft.written(clause.own))


def _snug(scope: Scope, clause: Clause, note: str) -> None:
    """Add a snug stage; before the turn when the clause says from where the turn counts."""
    last = scope.draft.last()
    counts_from = clause.has("AFTER", "IF") and last is not None and last.kind == "angle"
    if counts_from and last is not None and last.sentence == scope.sentence.number:
        place = scope.draft.slots.index(last)
        if place == 0 or scope.draft.slots[place - 1].kind != "snug":
            scope.add([[Stage("snug", note=note)]], at=place)
        return
    if last is not None and last.kind == "snug" and last.sentence == scope.sentence.number:
        return
    scope.add([[Stage("snug", note=note)]])


def _same_again(scope: Scope) -> None:
    target = scope.draft.last("torque")
    if target is not None:
        _copy(scope, target, "the same torque again")


def _repeat_last(scope: Scope, clause: Clause) -> None:
    draft = scope.draft
    last = draft.last()
    if last is None:
        return
    times = [int(value) for value in clause.values("TWICE")] or [1]
    if clause.has("STEP") or clause.has("TWICE") or len(draft.slots) == 1:
        for _ in range(min(times[0], 12)):
            _copy(scope, last, "repeat of the step before")
        return
    draft.ask(
        "unexpected_text",
        words("{text}: which steps are to be repeated?", text=draft.written(clause.own)),
    )


# --- end of a sentence ---------------------------------------------------------------------------------


def _end_of_sentence(scope: Scope) -> None:
    draft, sentence = scope.draft, scope.sentence
    scope.clause = None
    new = scope.new_slots
    if scope.recheck and not scope.checked and not any(s.kind == "torque_check" for s in new):
        if not any(slot.kind in {"torque", "angle"} for slot in new) or sentence.has("AFTER"):
            _late_recheck(scope)
    _order(scope, new)
    _valueless(scope, new)


def _late_recheck(scope: Scope) -> None:
    sentence = scope.sentence
    if sentence.has("LOOSEN", "BEFORE", "EVERY") or (sentence.has("NOT") and not scope.new_slots):
        return
    recheck(scope)


def _order(scope: Scope, new: Sequence[Slot]) -> None:
    """Give the order a sentence names to its stages, or to the whole text."""
    found = scope.sentence_order
    for clause in scope.sentence.clauses:
        named = clause.values("ORDER")
        if not named or scope.sentence_order is not None:
            continue
        order = _named_order(scope.sentence, clause)
        for slot in new:
            if slot.tokens and slot.tokens[0] in clause.own and slot.order is None:
                slot.order = order
        if not clause.has("LOOSEN"):
            found = order
    scope.sentence_order = None
    if found is None:
        return
    for slot in new:
        if slot.order is None and slot.kind in {"torque", "angle", "snug", "loosen"}:
            slot.order = found
    if not new and scope.text_order is None:
        scope.set_order(found)


def _named_order(sentence: Sentence, clause: Clause) -> str:
    named = clause.values("ORDER")
    if clause.has("REMOVAL") and "reverse" in named[-1]:
        return "reverse_of_removal"
    return "figure" if shown_in_figure(sentence, clause) else named[-1]


def _valueless(scope: Scope, new: Sequence[Slot]) -> None:
    """Ask for the figure of "tighten to the specified torque"."""
    sentence = scope.sentence
    if not sentence.has("SPECIFIED") or not sentence.has("TIGHTEN", "TORQUE", "RETIGHTEN"):
        return
    if any(slot.kind in {"torque", "angle", "stretch"} for slot in new):
        return
    following = scope.following
    if following is not None and sentence_has_figures(following):
        return
    scope.draft.ask(
        "no_value",
        words("a torque is spoken of but not given; look it up in the manufacturer's table"),
    )
