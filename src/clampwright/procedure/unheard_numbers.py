"""Numbers beside words that were not understood: left out, or taken for fasteners or a part.

A rule returns the question to ask, or None.
"""

from __future__ import annotations

from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.finished import made, told
from clampwright.procedure.open_ends import Find
from clampwright.procedure.strange_words import next_spoken, strange, unknown
from clampwright.words import Words, words

_PART = words("part of the torque")
_SHAPE = words("shape of a part")
_SIZE = words("size or part number")
_MANY = 24
"""More fasteners than this are seldom numbered in one text."""
_LEFT_OUT = (
    words("count"),
    words("section number"),
    words("word with a digit"),
    words("size or other measure"),
)


def _number_left_out(draft: Draft) -> Words | None:
    """Ask about "1.2 ... 1.8 N·m" when only an unknown word stands between the two numbers."""
    used = {index for slot in made(draft) for index in slot.tokens}
    for index, (role, what) in draft.marks.items():
        digits = what == _SIZE and draft.tokens[index].text[:1].isdigit()
        if role != "other" or not (digits or what in _LEFT_OUT):
            continue
        odd, behind = _unknown_behind(draft, index)
        opens = draft.tokens[behind].letter == "(" and behind + 1 in used
        if odd and (behind in used or opens):
            return unknown(draft, range(index, behind + 1), odd[0])
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


def _one_fastener(draft: Draft) -> Words | None:
    """Ask about "lock nut 45 ...": a number of a fastener, or a torque with a lost unit."""
    for clause in draft.clauses:
        for item in clause.items:
            numbers = [i for i in item.tokens if draft.tokens[i].number is not None]
            if item.kind not in {"subset", "span"} or not numbers:
                continue
            behind = next_spoken(draft, item.last, 1)
            last = draft.tokens[numbers[-1]].number
            upto = "".join(draft.tokens[i].letter for i in item.tokens).endswith("tN")
            doubtful = upto or len(numbers) == 1 or (last is not None and last.value > _MANY)
            if behind is not None and doubtful and strange(draft, [behind]):
                return unknown(draft, item.tokens, behind)
    return None


def _behind_fasteners(draft: Draft) -> Words | None:
    """Ask about "bolts 11 ... 14 to 15 N·m" with an unknown word inside."""
    for clause in draft.clauses:
        for item in clause.items:
            if item.kind != "subset":
                continue
            odd, behind = _unknown_behind(draft, item.last)
            if odd and draft.tokens[behind].letter in {"N", "W"} and odd[0] == item.last + 1:
                return unknown(draft, range(item.first, behind + 1), odd[0])
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


def _two_joined(draft: Draft) -> Words | None:
    """Ask about "... 14 and 17 N·m" where the word before may be "between"."""
    for slot in told(draft):
        spoken = [i for i in slot.tokens if draft.tokens[i].letter]
        first = min(slot.tokens)
        letters = "".join(
            draft.tokens[i].letter for i in range(first, first + 4) if i < len(draft.tokens)
        )
        if slot.kind == "torque" and letters == "NaNQ" and spoken and strange(draft, [first - 1]):
            return unknown(draft, slot.tokens, first - 1)
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


NUMBERS: tuple[Find, ...] = (
    _number_left_out,
    _one_fastener,
    _behind_fasteners,
    _part_only,
    _two_joined,
    _shape_of_what,
)
