"""From any spelling of a unit to the unit, or to the question that must be asked."""

from __future__ import annotations

from clampwright.errors import Ambiguous
from clampwright.units.spelling import Meaning, key_of, meaning_of, spellings, torques_of_force
from clampwright.units.text import LONGEST, Unreadable, shown
from clampwright.units.unit import KIND_WORDS, Kind, Unit, units
from clampwright.words import Words, words


def unit_named(text: str, kind: Kind | None = None) -> Unit:
    """Return the unit that a spelling means.

    Parameters
    ----------
    text : str
        Any spelling: ``N.m``, ``ft-lbs``, ``mkg``, ``°`` …
    kind : str, optional
        What is wanted, such as ``"torque"``; settles spellings that stand for several kinds.

    Returns
    -------
    Unit

    Raises
    ------
    Ambiguous
        The spelling stands for several units (a bare pound or kilogram); carries their names.
    Unreadable
        It is no known unit, or one of another kind.

    Examples
    --------
    >>> unit_named("ft. lbs.").name
    'ft·lbf'
    >>> unit_named("lbs")
    Traceback (most recent call last):
    ...
    clampwright.errors.Ambiguous: 'lbs' alone may mean ft·lbf, in·lbf, lbf, lb; write the unit out
    """
    meaning = meaning_of(text)
    known = units()
    if meaning is None:
        raise _unknown(text, kind)
    names = tuple(n for n in meaning.names if kind is None or known[n].kind == kind)
    if not names:
        raise _wrong_kind(text, meaning, kind or known[meaning.names[0]].kind)
    # A bare pound where a force is wanted is settled; where a torque is wanted it lacks a length.
    if len(names) > 1 or (meaning.ask and (kind in {None, "torque"})):
        raise _asked(text, names)
    return known[names[0]]


def unit_remark(text: str) -> Words | None:
    """Return what a person should know about a spelling that is read nonetheless.

    Parameters
    ----------
    text : str
        The unit as written, such as ``kg/m``.

    Returns
    -------
    Words or None

    Examples
    --------
    >>> str(unit_remark("kg/m"))
    "'kg/m' is written with a slash and read as kgf·m, a force times a length"
    """
    meaning = meaning_of(text)
    if meaning is None or not meaning.quotient:
        return None
    return words(
        "{text!r} is written with a slash and read as {unit}, a force times a length",
        text=shown(text),
        unit=meaning.names[0],
    )


def _asked(text: str, names: tuple[str, ...]) -> Ambiguous:
    if len(names) == 1:
        message = words(
            "{text!r} is not a torque unit; if {unit} is meant, write {unit}",
            text=shown(text),
            unit=names[0],
        )
    else:
        message = words(
            "{text!r} alone may mean {readings}; write the unit out",
            text=shown(text),
            readings=", ".join(names),
        )
    return Ambiguous(message, names)


def _wrong_kind(text: str, meaning: Meaning, kind: Kind) -> Unreadable | Ambiguous:
    torques = torques_of_force(text) if kind == "torque" else ()
    if torques:
        return Ambiguous(
            words(
                "{text!r} is a force; a torque needs a length too: {readings}",
                text=shown(text),
                readings=", ".join(torques),
            ),
            torques,
        )
    known = units()
    return Unreadable(
        words(
            "{text!r} is {found}, but {wanted} is wanted here, such as {example}",
            text=shown(text),
            found=KIND_WORDS[known[meaning.names[0]].kind],
            wanted=KIND_WORDS[kind],
            example=next(name for name in known if known[name].kind == kind),
        ),
        text,
    )


def _unknown(text: str, kind: Kind | None) -> Unreadable:
    import difflib  # noqa: PLC0415 - needed only for a message

    known = units()
    near_by = {
        spelling.casefold(): name
        for spelling, name in spellings()
        if kind is None or known[name].kind == kind
    }
    near = difflib.get_close_matches(key_of(text[:LONGEST]).casefold(), near_by, n=1, cutoff=0.7)
    if near:
        return Unreadable(
            words(
                "{text!r} is not a known unit; did you mean {near}?",
                text=shown(text),
                near=near_by[near[0]],
            ),
            text,
        )
    usual = [name for name in known if kind is None or known[name].kind == kind]
    return Unreadable(
        words(
            "{text!r} is not a known unit; units are written like {known}",
            text=shown(text),
            known=", ".join(usual[:5]),
        ),
        text,
    )
