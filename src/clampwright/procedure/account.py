"""What became of every number, and of the words that mattered."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from clampwright.procedure.draft import Draft, Slot
from clampwright.procedure.normalise import Clean
from clampwright.procedure.reading import Reading, Span
from clampwright.words import Words, words

_BY_LETTER = {
    "M": words("size or part number"),
    "O": words("step number"),
    "E": words("step number"),
}

# Words without a figure that made a stage, by the kind of the stage.
_MADE_BY = {
    "snug": (("SNUG", "CONTACT", "BYHAND"), words("contact, without a figure")),
    "loosen": (("LOOSEN", "BACK"), words("loosen")),
    "back_off_then": (("LOOSEN", "BACK"), words("turn back")),
    "torque_check": (("RECHECK", "RETIGHTEN", "CHECK", "REPEAT"), words("torque check")),
    "torque": (("REPEAT", "SAME", "RETIGHTEN"), words("the same again")),
    "angle": (("REPEAT", "SAME"), words("the same again")),
}
_PLAIN = words("words")
_DIGIT = re.compile("[\\d²³¼-¾⅐-⅞]")
_MOST_WORDS = 60
"""Words of one clause that are looked at; no clause of a procedure is longer."""


def settle_numbers(draft: Draft) -> None:
    """Mark every number that nothing has claimed, and report it.

    Parameters
    ----------
    draft : Draft
    """
    unclaimed: list[int] = []
    for index, token in enumerate(draft.tokens):
        part = token.letter == "W" and token.number is not None and token.number.value < 1
        digits = _DIGIT.search(token.text) is not None
        if index in draft.marks or not (part or digits):
            continue
        if token.letter in _BY_LETTER:
            draft.mark([index], "other", _BY_LETTER[token.letter])
        elif token.means and token.number is None:
            draft.mark([index], "other", words("word with a digit"))
        else:
            draft.mark([index], "reported", words("number that nothing explains"))
            unclaimed.append(index)
    if unclaimed:
        _report(draft, unclaimed)


def _report(draft: Draft, unclaimed: list[int]) -> None:
    """Ask what the numbers stand for that nothing explains."""
    draft.warn("unexpected_text")
    if not draft.slots:
        return
    listed = ", ".join(draft.tokens[index].text for index in unclaimed[:5])
    draft.ask(
        "unexpected_text",
        words("nothing explains the number {numbers}; what does it stand for?", numbers=listed),
    )


def mark_words(draft: Draft, certain: Iterable[Slot]) -> None:
    """Mark the words that shaped the reading without being a figure.

    Parameters
    ----------
    draft : Draft
        Every number has been settled already.
    certain : iterable of Slot
        The stages of the reading.
    """
    for slot in certain:
        if slot.kind not in _MADE_BY or any(index in draft.marks for index in slot.tokens):
            continue
        names, what = _MADE_BY[slot.kind]
        slot.tokens = tuple(
            index
            for index in slot.around[:_MOST_WORDS]
            if draft.tokens[index].has(*names) and index not in draft.marks
        )
        draft.mark(slot.tokens, "used", what)
    for name, what in _telling(draft):
        for index, token in enumerate(draft.tokens):
            if token.means and token.has(name):
                draft.mark([index], "used", what)


def _telling(draft: Draft) -> Iterator[tuple[str, Words]]:
    """Yield the classes of words that this reading rests on, each with what it became."""
    stages = [slot.stage for slot in draft.slots if slot.options and slot.options[0]]
    if any(stage.order for stage in stages):
        yield "ORDER", words("order of the fasteners")
    if "left_hand_thread" in draft.warnings:
        yield "LEFT_HAND", words("left-hand thread")
    if "do_not_back_off" in draft.warnings:
        yield "LOOSEN", words("must not be turned back")
    if draft.lubrication:
        for name in ("OIL", "LUBE", "THREADS", "UNDERHEAD"):
            yield name, words("state of the surfaces")
    if draft.reuse:
        for name in ("NEW", "REPLACE", "REUSE", "USED", "STRETCHBOLT"):
            yield name, words("reuse of fasteners")
    if any(stage.per_fastener for stage in stages):
        yield "PER_FASTENER", words("one fastener after the other")


def spans_of(draft: Draft, clean: Clean, certain: Iterable[Slot]) -> tuple[Span, ...]:
    """Return the marks as spans of the original text; neighbours of one kind are joined.

    Parameters
    ----------
    draft : Draft
    clean : Clean
    certain : iterable of Slot
        The stages of the reading, in their order.

    Returns
    -------
    tuple of Span
    """
    made: dict[int, tuple[int, ...]] = {}
    for place, slot in enumerate(certain):
        for index in {*slot.tokens, *slot.extra}:
            made[index] = (*made.get(index, ()), place)
    asked = {i for slot in draft.slots for i in (*slot.tokens, *slot.extra)} - made.keys()
    spans: list[Span] = []
    previous = -2
    for index in sorted(draft.marks):
        role, what = draft.marks[index]
        if role == "used" and index in asked:
            role = "asked"
        start, end = clean.span(draft.tokens[index].start, draft.tokens[index].end)
        stages = made.get(index, ()) if role == "used" else ()
        last = spans[-1] if spans else None
        if last is not None and start < last.end:  # two tokens made of one character, such as 1½
            start = last.end
        if (
            last is not None
            and (last.role, last.what, last.stages) == (role, what, stages)
            and (index == previous + 1)
        ):
            spans[-1] = Span(last.start, max(end, last.end), what, role, stages)
        elif end > start:
            spans.append(Span(start, end, what, role, stages))
        previous = index
    return tuple(spans)


def spans(text: str, reading: Reading) -> tuple[Span, ...]:
    """Return the whole text in pieces, each with what it became.

    The pieces follow each other without gap or overlap, so that joining
    ``text[span.start:span.end]`` gives the text again.

    Parameters
    ----------
    text : str
        The text that was read, exactly as it was given to `read`.
    reading : Reading
        What `read` returned for it.

    Returns
    -------
    tuple of Span
        In the order of the text. ``role`` is ``used`` (``stages`` then says for which stages of
        ``reading.stages``, none when it shapes the whole, such as an order), ``asked`` (stands in
        a question), ``other`` (recognised as something else), ``reported`` (nothing could be made
        of it) or ``plain`` (words without a figure that changed nothing).

    Raises
    ------
    ValueError
        When the reading is of another, longer text.

    Examples
    --------
    >>> from clampwright.procedure.reader import read
    >>> text = "Step 1: 30 Nm"
    >>> for span in spans(text, read(text)):
    ...     print(repr(text[span.start : span.end]), span.role, span.stage, "-", span.what)
    'Step 1:' other None - step number
    ' ' plain None - words
    '30 Nm' used 0 - torque
    """
    if reading.error is not None and not reading.spans:
        whole = (Span(0, len(text), reading.error.say, "reported"),)
        return whole if text else ()
    if reading.spans and reading.spans[-1].end > len(text):
        raise ValueError(f"the reading is of a longer text than these {len(text)} characters")
    pieces: list[Span] = []
    place = 0
    for span in reading.spans:
        if span.start > place:
            pieces.append(Span(place, span.start, _PLAIN, "plain"))
        pieces.append(span)
        place = span.end
    if place < len(text):
        pieces.append(Span(place, len(text), _PLAIN, "plain"))
    return tuple(pieces)
