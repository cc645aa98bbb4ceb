"""Numbers before a torque that may name a fastener, a step, or a limit."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import stage_of
from clampwright.procedure.quantities import Quantity
from clampwright.procedure.scope import Scope, with_value
from clampwright.words import words


def part_fastener_number(scope: Scope, quantity: Quantity) -> None:
    """Take "bolt 3 to 45 N·m" as bolt 3 and 45 N·m: no range is as wide as that.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity
    """
    amount, tokens = quantity.amounts[0], scope.draft.tokens
    first, low, high = quantity.first, amount.low, amount.high
    signs = "".join(tokens[index].letter for index in amount.tokens)
    near = [token for token in tokens[max(0, first - 4) : first] if token.letter]
    if not near or near[-1].letter != "B" or not re.fullmatch(r"NtNQ", signs):
        return
    number = tokens[first].number
    if low is None or high is None or number is None or not number.whole:
        return
    if number.value > 60 or "reversed" in amount.oddities or high < 4 * low:
        return
    scope.draft.mark([first], "used", words("which fasteners"))
    scope.fasteners, scope.fasteners_step = (int(number.value),), scope.step
    quantity.amounts[0] = replace(
        with_value(amount, high), tokens=tuple(i for i in amount.tokens if i != first)
    )


def asked_about_number(scope: Scope, clause: Clause, quantity: Quantity) -> bool:
    """Ask about "tighten bolt 8 to 20 N·m": bolt 8, or a range; tell whether it was asked.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity

    Returns
    -------
    bool
    """
    amount, tokens = quantity.amounts[0], scope.draft.tokens
    signs = "".join(tokens[index].letter for index in amount.tokens)
    near = [token for token in tokens[max(0, quantity.first - 4) : quantity.first] if token.letter]
    number = tokens[quantity.first].number
    if not near or number is None or amount.low is None or amount.high is None:
        return False
    one = near[-1].value("FASTENER") == "bolt" and not _plural(near[-1].text)
    wide = amount.high > amount.low * Fraction(8, 5)
    behind_a_name = clause.has("FASTENER") and near[-1].letter != "N"
    behind_a_name = behind_a_name and amount.high >= 4 * amount.low
    if not (((one and wide) or behind_a_name) and re.fullmatch(r"NtNQ", signs)):
        return False
    if not clause.has("TIGHTEN"):
        return False
    if not number.whole or number.value > 30:
        return False
    alone = replace(stage_of("torque", with_value(amount, amount.high), draft=scope.draft), note="")
    scope.ask(
        "sign_unclear",
        words(
            "{text}: fastener {number} to one torque, or a range of torque?",
            text=scope.draft.written([quantity.first - 1, *quantity.tokens]),
            number=int(number.value),
        ),
        [
            [replace(alone, fasteners=(int(number.value),))],
            [stage_of("torque", amount, draft=scope.draft)],
        ],
        quantity.tokens,
    )
    return True


def _plural(word: str) -> bool:
    folded = word.casefold()
    return folded.endswith(("s", "i", "en")) and folded != "vis"


def asked_about_width(scope: Scope, quantity: Quantity) -> bool:
    """Ask about "1 - 20 N·m": a list number and a torque, or limits; tell whether it was asked.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity

    Returns
    -------
    bool
    """
    amount, tokens = quantity.amounts[0], scope.draft.tokens
    signs = "".join(tokens[index].letter for index in amount.tokens)
    number = tokens[quantity.first].number
    if number is None or not number.whole or number.value > 30:
        return False
    if amount.low is None or amount.high is None or not amount.from_range:
        return False
    if amount.high < 4 * amount.low or not re.fullmatch(r"N[-~]NQ", signs):
        return False
    scope.ask(
        "sign_unclear",
        words(
            "{text}: a number in a list and its torque, or a range of torque?",
            text=scope.draft.written(quantity.tokens),
        ),
        [
            [stage_of("torque", with_value(amount, amount.high), draft=scope.draft)],
            [stage_of("torque", amount, draft=scope.draft)],
        ],
        quantity.tokens,
    )
    return True


def asked_about_list(scope: Scope, quantity: Quantity) -> bool:
    """Ask about "20/25 N·m" and "28 - 30 - 32 N·m": steps, or limits; tell whether it was asked.

    Parameters
    ----------
    scope : Scope
    quantity : Quantity

    Returns
    -------
    bool
    """
    values = [amount.value for amount in quantity.amounts if amount.value is not None]
    between = scope.draft.tokens[quantity.first : quantity.last + 1]
    signs = "".join(token.letter for token in between)
    pair = re.fullmatch(r"[NW]/[NW]Q", signs) is not None
    three = re.fullmatch(r"[NW]-[NW]-[NW]Q", signs) is not None
    rising = values == sorted(values) and values[-1] < values[0] * Fraction(3, 2)
    if not (pair or (three and rising)) or any(value < 1 for value in values):
        return False
    middle = values[len(values) // 2] if three else sum(values) / 2
    whole = quantity.amounts[-1]
    limits = replace(with_value(whole, middle), low=min(values), high=max(values), from_range=pair)
    steps = [stage_of("torque", one, draft=scope.draft) for one in quantity.amounts]
    scope.ask(
        "sign_unclear",
        words(
            "{text}: one step after the other, or limits?",
            text=scope.draft.written(quantity.tokens),
        ),
        [steps, [stage_of("torque", limits, draft=scope.draft)]],
        quantity.tokens,
    )
    return True
