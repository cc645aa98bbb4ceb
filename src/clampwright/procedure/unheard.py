"""Words near a figure that were not understood: asked about where they can change the work.

Every other part of the reader goes by what it knows. A word that stands in no table would so be
passed over as a name or an ornament, and where it was "slacken", "wait" or "not" the stages would
come out wrong without a sign of it. Here the finished stages are looked at once more, together
with the words between and around their figures that nothing has explained.
"""

from __future__ import annotations

from itertools import pairwise

from clampwright.procedure.clauses import HEADS
from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.finished import BACK, PULLED, clause_of, made, one_joint, told
from clampwright.procedure.open_ends import OPEN_ENDS, Find
from clampwright.procedure.strange_words import strange, unknown
from clampwright.procedure.unheard_numbers import NUMBERS
from clampwright.words import Words, words

_GOES_ON = frozenset("hPSOE+>")
_GOING_ON = ("THEN", "FURTHER", "PLUS", "REPEAT", "AFTER", "FINALVALUE", "TIGHTEN", "RETIGHTEN")
_TURNED = ("TIGHTEN", "RETIGHTEN", "TURN", "FURTHER", "PLUS", "SNUG", "LOOSEN", "BACK", "TOTAL")
_WORK = (
    *_TURNED,
    "ANGLE",
    "BYHAND",
    "CHECK",
    "FIGREF",
    "FIT",
    "LUBE",
    "MANNER",
    "MARK",
    "NOT",
    "OIL",
    "RECHECK",
    "REPEAT",
    "SAME",
    "TORQUE",
    "USE",
    "WITHOUT",
)
_ASIDE = ("UNSUPPORTED", "CONTACT", "UNTIL", "COMMAND", "REMOVAL", "WAIT", "REPLACE", "REUSE")
_ENDS = frozenset(",;.n:|()")
_SMALL_NM = 5.0
"""Turning resistance of bearings is below this many newton metres; common practice, no source."""


def ask_the_unheard(draft: Draft) -> None:
    """Ask about the first word or figure that may change the stages and was not understood.

    Parameters
    ----------
    draft : Draft
        Read to its end, with nothing asked yet.
    """
    for find in _RULES:
        if (why := find(draft)) is not None:
            draft.warn("unexpected_text")
            draft.why.append(why)  # the stages as they stand are offered, to be confirmed
            return


def _between_pulls(draft: Draft) -> Words | None:
    """Ask about "20 N·m ... 30 N·m" on the same fasteners with an unknown word between them."""
    for first, then in pairwise(told(draft)):
        gap = range(max(first.tokens) + 1, min(then.tokens))
        alike = first.kind == then.kind and first.kind in {"torque", "stretch"}
        tokens = [draft.tokens[index] for index in gap]
        goes_on = any(one.letter in _GOES_ON or one.has(*_GOING_ON) for one in tokens)
        if alike and not goes_on and one_joint(first, then) and (odd := strange(draft, gap)):
            return unknown(draft, [*first.tokens, *then.tokens], odd[0])
    return None


def _strange_name(draft: Draft) -> Words | None:
    """Ask whether "tighten the nuts to 45 N·m, ... 90 N·m" names a joint or says what is done."""
    for first, then in pairwise(told(draft)):
        alike = first.kind == then.kind == "torque" and first.sentence == then.sentence
        if not alike or first.subject is None or then.subject is None or one_joint(first, then):
            continue
        clause, other = clause_of(draft, first), clause_of(draft, then)
        if clause is None or other is None or clause is other or not clause.has("TIGHTEN"):
            continue
        ahead = [index for index in other.own if index < min(then.tokens)]
        spoken = [index for index in ahead if draft.tokens[index].letter]
        named = any(
            draft.tokens[i].has("FASTENER")
            for i in draft.spoken[first.sentence]
            if i < min(first.tokens)
        )
        if named and not other.leads & {":", "|"} and spoken and strange(draft, spoken) == spoken:
            return unknown(draft, [*ahead, *then.tokens], spoken[0])
    return None


def _strange_turn(draft: Draft) -> Words | None:
    """Ask which way "30° ..." is turned when only an unknown word beside it says so."""
    for slot in told(draft):
        if slot.kind != "angle" or any(draft.tokens[i].has(*_TURNED) for i in slot.around):
            continue
        near = _beside(draft, slot)
        if any(draft.tokens[i].letter in {"+", "S", "O", "P", "E"} for i in near):
            continue
        if odd := strange(draft, near):
            return unknown(draft, [*near, *slot.tokens], odd[0])
    return None


def _beside(draft: Draft, slot: Slot) -> list[int]:
    """Return the words of the clause before and behind a figure, up to the next sign."""
    found: list[int] = []
    own = set(slot.around)
    for start, step in ((min(slot.tokens) - 1, -1), (max(slot.tokens) + 1, 1)):
        index = start
        while index in own and draft.tokens[index].letter not in _ENDS:
            found.append(index)
            index += step
    return found


def _behind_turn(draft: Draft) -> Words | None:
    """Ask about an unknown word just behind an angle: "90° twice", "90° back"."""
    for slot in told(draft):
        if slot.kind not in {"angle", "back_off_then"}:
            continue
        behind = range(max(slot.tokens) + 1, min(max(slot.tokens) + 6, len(draft.tokens)))
        spoken = next((index for index in behind if draft.tokens[index].letter), None)
        if spoken is not None and strange(draft, [spoken]):
            return unknown(draft, slot.tokens, spoken)
    return None


def _turn_from_where(draft: Draft) -> Words | None:
    """Ask where the first turn starts from, when an unknown word stands before it."""
    first = next(iter(made(draft)), None)
    if first is None or first.kind not in {"angle", "back_off_then"} or not first.tokens:
        return None
    own = draft.spoken.get(first.sentence, [])
    if first.kind == "back_off_then" and (said := _brought_before(draft, first)) is not None:
        return words(
            "{text}: how far is it screwed in before it is turned back?",
            text=draft.written(said)[:160],
        )
    ahead = [index for index in own if index < min(first.tokens)]
    near = ahead if first.kind == "back_off_then" else own
    if first.kind == "angle" and not any(
        draft.tokens[i].has("AFTER", "UNTIL", "THEN") for i in own
    ):
        near = ahead
    named = {i for i in ahead if any(draft.tokens[j].letter in {":", "|"} for j in ahead if j > i)}
    odd = [index for index in strange(draft, near) if index not in named]
    return unknown(draft, own, odd[0]) if odd else None


def _brought_before(draft: Draft, first: Slot) -> list[int] | None:
    """Return the words of "... until the play is gone" ahead of a turn back."""
    for clause in draft.clauses:
        if clause.own is first.around:
            return None
        if clause.sentence == first.sentence and "until" in clause.leads:
            return clause.own
    return None


def _amount_unheard(draft: Draft) -> Words | None:
    """Ask about "a ... turn" and "one ... flat": half of an amount was not understood."""
    for clause in draft.clauses:
        spoken = [index for index in clause.own if draft.tokens[index].letter]
        turns = clause.has("TURN", "FURTHER", "LOOSEN", "PLUS")
        for place, index in enumerate(spoken):
            token = draft.tokens[index]
            ahead, behind = spoken[max(0, place - 1) : place], spoken[place + 1 : place + 2]
            unit = token.letter == "w" and token.value("UNIT") in {"turn", "flat"}
            last = place + 2 == len(spoken)
            number = token.letter == "W" and turns and last and token.value("NUMBER") is not None
            near = (ahead if unit else []) + (behind if number else [])
            if index not in draft.marks and (odd := strange(draft, near)):
                return unknown(draft, [index], odd[0])
    return None


def _then_what(draft: Draft) -> Words | None:
    """Ask about "..., then ..." when no word of the second half is known."""
    if not told(draft):
        return None
    for clause in draft.clauses:
        leads = clause.leads & {"h", "+"}
        if not leads or clause.figures or clause.inside or clause.has(*_WORK, *_ASIDE):
            continue
        if odd := strange(draft, clause.own):
            return unknown(draft, clause.own, odd[0])
    return None


def _repeats_nothing(draft: Draft) -> Words | None:
    """Ask what is repeated, when no stage came of it."""
    done = {id(slot.around) for slot in draft.slots}
    for clause in draft.clauses:
        if clause.has("REPEAT") and not clause.figures and id(clause.own) not in done:
            numbers = any(draft.tokens[index].number is not None for index in clause.own)
            if numbers and strange(draft, clause.own):
                return unknown(draft, clause.own, strange(draft, clause.own)[0])
    return None


def _step_without_work(draft: Draft) -> Words | None:
    """Ask about a step of which nothing was understood: "step 1: ...", "... step 2"."""
    if not told(draft):
        return None
    for before, clause in pairwise([*draft.clauses[:1], *draft.clauses]):
        if clause.figures or clause.inside or not any(i.kind in HEADS for i in clause.items):
            continue
        own = clause.own
        if before is not clause and before.sentence == clause.sentence and not before.figures:
            bare = not any(draft.tokens[i].letter == "w" for i in own)
            bare = bare and before.ends_with != ":"  # "head: 1st stage, all bolts ...": a heading
            own = [*before.own, *own] if bare and clause.ends_with != ":" else own
        if any(draft.tokens[i].means and draft.tokens[i].letter in {"w", "B"} for i in own):
            continue
        if (odd := strange(draft, own)) and clause.ends_with != ":":
            return unknown(draft, own, odd[0])
    return None


def _strange_work(draft: Draft) -> Words | None:
    """Ask about "... all bolts fully in reverse order", where the word of the work is unknown."""
    if not told(draft):
        return None
    for clause in draft.clauses:
        if clause.figures or clause.inside or clause.ends_with == ":":
            continue
        if not clause.has("ORDER", "FULL") or clause.has(*_WORK):
            continue
        odd = strange(draft, clause.own)
        fastener = clause.has("FASTENER")
        if odd and (fastener or "FULL" in clause.classes()):
            return unknown(draft, clause.own, odd[0])
    return None


def _under_condition(draft: Draft) -> Words | None:
    """Ask about a figure that is reached or passed, in words that are not all known."""
    for slot in told(draft):
        clause = clause_of(draft, slot)
        if slot.kind not in PULLED or clause is None or "if" not in clause.leads:
            continue
        if odd := strange(draft, clause.own):
            return unknown(draft, clause.own, odd[0])
    return None


def _resistance(draft: Draft) -> Words | None:
    """Ask whether a small torque at a bearing is to be measured while turning."""
    for slot in told(draft):
        high = slot.stage.tolerance_high or slot.stage.value
        small = slot.stage.unit == "N·m" and high is not None and high <= _SMALL_NM
        if slot.kind != "torque" or not small:
            continue
        own = draft.spoken.get(slot.sentence, [])
        turns = any(draft.tokens[i].has("ROTOR") for i in own)
        pulled = any(draft.tokens[i].has("TIGHTEN", "RETIGHTEN", "ROTATING") for i in own)
        if turns and not pulled and (odd := strange(draft, own)):
            return unknown(draft, own, odd[0])
        behind = [index for index in slot.around if index > max(slot.tokens)]
        spoken = [draft.tokens[index] for index in behind]
        needed = any(one.has("ROTOR") for one in spoken) and any(one.has("TURN") for one in spoken)
        if needed and (odd := strange(draft, behind)):  # "to 2 N·m needed for the shaft to turn"
            return unknown(draft, own, odd[0])
    return None


def _two_works(draft: Draft) -> Words | None:
    """Ask about slackening and tightening in one run of words that could not be told apart."""
    slackened = {one.sentence for one in made(draft) if one.kind in BACK}
    for slot in told(draft):
        clause = clause_of(draft, slot)
        if slot.kind != "torque" or clause is None or clause.has("NOT", "WITHOUT", "BEFORE"):
            continue
        both = clause.has("LOOSEN") and clause.has("TIGHTEN", "RETIGHTEN")
        verbs = [token for _, token in clause.words() if token.has("LOOSEN")]
        plain = any(not token.has("TIGHTEN", "RETIGHTEN") for token in verbs)
        done = slot.sentence in slackened
        if both and plain and not done and (odd := strange(draft, clause.own)):
            return unknown(draft, clause.own, odd[0])
    return None


def _before_then(draft: Draft) -> Words | None:
    """Ask about "..., then 10 N·m" where nothing of what comes first is known."""
    for clause, then in pairwise(draft.clauses):
        joined = then.sentence == clause.sentence and "h" in then.leads and bool(then.figures)
        if not joined or clause.figures or clause.inside or clause.ends_with == ":":
            continue
        if then.has("AFTER"):
            continue
        spoken = [draft.tokens[i] for i in clause.own if draft.tokens[i].letter]
        if any(token.means or token.letter != "w" for token in spoken):
            continue
        if odd := strange(draft, clause.own):
            return unknown(draft, clause.own, odd[0])
    return None


_RULES: tuple[Find, ...] = (
    *OPEN_ENDS,
    *NUMBERS,
    _between_pulls,
    _strange_name,
    _strange_turn,
    _behind_turn,
    _turn_from_where,
    _amount_unheard,
    _then_what,
    _repeats_nothing,
    _step_without_work,
    _strange_work,
    _under_condition,
    _resistance,
    _two_works,
    _before_then,
)
