"""Reading a written procedure: from the text as pasted to stages, or to the questions to ask."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from math import prod

from clampwright.procedure import reuse, surface
from clampwright.procedure.account import mark_words, settle_numbers, spans_of
from clampwright.procedure.clauses import sentences
from clampwright.procedure.draft import Draft, shown
from clampwright.procedure.enumerators import mark_enumerators
from clampwright.procedure.interpret import interpret
from clampwright.procedure.labels import name_joints, set_direction, set_orders
from clampwright.procedure.lexing import tokenise
from clampwright.procedure.normalise import clean, refusal
from clampwright.procedure.reading import Problem, Reading, Status
from clampwright.procedure.scope import Scope
from clampwright.procedure.stage import Stage
from clampwright.procedure.tables import find_tables, take_table
from clampwright.procedure.told_apart import tell_apart
from clampwright.procedure.torque_limits import settle_ceilings
from clampwright.procedure.turning_totals import ask_cumulative, running_total
from clampwright.procedure.unheard import ask_the_unheard
from clampwright.procedure.variants import choose_variant, stages_where
from clampwright.procedure.vocabulary import language_of, marks_of, vocabulary
from clampwright.words import words

MOST_CANDIDATES = 64
"""Readings side by side; with more questions than that a person settles some in the text first."""


def read(text: str, locale: str = "en") -> Reading:
    """Read a written procedure.

    Parameters
    ----------
    text : str
        As pasted.
    locale : str
        Language tag of the text, such as ``de-DE``; ``und`` when it is not known.

    Returns
    -------
    Reading

    Examples
    --------
    >>> reading = read("Step 1: 30 N·m. Step 2: +90°")
    >>> [(stage.kind, stage.value, stage.unit) for stage in reading.stages]
    [('torque', 30.0, 'N·m'), ('angle', 90.0, 'deg')]
    """
    problem = refusal(text)
    if problem is not None:
        return Reading("refused", error=problem)
    plain = clean(text)
    spoken = vocabulary(language_of(plain.text, locale))
    tokens = tokenise(plain.text, spoken, marks_of(locale))
    mark_enumerators(tokens)
    draft = Draft(tokens, plain.text, words=spoken)
    scope = _read_all(draft)
    settle_numbers(draft)
    reading = _concluded(draft, scope)
    mark_words(draft, draft.settled)
    return replace(reading, spans=spans_of(draft, plain, draft.settled))


def language_read(text: str, locale: str = "en") -> str:
    """Return the language in which a text is read.

    Parameters
    ----------
    text : str
        As pasted.
    locale : str

    Returns
    -------
    str
        Its tag.

    Examples
    --------
    >>> language_read("Schrauben mit 30 Nm anziehen und dann weiterdrehen")
    'de'
    """
    return language_of(clean(text).text, locale)


def _read_all(draft: Draft) -> Scope:
    """Read text and tables in their order."""
    scope: Scope | None = None
    position = 0
    for table in find_tables(draft):
        scope = interpret(draft, sentences(draft.tokens, position, table.start), scope)
        take_table(scope, table)
        position = table.stop
    scope = interpret(draft, sentences(draft.tokens, position), scope)
    _drop_curing(draft)
    _ask_retightening(draft, scope)
    draft.slots.extend(scope.deferred)
    return scope


def _drop_curing(draft: Draft) -> None:
    """Leave out the time a compound takes to harden when nothing is to be tightened after it."""
    last = draft.last()
    if last is not None and last.kind == "wait" and last.curing:
        draft.slots.remove(last)


def _ask_retightening(draft: Draft, scope: Scope) -> None:
    """Ask for the torque of "loosen, then retighten": none is given for the second time."""
    last = draft.last()
    if last is None or last.kind not in {"loosen", "back_off_then"}:
        return
    if scope.retightened != len(draft.slots):
        return
    before = draft.last("torque")
    options = [[before.stage]] if before is not None and before.certain else []
    scope.ask(
        "no_value",
        words("loosened and tightened again: to which torque?"),
        options,
    )


def _concluded(draft: Draft, scope: Scope) -> Reading:
    if draft.not_physical is not None:
        return Reading("refused", error=Problem("not_physical", draft.not_physical))
    settle_ceilings(draft)
    draft.collect_questions()
    reuse.conflict(draft)
    if not draft.slots and not draft.unsettled:
        nothing = _nothing_found(draft)
        if nothing is not None:
            return nothing
    if draft.commanded and draft.slots:
        draft.warn("unexpected_text")
    _intermediate_values(draft, scope)
    chosen_by = choose_variant(draft)
    surface.conflict(draft)
    if chosen_by is None:
        tell_apart(draft)
    name_joints(draft, scope, one_joint=chosen_by is not None)
    set_orders(draft, scope)
    set_direction(draft, scope)
    variants = None if chosen_by is None else [stages_where(draft, keep) for keep in chosen_by]
    if variants is None:
        _cumulative(draft)
        _lower_than_before(draft)
    if not draft.why:
        ask_the_unheard(draft)
    draft.settled = [
        slot
        for slot in draft.slots
        if slot.certain and slot.options and all(keep(slot) for keep in chosen_by or ())
    ]
    certain = tuple(slot.stage for slot in draft.settled)
    asked = bool(draft.why)
    status: Status = "ambiguous" if asked else "ok"
    return Reading(
        status,
        certain,
        _candidates(draft, variants) if asked else (),
        tuple(draft.why),
        tuple(draft.lubrication),
        draft.reuse,
        tuple(draft.limits),
        tuple(draft.warnings),
    )


def _nothing_found(draft: Draft) -> Reading | None:
    if not draft.tightens:
        return Reading(
            "refused",
            error=Problem(
                "no_tightening_instruction",
                words(
                    "no torque, angle or stretch was found; this text is not an instruction to"
                    " tighten anything"
                ),
            ),
        )
    if "unsupported_step" in draft.warnings:
        draft.ask(
            "unsupported_step",
            words("this step is not done by torque, angle or stretch; it is shown as it stands"),
        )
        return None
    draft.ask(
        "no_value",
        words(
            "no torque, angle or stretch is given; look for the figure in the maker's"
            " information for this part, and do not take one from a general table unasked"
        ),
    )
    return None


def _intermediate_values(draft: Draft, scope: Scope) -> None:
    if scope.passes is None:
        return
    count, start = scope.passes
    made = [slot for slot in draft.slots[start:] if slot.kind in {"torque", "angle"}]
    if len(made) < count:
        draft.warn("intermediate_values_not_stated")


def _lower_than_before(draft: Draft) -> None:
    """Ask about 60 N·m and then 45 N·m on the same bolts: nothing moves at the second.

    A smaller torque does nothing unless something was slackened, so it is for another place,
    part or variant that the text has named in words which were not understood.
    """
    if draft.why:
        return
    for first, then in pairwise(draft.slots):
        if then.options and then.options[0][0].note.startswith("repeat of"):
            continue
        if not (first.kind == then.kind == "torque" and first.certain and then.certain):
            continue
        one, other = first.stage, then.stage
        alike = one.unit == other.unit and one.fasteners == other.fasteners
        if not alike or one.value is None or other.value is None or other.value >= one.value:
            continue
        draft.ask(
            "conflicting_instructions",
            words(
                "{low} {unit} after {high} {unit}, with nothing slackened between: are both for"
                " the same fasteners?",
                low=shown(other.value),
                high=shown(one.value),
                unit=one.unit or "",
            ),
        )


def _cumulative(draft: Draft) -> None:
    for earlier, later in ask_cumulative([slot for slot in draft.slots if slot.options]):
        stage = later.stage
        later.options = running_total(earlier, later)
        later.certain = False
        draft.warn("cumulative_or_further")
        draft.why.append(
            words(
                "{value} {unit} after {before} {before_unit}: turned further by that much, or"
                " in total?",
                value=shown(stage.value),
                unit=stage.unit or "",
                before=shown(earlier.stage.value),
                before_unit=earlier.stage.unit or "",
            )
        )


def _candidates(draft: Draft, variants: list[list[Stage]] | None) -> tuple[tuple[Stage, ...], ...]:
    """Return every complete combination of the alternatives; none where one has no answer yet."""
    if draft.unsettled or any(not slot.options for slot in draft.slots):
        return ()
    if variants is not None:
        return tuple(tuple(one) for one in variants)
    if prod(len(slot.options) for slot in draft.slots) > MOST_CANDIDATES:
        return ()  # a part of them would hide an answer
    combined = product(*(slot.options for slot in draft.slots))
    return tuple(tuple(stage for part in parts for stage in part) for parts in combined)
