"""Whether the fasteners may be used again."""

from __future__ import annotations

import re

from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.draft import Draft
from clampwright.procedure.reading import Limit
from clampwright.words import words

_MAY = "may_be_reused"


def note_reuse(draft: Draft, sentence: Sentence) -> None:
    """Add what a sentence says about using fasteners again.

    Parameters
    ----------
    draft : Draft
    sentence : Sentence
    """
    lengthy = sentence.has("LENGTH", "LONGER") and any(_length(c) for c in sentence.clauses)
    for clause in sentence.clauses:
        if "if" in clause.leads and not lengthy:
            continue
        said = None if lengthy else _said(clause, sentence)
        if said == _MAY and _counted(draft, clause):
            continue
        if said is not None:
            _settle(draft, said)


def _length(clause: Clause) -> bool:
    return any(clause.tokens[i].letter == "L" for i in clause.own)


def _said(clause: Clause, sentence: Sentence) -> str | None:
    both = sentence.has("USED") and sentence.has("NEW")  # a figure for each
    if both and clause.inside:
        return None
    labels = clause.ends_with == ":" or bool(clause.figures)
    if clause.has("USED") and labels and not clause.has("NOT"):
        return None
    if _limited(clause) and clause.has("USE", "REUSE", "USED") and not clause.figures:
        return _MAY
    if clause.inside and _bare_new(clause, sentence):
        return "new_required"
    if clause.has("REUSE") and _limited(clause):
        return _MAY
    if clause.has("REUSE"):
        return "new_required" if clause.has("NOT", "WITHOUT") else _MAY
    if clause.has("STRETCHBOLT") and not clause.has("NOT"):
        return "new_required"
    if both or sentence.has("LONGER") or any("if" in one.leads for one in sentence.clauses):
        return None
    return "new_required" if _demands_new(clause) else None


def _demands_new(clause: Clause) -> bool:
    """Tell whether fasteners are to be replaced, or new ones fitted."""
    bolts = "bolt" in clause.values("FASTENER")
    if clause.has("REPLACE") and not clause.has("NOT"):
        other = clause.has("SEALRING", "COUNTED") or "part" in clause.values("FASTENER")
        return bolts or not (other or _things(clause))
    return clause.has("NEW") and bolts and _new_bolts(clause)


def _limited(clause: Clause) -> bool:
    """Tell "not more than 2 times" and "ne ... que 2 fois" from "not"."""
    letters = "".join(clause.tokens[i].letter for i in clause.own)
    return clause.has("TWICE") or re.search("[NW]x", letters) is not None


def _bare_new(clause: Clause, sentence: Sentence) -> bool:
    """Tell whether "(new)" stands in a bracket right behind the name of a fastener."""
    spoken = [clause.tokens[i] for i in clause.own if clause.tokens[i].letter not in {"", "."}]
    if not clause.has("NEW", "REPLACE") or sentence.has("USED") or clause.has("NOT"):
        return False
    if any(not token.has("NEW", "REPLACE", "USE", "ALL") for token in spoken):
        return False
    place = next(n for n, one in enumerate(sentence.clauses) if one is clause)
    outer = next((one for one in reversed(sentence.clauses[:place]) if not one.inside), None)
    return outer is not None and not outer.figures and "bolt" in outer.values("FASTENER")


def _things(clause: Clause) -> bool:
    """Tell whether unknown words stand beside "replace", which then are what is replaced."""
    place = clause.place("REPLACE")
    if place is None:
        return False
    behind = [index for index in clause.own if index > place]
    ahead = [index for index in reversed(clause.own) if index < place]
    return _unknown_near(clause, behind) or _unknown_near(clause, ahead)


def _unknown_near(clause: Clause, indices: list[int]) -> bool:
    for index in indices[:4]:
        token = clause.tokens[index]
        if token.letter == "w" and not token.means:
            return True
        if token.letter:
            return False
    return False


def _new_bolts(clause: Clause) -> bool:
    """Tell "use new bolts" and "bolts must be new" from "new bearings" beside a bolt."""
    new = clause.place("NEW")
    bolts = [i for i, t in clause.words() if t.value("FASTENER") == "bolt"]
    if new is None or not bolts:
        return False
    tokens = clause.tokens
    for bolt in bolts:
        low, high = min(new, bolt), max(new, bolt)
        between = [i for i in range(low + 1, high) if tokens[i].letter]
        strangers = [i for i in between if not tokens[i].means]
        if len(between) <= 3 and len(strangers) <= 2 and (clause.has("USE", "NEW")):
            return True
    return False


def _counted(draft: Draft, clause: Clause) -> bool:
    """Take "may be reused twice" as a limit of use."""
    count: float | None = None
    for value in clause.values("TWICE"):
        count = float(value)
    for item in clause.items:
        for index in item.tokens:
            token, following = clause.tokens[index], clause.tokens[index + 1 : index + 2]
            if token.number is not None and following and following[0].letter == "x":
                count = float(token.number.value)
                draft.mark([index], "used", words("how often it may be reused"))
    if count is None:
        return False
    draft.limits.append(Limit("reuse_count_max", count, None))
    return True


def _settle(draft: Draft, said: str) -> None:
    if draft.reuse in {None, said} or (draft.reuse == "reuse_if_length_ok" and said == _MAY):
        draft.reuse = draft.reuse or said
        return
    if {draft.reuse, said} == {"new_required", _MAY}:
        draft.reuse = "conflict"
    elif said == "new_required":
        draft.reuse = "conflict" if draft.reuse == "reuse_if_length_ok" else draft.reuse


def conflict(draft: Draft) -> None:
    """Ask when reuse is both allowed and forbidden; forget a bare permission.

    Parameters
    ----------
    draft : Draft
    """
    if draft.reuse == "conflict":
        draft.reuse = None
        draft.ask(
            "conflicting_instructions",
            words("the statements about using the fasteners again contradict each other"),
        )
    elif draft.reuse == _MAY:
        draft.reuse = None
