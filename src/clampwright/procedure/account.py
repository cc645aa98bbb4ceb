"""What became of every number of the text."""

from __future__ import annotations

from clampwright.procedure.draft import Draft
from clampwright.procedure.normalise import Clean
from clampwright.procedure.reading import Span
from clampwright.words import words

_BY_LETTER = {
    "M": words("size or part number"),
    "O": words("step number"),
    "E": words("step number"),
}


def settle_numbers(draft: Draft) -> None:
    """Mark every number that nothing has claimed, and report it.

    Parameters
    ----------
    draft : Draft
    """
    unclaimed: list[int] = []
    for index, token in enumerate(draft.tokens):
        part = token.letter == "W" and token.number is not None and token.number.value < 1
        digits = any(character.isdigit() for character in token.text)
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


def spans_of(draft: Draft, clean: Clean) -> tuple[Span, ...]:
    """Return the marks as spans of the original text; neighbours of one kind are joined.

    Parameters
    ----------
    draft : Draft
    clean : Clean

    Returns
    -------
    tuple of Span
    """
    spans: list[Span] = []
    previous = -2
    for index in sorted(draft.marks):
        role, what = draft.marks[index]
        token = draft.tokens[index]
        start, end = clean.span(token.start, token.end)
        last = spans[-1] if spans else None
        if last is not None and index == previous + 1 and (last.role, last.what) == (role, what):
            spans[-1] = Span(last.start, end, what, role)
        else:
            spans.append(Span(start, end, what, role))
        previous = index
    return tuple(spans)
