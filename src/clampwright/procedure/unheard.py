"""Words near a figure that were not understood: asked about where they can change the work.

Every other part of the reader goes by what it knows. A word that stands in no table would so be
passed over as a name or an ornament, and where it was "slacken", "wait" or "not" the stages would
come out wrong without a sign of it. Here the finished stages are looked at once more, together
with the words between and around their figures that nothing has explained.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from clampwright.procedure.clauses import HEADS
from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.finished import BACK, PULLED, clause_of, made, one_joint, told
from clampwright.procedure.open_ends import OPEN_ENDS, Find
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
_ENDS = frozenset(",;.n:|()")
_PART = words("part of the torque")
_SHAPE = words("shape of a part")
_SIZE = words("size or part number")
_SMALL_NM = 5.0
"""Turning resistance of bearings is below this many newton metres; common practice, no source."""
_LEFT_OUT = (
    words("count"),
    words("section number"),
    words("word with a digit"),
    words("size or other measure"),
)


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


def strange(draft: Draft, indices: Iterable[int]) -> list[int]:
    """Return those of some tokens that are words which stand in no table.

    Parameters
    ----------
    draft : Draft
    indices : iterable of int

    Returns
    -------
    list of int
    """
    found = [index for index in indices if draft.tokens[index].letter == "w"]
    return [i for i in found if not draft.tokens[i].means and len(draft.tokens[i].text) > 1]


def _unknown(draft: Draft, around: Iterable[int], odd: int) -> Words:
    return words(
        "{text}: the word {word!r} is not known here; does it change what is to be done?",
        text=draft.written(sorted({*around, odd}))[:160],
        word=draft.tokens[odd].text[:40],
    )


def _between_pulls(draft: Draft) -> Words | None:
    """Ask about "20 N·m ... 30 N·m" on the same fasteners with an unknown word between them."""
    for first, then in pairwise(told(draft)):
        gap = range(max(first.tokens) + 1, min(then.tokens))
        alike = first.kind == then.kind and first.kind in {"torque", "stretch"}
        tokens = [draft.tokens[index] for index in gap]
        goes_on = any(one.letter in _GOES_ON or one.has(*_GOING_ON) for one in tokens)
        if alike and not goes_on and one_joint(first, then) and (odd := strange(draft, gap)):
            return _unknown(draft, [*first.tokens, *then.tokens], odd[0])
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
            return _unknown(draft, [*near, *slot.tokens], odd[0])
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
            return _unknown(draft, slot.tokens, spoken)
    return None


def _turn_from_where(draft: Draft) -> Words | None:
    """Ask where the first turn starts from, when an unknown word stands before it."""
    first = next(iter(made(draft)), None)
    if first is None or first.kind not in {"angle", "back_off_then"} or not first.tokens:
        return None
    own = draft.spoken.get(first.sentence, [])
    ahead = [index for index in own if index < min(first.tokens)]
    near = ahead if first.kind == "back_off_then" else own
    if first.kind == "angle" and not any(
        draft.tokens[i].has("AFTER", "UNTIL", "THEN") for i in own
    ):
        near = ahead
    named = {i for i in ahead if any(draft.tokens[j].letter in {":", "|"} for j in ahead if j > i)}
    odd = [index for index in strange(draft, near) if index not in named]
    return _unknown(draft, own, odd[0]) if odd else None


def _number_left_out(draft: Draft) -> Words | None:
    """Ask about "1.2 ... 1.8 N·m" when only an unknown word stands between the two numbers."""
    used = {index for slot in made(draft) for index in slot.tokens}
    for index, (role, what) in draft.marks.items():
        digits = what == _SIZE and draft.tokens[index].text[:1].isdigit()
        if role != "other" or not (digits or what in _LEFT_OUT):
            continue
        odd, behind = _unknown_behind(draft, index)
        if odd and (behind in used or draft.tokens[odd[-1] : behind] == []):
            return _unknown(draft, range(index, behind + 1), odd[0])
    return None


def _unknown_behind(draft: Draft, index: int) -> tuple[list[int], int]:
    """Return the unknown words behind a place, and the first token that is none."""
    odd: list[int] = []
    index += 1
    while index < len(draft.tokens) and draft.tokens[index].letter in {"", "t", "w"}:
        token = draft.tokens[index]
        if token.letter == "w" and token.means:
            return [], index
        odd += strange(draft, [index])
        index += 1
    return odd, min(index, len(draft.tokens) - 1)


def _behind_fasteners(draft: Draft) -> Words | None:
    """Ask about "bolts 11 ... 14 to 15 N·m" with an unknown word inside."""
    for clause in draft.clauses:
        for item in clause.items:
            if item.kind != "subset":
                continue
            odd, behind = _unknown_behind(draft, item.last)
            if odd and draft.tokens[behind].letter in {"N", "W"} and odd[0] == item.last + 1:
                return _unknown(draft, range(item.first, behind + 1), odd[0])
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
            own = [*before.own, *own] if bare and clause.ends_with != ":" else own
        if any(draft.tokens[i].means and draft.tokens[i].letter in {"w", "B"} for i in own):
            continue
        if (odd := strange(draft, own)) and clause.ends_with != ":":
            return _unknown(draft, own, odd[0])
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
            return _unknown(draft, clause.own, odd[0])
    return None


def _under_condition(draft: Draft) -> Words | None:
    """Ask about a figure that is reached or passed, in words that are not all known."""
    for slot in told(draft):
        clause = clause_of(draft, slot)
        if slot.kind not in PULLED or clause is None or "if" not in clause.leads:
            continue
        if odd := strange(draft, clause.own):
            return _unknown(draft, clause.own, odd[0])
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
            return _unknown(draft, own, odd[0])
    return None


def _part_only(draft: Draft) -> Words | None:
    """Ask to which torque it is tightened in the end, when only a part of one was understood."""
    parts = {index for index, (_, what) in draft.marks.items() if what == _PART}
    stages = told(draft)
    if not parts or not stages or stages[-1].kind != "torque":
        return None
    if not strange(draft, stages[-1].around) and not _strange_behind(draft, stages[-1]):
        return None
    last = stages[-1]
    numbers = [one for i in last.tokens if (one := draft.tokens[i].number) is not None]
    whole = max((one.value for one in numbers), default=None)
    if whole is None or last.stage.value is None or last.stage.value >= 0.99 * float(whole):
        return None
    return words(
        "{text}: only a part of this torque is spoken of; and in the end?",
        text=draft.written(last.tokens),
    )


def _strange_behind(draft: Draft, slot: Slot) -> list[int]:
    own = draft.spoken.get(slot.sentence, [])
    return strange(draft, [index for index in own if index > max(slot.tokens)])


def _two_works(draft: Draft) -> Words | None:
    """Ask about slackening and tightening in one run of words that could not be told apart."""
    for slot in told(draft):
        clause = clause_of(draft, slot)
        if slot.kind != "torque" or clause is None or clause.has("NOT", "WITHOUT", "BEFORE"):
            continue
        both = clause.has("LOOSEN") and clause.has("TIGHTEN", "RETIGHTEN")
        verbs = [token for _, token in clause.words() if token.has("LOOSEN")]
        plain = any(not token.has("TIGHTEN", "RETIGHTEN") for token in verbs)
        done = any(one.kind in BACK and one.sentence == slot.sentence for one in made(draft))
        if both and plain and not done and (odd := strange(draft, clause.own)):
            return _unknown(draft, clause.own, odd[0])
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
            return _unknown(draft, clause.own, odd[0])
    return None


def _two_joined(draft: Draft) -> Words | None:
    """Ask about "... 14 and 17 N·m" where the word before may be "between"."""
    for slot in told(draft):
        spoken = [i for i in slot.tokens if draft.tokens[i].letter]
        first = min(slot.tokens)
        letters = "".join(
            draft.tokens[i].letter for i in range(first, first + 4) if i < len(draft.tokens)
        )
        if slot.kind == "torque" and letters == "NaNQ" and spoken and strange(draft, [first - 1]):
            return _unknown(draft, slot.tokens, first - 1)
    return None


def _shape_of_what(draft: Draft) -> Words | None:
    """Ask about an angle taken for the shape of a part that no known word names."""
    for index, (_, what) in draft.marks.items():
        if what != _SHAPE or draft.tokens[index].letter != "A":
            continue
        odd, _behind = _unknown_behind(draft, index)
        hyphen = draft.text[draft.tokens[index].end : draft.tokens[index].end + 1] == "-"
        if (odd and not hyphen) or draft.tokens[index].text.isalpha():
            return words(
                "{text}: a turn, or the shape of a part?",
                text=draft.written([max(0, index - 1), index]),
            )
    return None


_RULES: tuple[Find, ...] = (
    *OPEN_ENDS,
    _between_pulls,
    _strange_turn,
    _behind_turn,
    _turn_from_where,
    _number_left_out,
    _behind_fasteners,
    _step_without_work,
    _strange_work,
    _under_condition,
    _resistance,
    _part_only,
    _two_works,
    _before_then,
    _two_joined,
    _shape_of_what,
)
