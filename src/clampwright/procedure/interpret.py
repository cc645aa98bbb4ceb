"""From clauses to stages: each clause is met once, in the order of the text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from clampwright.procedure.alike import done_alike
from clampwright.procedure.bare import bare_figure, bare_number, bare_span, order_list
from clampwright.procedure.cases import note_case, variant_behind, variant_in_brackets
from clampwright.procedure.cautions import note_cautions
from clampwright.procedure.clauses import HEADS, Clause, Sentence
from clampwright.procedure.draft import Draft
from clampwright.procedure.ends import end_of_sentence
from clampwright.procedure.forces import asked_unit
from clampwright.procedure.idle import snug_note, without_figures
from clampwright.procedure.naming import name_between, name_by_bracket, name_subject
from clampwright.procedure.numbered import (
    counts_no_fasteners,
    labelled,
    name_the_others,
    named_fasteners,
    numbers_fasteners,
    rest_of_part_number,
)
from clampwright.procedure.others import length, waiting
from clampwright.procedure.quantities import Quantity, quantities
from clampwright.procedure.reuse import note_reuse
from clampwright.procedure.scope import Scope, variants_of
from clampwright.procedure.shares import portions
from clampwright.procedure.stage import Stage
from clampwright.procedure.steps import (
    enter_step,
    passes,
    repeat_steps,
    running_torque,
    several_passes,
)
from clampwright.procedure.subjects import members
from clampwright.procedure.surface import note_surface
from clampwright.procedure.syntax import Item
from clampwright.procedure.torque import torque
from clampwright.procedure.torque_limits import tolerance
from clampwright.procedure.torque_questions import reduced
from clampwright.procedure.turning import angle
from clampwright.procedure.turning_totals import clock, clock_hours, clock_turn
from clampwright.units.unit import units
from clampwright.words import words

Handler = Callable[[Scope, Clause, Item], None]
_WHAT = {
    "reference": words("page, part or position number"),
    "count": words("count"),
    "size": words("size or part number"),
}


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
    scope.case, scope.total, scope.alternative = "", None, None
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
        _clause(scope, clause, _next_outside(sentence, place))
    end_of_sentence(scope)


def _next_outside(sentence: Sentence, place: int) -> Sequence[Clause]:
    """Return the next clause that stands in no bracket, as a sequence of one or none."""
    after = sentence.clauses[place + 1 : place + 6]
    return [clause for clause in after if not clause.inside][:1]


def _only_asides(sentence: Sentence) -> bool:
    return sentence.has("COMMAND")


def _clause(scope: Scope, clause: Clause, following: Sequence[Clause]) -> None:
    scope.clause = clause
    scope.draft.meet(clause)
    if scope.sentence.has("COMMAND"):
        for quantity in quantities(clause):
            scope.draft.mark(quantity.tokens, "reported", words("in a sentence to the program"))
        return
    if clause.has("PER_FASTENER"):
        scope.per_fastener = True
        _loosened_singly(scope)
    if done_alike(scope, clause):
        return
    note_case(scope, clause)
    name_subject(scope, clause, following)
    found = [one for one in quantities(clause) if not _taken(scope, one)]
    before = len(scope.draft.slots)
    for item in _in_working_order(clause, found):
        if isinstance(item, Quantity):
            _quantity_or_choice(scope, clause, item, found)
        else:
            _item(scope, clause, item)
    if "r" in clause.leads and found:
        _make_choice(scope, before)
    if not found:
        _told_without_figures(scope, clause)
    if "r" in clause.leads and len(scope.draft.slots) > before:
        scope.alternative = before
    running_torque(scope, clause)
    several_passes(scope, clause)


def _told_without_figures(scope: Scope, clause: Clause) -> None:
    without_figures(scope, clause)
    if clause.has("PER_FASTENER") and not clause.has("TIGHTEN", "TURN", "RETIGHTEN"):
        _done_singly(scope)
    if clause.ends_with == ":":
        scope.variants = variants_of(clause)
    if clause.inside:
        variant_in_brackets(scope, clause)
        name_by_bracket(scope, clause)
    else:
        variant_behind(scope, clause)


def _done_singly(scope: Scope) -> None:
    """Let "..., one bolt after the other" hold for the whole run of a sentence that slackens."""
    if any(slot.kind in {"loosen", "back_off_then"} for slot in scope.new_slots):
        for slot in scope.new_slots:
            slot.per_fastener = True


def _loosened_singly(scope: Scope) -> None:
    """Let "one at a time" hold for the loosening just before it as well."""
    for slot in reversed(scope.new_slots):
        if slot.kind not in {"loosen", "back_off_then"}:
            return
        slot.per_fastener = True


def _quantity_or_choice(
    scope: Scope, clause: Clause, quantity: Quantity, found: Sequence[Quantity]
) -> None:
    start = len(scope.draft.slots)
    name_between(scope, clause, quantity, found)
    name_the_others(scope, clause, quantity, found)
    _quantity(scope, clause, quantity, found)
    if quantity.instead:
        _make_choice(scope, start)


def _make_choice(scope: Scope, start: int) -> None:
    """Ask which of two stages holds that are joined by "or"."""
    slots = scope.draft.slots
    if not 0 < start < len(slots) or len(slots) != start + 1:
        scope.alternative = start
        return
    first, second = slots[start - 1], slots[start]
    kinds = {first.kind, second.kind}
    alike = kinds <= {"torque", "angle"} or kinds == {"torque_check"}
    if first.sentence != second.sentence or not alike:
        return
    first.options = [*first.options, *second.options]
    first.certain = False
    first.extra += second.tokens
    first.question = (
        "variant_choice",
        words('two figures are joined by "or"; which one holds?'),
    )
    slots.pop()


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
    for turn, pull in pairwise(found):
        between = range(turn.last + 1, pull.first)
        after = any(clause.tokens[i].has("AFTER") for i in between)
        if turn.letter == "A" and pull.letter == "Q" and after:
            place = next(n for n, pair in enumerate(merged) if pair[1] is pull)
            merged[place] = (turn.first - 1, pull)


def _item(scope: Scope, clause: Clause, item: Item) -> None:
    handler = _HANDLERS.get(item.kind)
    if item.kind in HEADS:
        _head(scope, clause, item)
    elif handler is not None:
        handler(scope, clause, item)


def _head(scope: Scope, clause: Clause, item: Item) -> None:
    if clause.has("REPEAT", "SAME") and not _opens(clause, item):
        repeat_steps(scope, item)
    elif not clause.has("AFTER", "BEFORE") or item is clause.items[0]:
        enter_step(scope, item)
    scope.draft.mark(item.tokens, "other", words("step number"))


def _increment(scope: Scope, _clause: Clause, item: Item) -> None:
    scope.draft.mark(item.tokens, "other", words("size of the steps"))
    scope.draft.warn("intermediate_values_not_stated")


def _opens(clause: Clause, item: Item) -> bool:
    """Tell "step 3: repeat steps 1 and 2" from "step 1 again": more than one step is named."""
    heads = [one for one in clause.items if one.kind in HEADS]
    return item.kind == "enumerator" or (item is heads[0] and len(heads) > 1)


def _recognised(scope: Scope, clause: Clause, item: Item) -> None:
    group = next((i for i in item.tokens if scope.draft.tokens[i].value("REF") == "group"), None)
    if group is not None and len(item.tokens) > 1:
        scope.draft.mark(item.tokens, "used", words("which fasteners"))
        scope.fasteners = scope.draft.written(item.tokens).lower()
        scope.fasteners_step = scope.step
        return
    if item.kind == "reference" and numbers_fasteners(scope, clause, item):
        named_fasteners(scope, clause, item)
        return
    if item.kind == "count" and counts_no_fasteners(scope, item):
        return
    whole = [*item.tokens, *rest_of_part_number(scope, item)]
    scope.draft.mark(whole, "other", _WHAT[item.kind])


def _shares(scope: Scope, clause: Clause, item: Item) -> None:
    """Look at the numbers of what looked like parts of a torque and was not taken as such."""
    for index in item.tokens:
        if index not in scope.draft.marks and scope.draft.tokens[index].number is not None:
            bare_number(scope, clause, Item("number", (index,)))


def _subset(scope: Scope, clause: Clause, item: Item) -> None:
    draft = scope.draft
    elided = draft.tokens[item.tokens[0]].letter == "N" and scope.fasteners == "all"
    if elided and scope.sentence.has("ORDER") and len(members(item, draft)) > 2:
        order_list(scope, clause, item)  # "in the sequence 5, 3, 1, 2, 4 to 28 N·m"
        return
    numbers = [i for i in item.tokens if draft.tokens[i].letter == "N"]
    alone = len(numbers) == 1 and not clause.figures and not scope.sentence.has("LOOSEN", "SNUG")
    figures_near = any(one.figures for one in scope.sentence.clauses) or clause.ends_with == ":"
    if alone and not figures_near:
        bare_number(scope, clause, Item("number", (numbers[0],)))
        return
    named_fasteners(scope, clause, item)


def _lone_unit(scope: Scope, _clause: Clause, item: Item) -> None:
    unit = scope.draft.tokens[item.tokens[0]].unit
    if unit is not None and unit.letter == "Q":
        scope.declared = unit.name


def _quantity(scope: Scope, clause: Clause, quantity: Quantity, found: Sequence[Quantity]) -> None:
    letter = quantity.letter
    if "strange_count" in quantity.amounts[0].oddities:
        scope.draft.mark(quantity.tokens, "reported", words("not understood"))
        scope.draft.ask(
            "unexpected_text",
            words("{text}: how often?", text=scope.draft.written(quantity.tokens)),
        )
    elif not letter:
        _unitless(scope, clause, quantity)
    elif letter == "Q":
        torque(scope, clause, quantity, found)
    elif letter == "A":
        _snug_first(scope, clause)
        angle(scope, clause, quantity, found)
    elif letter == "L":
        length(scope, clause, quantity, found)
    elif letter == "H" and (hours := clock_hours(clause, quantity)):
        clock_turn(scope, quantity.tokens, hours)
    elif letter in "HK":
        waiting(scope, clause, quantity)
    elif letter == "F":
        asked_unit(scope, clause, quantity)
    elif letter == "%":
        _percent(scope, quantity)
    else:
        _other_measure(scope, clause, quantity)


def _unitless(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    """Take "50 ± 5": a torque or angle whose unit is missing, unless a size is spoken of."""
    if clause.has("THICKNESS", "LENGTH", "LONGER", "WHATEVER", "ADAPTER", "TOOL"):
        scope.draft.mark(quantity.tokens, "other", words("size or other measure"))
        return
    bare_figure(scope, clause, quantity.amounts[0])


def _other_measure(scope: Scope, clause: Clause, quantity: Quantity) -> None:
    scope.draft.mark(quantity.tokens, "other", words("temperature, volume or other measure"))
    named = quantity.amounts[0].unit
    stress = named in units() and units()[named].kind == "stress"
    if stress and clause.has("TIGHTEN") and not clause.has("WHATEVER"):
        scope.draft.ask(
            "wrong_unit",
            words(
                "{text}: this is a pressure or stress, not a torque",
                text=scope.draft.written(quantity.tokens),
            ),
        )


def _percent(scope: Scope, quantity: Quantity) -> None:
    if all(index in scope.draft.marks for index in quantity.tokens):
        return
    if scope.sentence.has("REDUCE") and reduced(scope, quantity):
        return
    if scope.clause is not None and tolerance(scope, scope.clause, quantity):
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
    if note := snug_note(clause, with_angle=True):
        scope.add([[Stage("snug", note=note)]])


_HANDLERS: dict[str, Handler] = {
    "subset": _subset,
    "label": labelled,
    "clock": clock,
    "order_list": order_list,
    "span": bare_span,
    "increment": _increment,
    "pass_count": passes,
    "unit": _lone_unit,
    "number": bare_number,
    "reference": _recognised,
    "portions": _shares,
    "count": _recognised,
    "size": _recognised,
}
