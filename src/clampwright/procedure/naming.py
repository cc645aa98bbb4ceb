"""What the stages of a clause are applied to, by name."""

from __future__ import annotations

from collections.abc import Sequence

from clampwright.procedure.clauses import Clause
from clampwright.procedure.draft import Draft, Subject
from clampwright.procedure.quantities import Quantity, quantities
from clampwright.procedure.scope import Scope
from clampwright.procedure.subjects import same, subject_between, subject_of
from clampwright.procedure.vocabulary import fold


def name_subject(scope: Scope, clause: Clause, following: Sequence[Clause]) -> None:
    """Let the stages that follow belong to the joint a clause names.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    following : sequence of Clause
        The next clause, if any.
    """
    aside = clause.leads & {"while", "until", "if"} or clause.has("BEFORE") or _waits(clause)
    if clause.inside and not aside:
        _name_in_brackets(scope, clause)
    elif not aside and not _all_of_them(scope, clause):
        _name(scope, clause, following)
    if clause.has("LEFT_HAND"):
        scope.left_subject = scope.subject


def _name(scope: Scope, clause: Clause, following: Sequence[Clause]) -> None:
    heads_list = bool(following and following[0].leads & {":", "|", "-"}) or _stands_alone(clause)
    told = bool(clause.figures) or (
        bool(scope.declared) and any(item.kind == "number" for item in clause.items)
    )
    bare_list = not clause.has("TIGHTEN", "TURN", "LOOSEN", "RETIGHTEN") and told
    starts = not (clause.leads & {"a", "+", "h"})
    found = subject_of(clause, scope.draft, listed=heads_list or (bare_list and starts))
    found = found or _by_contrast(scope, clause, following)
    meanwhile = bool(following) and "while" in following[0].leads and not clause.figures
    if found is None or (meanwhile and not clause.has("TIGHTEN", "TORQUE")):
        return
    if clause.has("LOOSEN", "RECHECK", "CHECK") and not clause.figures:
        return
    fastener = any(clause.tokens[i].has("FASTENER") for i in clause.own)
    torque_of = ":" in clause.leads and clause.has("TORQUE")
    if torque_of and not fastener and scope.subject is not None:
        return  # "studs: fitting torque 5 N·m" is about the studs
    sized = scope.subject is not None and scope.subject.names == {fold(scope.subject.text)}
    goes_on = sized and scope.subject is not None and scope.subject.general
    listed_sizes = _a_size_with_figure(clause) and (
        goes_on or any(map(_a_size_with_figure, following))
    )
    if found.general and not (heads_list or listed_sizes) and scope.heading == clause.sentence:
        return  # "front mounting: 2 bolts M12, 80 N·m" is about the mounting
    if not heads_list and _means_the_same(scope, clause, found):
        return
    if heads_list:
        scope.heading, scope.headed = clause.sentence, None
    renamed = scope.subject is not None and found.names == scope.subject.names and told
    renamed = renamed or (told and _by_its_size(scope, clause, found))
    if scope.subject is None or not same(found, scope.subject) or heads_list or renamed:
        scope.subject = found
        if scope.fasteners != "all" and (heads_list or _other_fasteners(clause, found)):
            scope.fasteners = scope.headed_fasteners = "all"


def _waits(clause: Clause) -> bool:
    """Tell "let the sealer skin over for 30 minutes" from the name of a joint."""
    measured = [one.letter for one in quantities(clause)]
    return clause.has("WAIT", "CURE") and bool(measured) and not set(measured) - {"H", "K"}


def _by_its_size(scope: Scope, clause: Clause, found: Subject) -> bool:
    """Tell whether "M8 bolts" says more than the "bolts" spoken of before."""
    sized = any(clause.tokens[i].letter == "M" for i in clause.own)
    return sized and scope.subject is not None and found.names > scope.subject.names


def _other_fasteners(clause: Clause, found: Subject) -> bool:
    """Tell whether "...; side bolts 25 N·m" is about others than the bolts 1 to 10 before it."""
    numbered = any(item.kind in {"subset", "span", "label"} for item in clause.items)
    spoken = any(clause.tokens[i].has("OTHERS", "ALL") for i in clause.own)
    goes_on = clause.leads & {"h", "+", "a", "step"} or numbered or spoken or found.general
    pulls = any(one.letter == "Q" for one in quantities(clause))
    return pulls and not goes_on and clause.has("FASTENER")


def _a_size_with_figure(clause: Clause) -> bool:
    """Tell whether a clause is a thread size and its torque only: "M12 80 N·m"."""
    letters = [clause.tokens[i].letter for i in clause.own if clause.tokens[i].letter]
    return letters[:1] == ["M"] and [one.letter for one in quantities(clause)] == ["Q"]


def _means_the_same(scope: Scope, clause: Clause, found: Subject) -> bool:
    """Tell whether "Mutter lösen" is about the "Radlagermutter" named before it."""
    if scope.subject is None or not found.general or found.names & scope.subject.names:
        return False
    stems = [name.rstrip("ens") for name in found.names]
    if not any(name.rstrip("ens").endswith(stem) for name in scope.subject.names for stem in stems):
        return False
    last = scope.draft.last()
    backed = last is not None and last.kind in {"loosen", "back_off_then"}
    pulled = any(one.letter == "Q" for one in quantities(clause))
    return backed or not pulled or clause.has("RETIGHTEN")


def _by_contrast(scope: Scope, clause: Clause, following: Sequence[Clause]) -> Subject | None:
    """Name "front" in "tighten front 60 N·m, rear 80 N·m": two words, a torque behind each."""
    own = _plain_word(clause, scope.draft)
    if own is None:
        return None
    clauses = scope.sentence.clauses
    place = next(n for n, one in enumerate(clauses) if one is clause)
    before = [one for one in clauses[:place] if not one.inside][-1:]
    near = [word for one in (*before, *following) if (word := _plain_word(one, scope.draft))]
    return own if any(word.names != own.names for word in near) else None


def _plain_word(clause: Clause, draft: Draft) -> Subject | None:
    """Return the name that stands alone before the only figure of a clause, a torque."""
    found = quantities(clause)
    if len(found) != 1 or found[0].letter != "Q" or clause.leads & {"while", "until", "if"}:
        return None
    ahead = [i for i in clause.own if i < found[0].first and clause.tokens[i].letter]
    verbs = ("TIGHTEN", "TORQUE", "TO")
    strange = [
        i for i in ahead if clause.tokens[i].letter not in "ta" and not clause.tokens[i].has(*verbs)
    ]
    plain = [i for i in strange if clause.tokens[i].letter == "w" and not clause.tokens[i].means]
    if not strange or strange != plain[: len(strange)] or len(plain) > 2:
        return None
    text = draft.written(strange)
    return Subject(text, frozenset(fold(word).rstrip("s") for word in text.split()))


def _all_of_them(scope: Scope, clause: Clause) -> bool:
    """Let "all bolts" end what was said of some; tell whether it ends several names."""
    numbered = any(item.kind in {"subset", "span"} for item in clause.items)
    if clause.has("ALL") and clause.has("FASTENER") and not numbered:
        scope.fasteners, scope.fasteners_step = "all", scope.step
        named = [slot.subject for slot in scope.new_slots if slot.subject is not None]
        if any(not same(named[0], one) for one in named):
            scope.subject = None  # "8 mm bolts 25 N·m, 10 mm bolts 49 N·m, then all bolts 90°"
            return True
    return False


def _name_in_brackets(scope: Scope, clause: Clause) -> None:
    """Let "(lock nut 15 N·m)" belong to the lock nut."""
    found = subject_of(clause, scope.draft, listed=False) if clause.figures else None
    if found is not None and not scope.draft.is_general(found.text):
        scope.subject = found


def name_by_bracket(scope: Scope, clause: Clause) -> None:
    """Let "10 N·m (M6 bolt), 25 N·m (M8 bolt)" belong to what the brackets name by size.

    Parameters
    ----------
    scope : Scope
    clause : Clause
        A bracket without a figure.
    """
    clauses = scope.sentence.clauses
    sized = [
        one
        for one in clauses
        if one.inside and not one.figures and any(one.tokens[i].letter == "M" for i in one.own)
    ]
    if len(sized) < 2 or not any(one is clause for one in sized):
        return
    first = min(clause.own)
    ahead = "".join(token.letter for token in clause.tokens[max(0, first - 4) : first])
    if not ahead.endswith("Q("):
        return  # "longer bolts (M10) 50 N·m" has a name already
    place = next(n for n, one in enumerate(clauses) if one is clause)
    outer = next((one for one in reversed(clauses[:place]) if not one.inside), None)
    found = subject_of(clause, scope.draft, listed=True)
    for slot in scope.new_slots:
        if found and outer is not None and slot.tokens and slot.tokens[0] in outer.own:
            slot.subject = found


def name_between(
    scope: Scope, clause: Clause, quantity: Quantity, others: Sequence[Quantity]
) -> None:
    """Let a torque belong to what is named between it and the torque before it.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    quantity : Quantity
    others : sequence of Quantity
        All quantities of the clause.
    """
    earlier = [other.last for other in others if other.last < quantity.first]
    if quantity.letter != "Q" or not earlier or clause.inside:
        return
    found = subject_between(clause, scope.draft, max(earlier) + 1, quantity.first)
    if found is not None and not same(found, scope.subject):
        scope.subject = found


def name_by_size(scope: Scope, clause: Clause, size: Quantity) -> None:
    """Let the stages that follow belong to "the 8 mm bolts", beside a heading if there is one.

    Parameters
    ----------
    scope : Scope
    clause : Clause
    size : Quantity
        The length in front of the fastener word.
    """
    behind = [i for i in clause.own if i > size.last and clause.tokens[i].letter][:2]
    if not behind or not clause.tokens[behind[0]].has("FASTENER") or clause.has("TOOL"):
        return
    text = scope.draft.written([*size.tokens, behind[0]])
    names = frozenset(fold(word).rstrip("s") for word in text.split())
    heading = scope.subject if scope.heading == clause.sentence else None
    if heading is not None:
        heading = scope.headed or heading
        scope.headed = heading
        text, names = f"{heading.text}, {text}", names | heading.names
    scope.subject = Subject(text, names, listed=heading is not None)


def _stands_alone(clause: Clause) -> bool:
    return clause.ends_with == "" and not clause.figures
