"""Words that stand in no table, and the question about one."""

from __future__ import annotations

from collections.abc import Iterable

from clampwright.procedure.draft import Draft
from clampwright.words import Words, words


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


def unknown(draft: Draft, around: Iterable[int], odd: int) -> Words:
    """Return the question about a word that is not known.

    Parameters
    ----------
    draft : Draft
    around : iterable of int
        Positions of tokens to be shown.
    odd : int
        Position of the word.

    Returns
    -------
    Words
    """
    return words(
        "{text}: the word {word!r} is not known here; does it change what is to be done?",
        text=draft.written(sorted({*around, odd}))[:160],
        word=draft.tokens[odd].text[:40],
    )


def next_spoken(draft: Draft, index: int, side: int) -> int | None:
    """Return the next token on a side that is no filling word, within a few places.

    Parameters
    ----------
    draft : Draft
    index : int
    side : int
        -1 or 1.

    Returns
    -------
    int or None
    """
    for place in range(1, 4):
        other = index + side * place
        if not 0 <= other < len(draft.tokens):
            return None
        if draft.tokens[other].letter:
            return other
    return None
