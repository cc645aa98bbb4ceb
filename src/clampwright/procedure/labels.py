"""Which fasteners, which order, which direction: settled when the whole text has been read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from clampwright.procedure.draft import Draft, Slot, Subject
from clampwright.procedure.scope import LeftHand, Scope
from clampwright.procedure.subjects import same
from clampwright.words import words

_MOST_NAMES = 100
_JOINT_KINDS = frozenset({"torque", "stretch"})


def name_joints(draft: Draft, scope: Scope, *, one_joint: bool) -> None:
    """Give each stage its fasteners: numbers, a label, or all where there is only one joint.

    Parameters
    ----------
    draft : Draft
    scope : Scope
    one_joint : bool
        Whether different names stand for variants of one joint.
    """
    named = [slot for slot in draft.slots if slot.subject is not None]
    several = not one_joint and _several(named, draft)
    for slot in draft.slots:
        fasteners = slot.fasteners
        if fasteners == "all" and not several:
            continue
        if fasteners == "all" and several and slot.subject is not None:
            fasteners = _label(slot.subject, draft)
        slot.options = [
            [replace(one, fasteners=fasteners) if one.fasteners == "all" else one for one in option]
            for option in slot.options
        ]
    if not several:
        _name_special(draft, scope)


def _joint(slot: Slot, draft: Draft) -> Subject | None:
    """Return the joint of a stage; a bare "the nuts" beside a turn names no joint of its own."""
    subject = slot.subject
    if slot.kind in _JOINT_KINDS or subject is None:
        return subject
    turned = slot.kind in {"snug", "back_off_then"} and not draft.is_general(subject.text)
    return subject if turned else None


def _several(named: Sequence[Slot], draft: Draft) -> bool:
    subjects = list({one.names: one for slot in named if (one := _joint(slot, draft))}.values())
    return len(subjects) > _MOST_NAMES or any(
        not same(first, second)
        for place, first in enumerate(subjects)
        for second in subjects[:place]
    )


def _label(subject: Subject, draft: Draft) -> str:
    """Write a name as inside a sentence: small, except in German and at the heads of lines."""
    text = subject.text
    if (
        draft.language == "de"
        or (subject.listed and "\n" in draft.text.strip())
        or len(text) < 2
        or not text[0].isupper()
        or not text[1].islower()
    ):
        return text
    return text[0].lower() + text[1:]


def _name_special(draft: Draft, scope: Scope) -> None:
    """Name the fastener where the stage holds for it alone: left-hand thread, rising torque."""
    rotating = any(
        slot.kind == "torque_check" and slot.stage.check == "rotating" for slot in draft.slots
    )
    for slot in draft.slots:
        if slot.subject is None or slot.kind != "torque" or slot.fasteners != "all":
            continue
        rising = rotating and slot.stage.value is None
        if (scope.left_hand and not draft.is_general(slot.subject.text)) or rising:
            slot.change(fasteners=_label(slot.subject, draft))


def set_orders(draft: Draft, scope: Scope) -> None:
    """Give each stage its order: its sentence's own, or the one named for the whole text.

    Parameters
    ----------
    draft : Draft
    scope : Scope
    """
    for slot in draft.slots:
        order = slot.order
        if order is None and slot.kind in {"torque", "angle", "snug"}:
            order = scope.text_order
        if order is not None:
            slot.change(order=order)
        if slot.per_fastener and slot.kind != "wait":
            slot.change(per_fastener=True)


def _is_left_handed(slot: Slot, said: LeftHand) -> bool:
    """Tell whether what is said of a left-hand thread holds for a stage."""
    if not said.own:  # a heading or a remark: for its part, or for all when none is named
        return same(slot.subject, said.subject)
    if any(slot is one for one in said.own):
        alike = [one for one in said.own if one.subject == said.subject]
        return not alike or slot.subject == said.subject
    if slot.subject is None or said.subject is None:
        return said.opens and slot.subject is said.subject
    return same(slot.subject, said.subject)


def set_direction(draft: Draft, scope: Scope) -> None:
    """Turn tightening round for a left-hand thread; ask where only the direction is named.

    Parameters
    ----------
    draft : Draft
    scope : Scope
    """
    if scope.left_hand:
        near = {id(slot): said for said in scope.left for slot in said.own}
        alike = {(said.subject, bool(said.own), said.opens): said for said in scope.left}
        others = list(alike.values())[:_MOST_NAMES]  # what is said a hundred times says no more
        for slot in draft.slots:
            said = [near[id(slot)]] if id(slot) in near else others
            turned = slot.kind in {"torque", "angle", "snug", "stretch"}
            if turned and any(_is_left_handed(slot, one) for one in said):
                slot.change(direction="ccw")
        return
    kinds = {slot.kind for slot in draft.slots}
    if scope.ccw and "torque" in kinds and not kinds & {"back_off_then", "loosen"}:
        draft.ask("sign_unclear", words("tightened counter-clockwise: is this a left-hand thread?"))
