"""Numbers without a unit: portions, orders, counts, missing units, and what nobody claims."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from clampwright.procedure.amounts import Amount, amounts_of, in_unit
from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import stage_of
from clampwright.procedure.limits import Bound, Side
from clampwright.procedure.numbered import name_behind
from clampwright.procedure.physical import not_physical, note_oddities
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope
from clampwright.procedure.subjects import STRENGTH_CLASSES, members
from clampwright.procedure.syntax import Item
from clampwright.procedure.tokens import Token
from clampwright.procedure.torque_limits import close, open_on
from clampwright.procedure.unit_text import UnitText
from clampwright.units.unit import units
from clampwright.words import words

_TORQUE_READINGS = ("N·m", "ft·lbf", "in·lbf")
MOST_COUNTED = 12
"""A larger number before an unknown word may be a torque whose unit is misspelt."""
_COUNTABLE = (
    "OIL",
    "TOOL",
    "THREADS",
    "SEALRING",
    "ADAPTER",
    "VARIANT",
    "UNDERHEAD",
    "LONGER",
    "LENGTH",
)
_WORKED = ("WAIT", "CURE", "AFTER", "CONTACT", "SNUG", "LOOSEN", "BACK", "TURN", "FURTHER")
"""Where one of these is spoken of, a number with an unknown word is no count of parts."""
_AFTER_A_VALUE = ("SPECIFIED", "ORDER", "SECURELY", "FURTHER", "UNTIL", "PER_FASTENER", "LUBE")
_VALUE_SIGNS = ":|t+=>/"


def order_list(scope: Scope, clause: Clause, item: Item) -> None:
    """Take a row of numbers as an order, as fasteners, or as figures without a unit.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
    """
    draft = scope.draft
    listed = members(item, draft)
    numbers = [i for i in item.tokens if draft.tokens[i].letter == "N"]
    spoken = scope.sentence.has("ORDER") or (scope.subject is None and bool(scope.draft.slots))
    dashed = any(draft.tokens[i].letter in "->" for i in item.tokens)
    steps = {value for one in scope.sentence.clauses for value in one.values("STEP")}
    counted = "many" in steps  # "in 3 stages: 20, 40, 60" gives no order
    if (scope.declared or counted) and not scope.sentence.has("ORDER"):
        for index in numbers:
            bare_number(scope, clause, Item("number", (index,)))
        return
    if listed and len(numbers) > 1 and (spoken or dashed):
        draft.mark(item.tokens, "used", words("order of the fasteners"))
        if any(draft.tokens[i].letter == "e" for i in item.tokens) or list(listed) == sorted(
            listed
        ):
            scope.fasteners, scope.fasteners_step = tuple(sorted(listed)), scope.step
            scope.set_order("sequence", own=True)
        else:
            scope.set_order(listed, own=any(one.figures for one in scope.sentence.clauses))
        return
    for index in numbers:
        bare_number(scope, clause, Item("number", (index,)))


def bare_span(scope: Scope, clause: Clause, item: Item) -> None:
    """Take "1 to 10" without a fastener word as fasteners, where bolts or an order are spoken of.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
    """
    draft = scope.draft
    listed = members(item, draft)
    numbers = [i for i in item.tokens if draft.tokens[i].number is not None]
    spoken = clause.inside or clause.ends_with == ":" or bool(clause.figures)
    about = scope.sentence.has("ORDER", "FASTENER") or isinstance(scope.fasteners, tuple)
    about = about or (item is clause.items[0] and bool(clause.figures))
    if len(listed) > 2 and spoken and about and not _is_page(scope, numbers[0]):
        draft.mark(item.tokens, "used", words("which fasteners"))
        scope.fasteners, scope.fasteners_step = listed, scope.step
        if clause.inside:
            _name_bracketed(scope, clause, listed)
        elif not clause.has("ORDER"):
            name_behind(scope, clause, item, listed)
        return
    if len(numbers) == 2 and _bare_range(scope, clause, item):
        return
    for index in numbers:
        bare_number(scope, clause, Item("number", (index,)))


def _name_bracketed(scope: Scope, clause: Clause, listed: tuple[int, ...]) -> None:
    """Give the numbers of a bracket to the figures of the clause it stands in."""
    outer = scope.sentence.clauses[
        : next(n for n, one in enumerate(scope.sentence.clauses) if one is clause)
    ]
    home = next((one for one in reversed(outer) if not one.inside), None)
    for slot in scope.new_slots:
        own = home is not None and slot.tokens and slot.tokens[0] in home.own
        if own or slot.fasteners == "all":
            slot.fasteners = listed


def _bare_range(scope: Scope, clause: Clause, item: Item) -> bool:
    """Take "tighten to 50 - 60" as one figure with limits; tell whether it was one."""
    if any(scope.draft.tokens[i].letter == "e" for i in item.tokens):
        return False
    amount = amounts_of(Item("range", item.tokens), scope.draft.tokens)[0]
    if "reversed" in amount.oddities or any(i in scope.draft.marks for i in item.tokens):
        return False
    if not _stands_for_a_value(scope, clause, item.first, item.last):
        return False
    bare_figure(scope, clause, amount)
    return True


def bare_figure(scope: Scope, clause: Clause, amount: Amount) -> None:
    """Take a figure with limits but without a unit: in the declared unit, or ask for the unit.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    amount : Amount
    """
    if scope.declared:
        _declared(scope, clause, amount)
    else:
        _missing(scope, clause, amount)


def bare_number(scope: Scope, clause: Clause, item: Item) -> None:
    """Find out what a number without a unit is.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    item : Item
    """
    draft = scope.draft
    index = item.tokens[0]
    token = draft.tokens[index]
    if token.letter == "W" or index in draft.marks or token.number is None:
        return
    amount = Amount(
        "",
        "",
        token.number.value,
        step=token.number.step,
        tokens=(index,),
        oddities=frozenset({token.number.oddity} - {""}),
        other=token.number.other,
    )
    if token.number.oddity == "not_finite":
        not_physical(scope, Quantity([amount]))
    elif not _stands_for_a_value(scope, clause, index):
        _something_else(scope, clause, index)
    elif scope.declared:
        _declared(scope, clause, amount)
    else:
        _missing(scope, clause, amount)


def _stands_for_a_value(scope: Scope, clause: Clause, index: int, last: int | None = None) -> bool:
    """Tell whether a number, or a range up to `last`, stands where a torque or angle belongs."""
    tokens = scope.draft.tokens
    before = _before(scope, index)
    if _counts_turns(scope, clause, index):
        return False
    if before is None or _is_page(scope, index) or _is_year(scope, index):
        return False
    number = tokens[index].number
    if number is not None and number.value in STRENGTH_CLASSES and before.letter in "BMR":
        return False
    after = _after(scope, index if last is None else last)
    if scope.declared and before.letter in "wBC" and (after is None or after.letter in ",;.n|/a"):
        return True
    if before.has("TORQUE") and after is not None and after.has(*_AFTER_A_VALUE):
        return True
    if before.letter in "vt" and after is not None and after.has("TIGHTEN", "RETIGHTEN"):
        return True  # "auf 3,5 anziehen"
    if after is not None and after.letter in "wBCM" and before.letter not in "t+":
        return clause.has("TIGHTEN", "TORQUE") and after.letter == "w" and before.letter == ":"
    return _value_behind(scope, clause, index, before, after)


def _value_behind(
    scope: Scope, clause: Clause, index: int, before: Token, after: Token | None
) -> bool:
    """Tell whether what stands before a number leads to a torque or angle."""
    if before.letter in _VALUE_SIGNS or (before.letter == "v" and clause.has("TIGHTEN")):
        return True
    pulled = scope.draft.last()
    if before.letter == "h" and pulled is not None and pulled.kind in {"torque", "angle"}:
        return after is None or after.letter in ".;n"
    if before.letter == "," and _goes_on_alone(scope, clause, index):
        return True
    if before.letter == "-":
        return bool(clause.own) and not scope.draft.slots
    return before.letter == "B" or before.has("TORQUE", "TIGHTEN", "MAX", "MIN")


def _goes_on_alone(scope: Scope, clause: Clause, index: int) -> bool:
    """Tell the last figures of "20 N·m, 60 N·m, 90, 90", whose unit or degree sign is lost."""
    spoken = [i for i in clause.own if scope.draft.tokens[i].letter and i != index]
    new, number = scope.new_slots, scope.draft.tokens[index].number
    pulled = bool(new) and new[-1].kind in {"torque", "angle"}
    return pulled and not spoken and number is not None and number.value >= MOST_COUNTED


def _counts_turns(scope: Scope, clause: Clause, index: int) -> bool:
    """Tell "rotate the hub 10 times" from a figure."""
    return clause.has("TURN", "TIMES") and any(
        token.has("TIMES") for token in scope.draft.tokens[index + 1 : index + 3]
    )


def _before(scope: Scope, index: int) -> Token | None:
    for place in range(index - 1, max(-1, index - 30), -1):
        if scope.draft.tokens[place].letter:
            return scope.draft.tokens[place]
    return None


def _after(scope: Scope, index: int) -> Token | None:
    for token in scope.draft.tokens[index + 1 : index + 30]:
        if token.letter:
            return token
    return None


def _is_page(scope: Scope, index: int) -> bool:
    """Tell a page number at the end of a line from a figure: a torque stands before the leader."""
    tokens = scope.draft.tokens
    letters = ""
    for place in range(index - 1, max(-1, index - 40), -1):
        if tokens[place].letter in {"n", "."}:
            break
        letters += tokens[place].letter
    return bool(re.match(r"(?:-N)?\|.*[QA]", letters))


def _is_year(scope: Scope, index: int) -> bool:
    token = scope.draft.tokens[index]
    return bool(re.fullmatch(r"19[5-9]\d|20[0-4]\d", token.text)) and not scope.declared


def _declared(scope: Scope, clause: Clause, amount: Amount) -> None:
    """Take a number in the unit that the text named for all its figures."""
    from clampwright.procedure.torque import torque  # noqa: PLC0415 - torque knows bare numbers

    known = units()[scope.declared]
    full = in_unit(amount, UnitText("Q", known.name, 0))
    torque(scope, clause, Quantity([full]), [])


def _missing(scope: Scope, clause: Clause, amount: Amount) -> None:
    draft = scope.draft
    if not_physical(scope, Quantity([amount])):
        return
    note_oddities(scope, Quantity([amount]))
    if _limits_the_torque(scope, amount):
        return
    draft.mark(amount.tokens, "used", words("figure without a unit"))
    text = draft.written(amount.tokens)
    last = draft.last()
    if last is not None and last.kind in {"torque", "angle"} and _angle_expected(clause):
        _missing_degree(scope, amount, text)
        return
    if last is not None and last.kind in {"torque", "angle"} and "," in clause.leads:
        _missing_degree(scope, amount, text)
        return
    readings = [in_unit(amount, UnitText("Q", name, 0)) for name in _TORQUE_READINGS]
    scope.ask(
        "missing_unit",
        words("{text} has no unit; which one is meant?", text=text),
        [[stage_of("torque", one, draft=draft)] for one in readings],
        amount.tokens,
    )


def _limits_the_torque(scope: Scope, amount: Amount) -> bool:
    """Take "25 ft-lb; minimum 22" as a limit in the unit of the torque before it."""
    before, last = _before(scope, min(amount.tokens)), scope.draft.last()
    side: Side | None = None
    if before is not None and amount.value is not None and amount.low is None:
        side = "low" if before.has("MIN") else "high" if before.has("MAX") else None
    if side is None or last is None or last.kind != "torque" or not last.certain:
        return False
    if last.sentence < scope.sentence.number - 1 or last.stage.as_written:
        return False
    target, bound = last.stage.value, Bound(side)
    if target is None or last.stage.unit is None or not open_on(last, bound):
        return False
    if (float(amount.value or 0) > target) != (side == "high"):
        return False
    scope.draft.mark(amount.tokens, "used", words("limit"))
    limited = in_unit(amount, UnitText("Q", last.stage.unit, 0))
    close(last, limited.as_limit(low=side == "low"), bound)
    return True


def _angle_expected(clause: Clause) -> bool:
    return bool(clause.leads & {"+", "/", "h"}) or clause.has("TURN", "FURTHER", "PLUS")


def _missing_degree(scope: Scope, amount: Amount, text: str) -> None:
    draft = scope.draft
    value = amount.value or Fraction(0)
    lost_ring = value % 10 == 0 and 300 <= value <= 3600
    if lost_ring:
        draft.warn("ocr_suspect")
        amount = replace(amount, value=value / 10)
    stage = replace(
        stage_of("angle", in_unit(amount, UnitText("A", "deg", 0)), draft=draft), as_written=text
    )
    if lost_ring:
        why = words(
            "{text} has no unit; a degree sign is often lost as a zero in copied text, so"
            " {likely:g}° is likely, but must be confirmed",
            text=text,
            likely=float(value / 10),
        )
    else:
        why = words("{text} has no unit; are degrees meant?", text=text)
    scope.ask("missing_unit", why, [[stage]], amount.tokens)


def _something_else(scope: Scope, clause: Clause, index: int) -> None:
    tokens = scope.draft.tokens
    after = _after(scope, index)
    number = tokens[index].number
    if number is not None and number.value in STRENGTH_CLASSES:
        scope.draft.mark([index], "other", words("strength class"))
    elif (before := _before(scope, index)) is not None and before.has("TOOL"):
        scope.draft.mark([index], "other", words("size of a tool"))
    elif _counts_turns(scope, clause, index):
        scope.draft.mark([index], "other", words("count"))
    elif _is_page(scope, index):
        scope.draft.mark([index], "other", words("page number"))
    elif _is_year(scope, index):
        scope.draft.mark([index], "other", words("year"))
    elif re.fullmatch(r"\d+(?:[.,]\d+)+", tokens[index].text) and (
        not clause.items[0].first < index and not number_is_all(scope, clause)
    ):
        scope.draft.mark([index], "other", words("section number"))
    elif number is not None and (number.value >= 10_000 or re.match(r"0\d{3}", tokens[index].text)):
        scope.draft.mark([index], "other", words("part number"))
    elif after is not None and after.letter in "wCB" and not clause.figures:
        known = after.letter != "w" or after.has(*_COUNTABLE)
        small = number is None or (number.whole and number.value <= MOST_COUNTED)
        lonely = not known and _unit_unread(scope, clause, index)
        counted = [index] if (known or small) and not lonely else []
        scope.draft.mark(counted, "other", words("count"))


def _unit_unread(scope: Scope, clause: Clause, index: int) -> bool:
    """Tell "bracket 10 Nrn" or "wait 10 mn" from "4 clips": the word may be a unit."""
    before = _before(scope, index)
    aimed = before is not None and bool(before.letter) and before.letter in "vt+"
    if aimed or clause.has(*_WORKED) or number_is_all(scope, clause):
        return True
    letters = "".join(scope.draft.tokens[i].letter for i in clause.own)
    plain = not clause.has("TIGHTEN", "RETIGHTEN", "TORQUE", "FIT", "REMOVAL", "REPLACE", "USE")
    return plain and letters.endswith("Nw") and clause.ends_with != ":"


def number_is_all(scope: Scope, clause: Clause) -> bool:
    """Tell whether a clause is a number and one unknown word: "6 Nrn", a unit badly scanned.

    Parameters
    ----------
    scope : Scope
    clause : Clause

    Returns
    -------
    bool
    """
    spoken = [i for i in clause.own if scope.draft.tokens[i].letter not in {"", "a", "v", "t", "h"}]
    letters = "".join(scope.draft.tokens[i].letter for i in spoken)
    return letters == "Nw" and clause.ends_with != ":" and not scope.draft.tokens[spoken[-1]].means
