"""What a person types at the bench, turned into readings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from clampwright.cli import way_answers
from clampwright.cli.way_answers import WAYS_HELP
from clampwright.errors import ClampwrightError
from clampwright.units import parse_number, unit_named
from clampwright.words import Words, words
from clampwright.work.clock_marks import read_clock
from clampwright.work.readings import (
    AngleReading,
    ClickReading,
    DoneReading,
    Reading,
    ValueReading,
)

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.work.fold import Pull
    from clampwright.work.guide import Guidance

HELP = (
    words("a figure   what you read; with its unit if it is another scale, such as 31 ft·lbf"),
    words("c          it clicked after the fastener moved; c 31 when it was set to 31"),
    words("s          it clicked, but the fastener stood still"),
    words("n          it did not click"),
    words("d          done (a step without a reading)"),
    words("t FILE     a recorded trace"),
    words("w TOOL     another tool from here on, by its id"),
    words("x REASON   loosened fully: this fastener starts its stages again"),
    words("r REASON   the same, with a new fastener fitted"),
    words("y REASON   go on in spite of the last verdict; the reason stands in the record"),
    *WAYS_HELP,
    words("!          something happened: a few questions, and what trade practice offers"),
    words("u REASON   take back the last entry; both stay on the log"),
    words("p          go through the preparation list"),
    words("q          leave; nothing is lost"),
)
"""What can be typed, a line each."""


@dataclass(frozen=True, slots=True)
class Given:
    """Something to judge, or a change of tool.

    Parameters
    ----------
    reading : Reading or None
    trace : str or None
        Path of a trace file.
    tool : str or None
        Id of the tool in hand from here on.
    start : float or None
        Where the mark starts from here on, degrees from 12.
    """

    reading: Reading | None = None
    trace: str | None = None
    tool: str | None = None
    start: float | None = None


@dataclass(frozen=True, slots=True)
class Leave:
    """The person leaves the bench."""


Answer = Given | Leave | tuple[Words, ...]
"""Words are to be shown, and the same pull is asked again."""


def parse_answer(line: str, guidance: Guidance, session: Session) -> Answer:
    """Turn a typed line into what it means; corrections are carried out at once.

    Parameters
    ----------
    line : str
    guidance : Guidance
        The pull it answers.
    session : Session

    Returns
    -------
    Given, Leave or tuple of Words

    Raises
    ------
    ClampwrightError
        When it means nothing here.
    """
    head, _, rest = line.strip().partition(" ")
    rest = rest.strip()
    letter = head.casefold()
    if letter in {"q", "quit"}:
        return Leave()
    if letter in {"", "?", "h", "help"}:
        return HELP
    if letter in _WITH_REST:
        return _WITH_REST[letter](rest, guidance, session)
    return Given(_reading(line.strip(), letter, guidance))


def _reading(line: str, letter: str, guidance: Guidance) -> Reading:
    quantity = guidance.planned.limits.quantity
    if letter == "d":
        if quantity != "none":
            raise ClampwrightError(words("this stage needs a reading, not only that it was done"))
        return DoneReading(done=True)
    if quantity == "none":
        raise ClampwrightError(words("type d when it is done"))
    if letter in {"c", "s", "n"}:
        return _click(letter, line.partition(" ")[2].strip(), guidance)
    number, unit = _number_and_unit(line)
    if quantity == "angle":
        if unit not in {None, "deg", "turn"}:
            raise ClampwrightError(words("this stage is an angle: degrees, please"))
        return AngleReading(number * 360 if unit == "turn" else number)
    if guidance.choice is not None and guidance.choice.tool.kind == "click":
        raise ClampwrightError(
            words("a click wrench shows no torque; type c, s or n (c 31 when it was set to 31)")
        )
    if quantity == "stretch":
        return ValueReading(number, unit or "mm")
    return ValueReading(number, unit or _unit_in_hand(guidance))


def _click(letter: str, set_to: str, guidance: Guidance) -> ClickReading:
    choice = guidance.choice
    setting = choice.setting if choice else None
    if choice is None or setting is None or choice.tool.kind != "click":
        raise ClampwrightError(words("the tool in hand does not click; type what you read from it"))
    number, unit = Decimal(f"{setting.value:g}"), setting.scale_unit
    if set_to:
        number, other = _number_and_unit(set_to)
        unit = other or unit
    return ClickReading(clicked=letter != "n", moved=letter == "c", setting=number, unit=unit)


def _number_and_unit(line: str) -> tuple[Decimal, str | None]:
    cut = next((i for i, sign in enumerate(line) if sign not in "0123456789.,+- "), len(line))
    number = parse_number(line[:cut].strip())
    unit = line[cut:].strip()
    return number, unit_named(unit).name if unit else None


def _unit_in_hand(guidance: Guidance) -> str:
    choice = guidance.choice
    if choice is not None and choice.setting is not None:
        return choice.setting.scale_unit
    if choice is not None and len(choice.tool.scales) == 1:
        return choice.tool.scales[0].unit
    raise ClampwrightError(words("say the unit too, such as 2.1 N·m"))


def _trace(rest: str, _guidance: Guidance, _session: Session) -> Answer:
    if not rest:
        raise ClampwrightError(words("name the trace file: t FILE"))
    return Given(trace=rest)


def _tool(rest: str, guidance: Guidance, session: Session) -> Answer:
    tool = session.drawer.tool(rest)
    for choice in guidance.planned.choices:
        if choice.tool.id == tool.id and not choice.usable:
            raise ClampwrightError(words("{tool}: {why}", tool=tool.title, why=choice.blockers[0]))
    return Given(tool=tool.id)


def _restart(rest: str, guidance: Guidance, session: Session) -> Answer:
    return _again(rest, guidance, session, renewed=False)


def _renewed(rest: str, guidance: Guidance, session: Session) -> Answer:
    return _again(rest, guidance, session, renewed=True)


def _again(rest: str, guidance: Guidance, session: Session, *, renewed: bool) -> Answer:
    if not rest:
        raise ClampwrightError(words("say why, such as: x socket slipped"))
    session.restart(guidance.key.joint, guidance.key.fastener, rest, renewed=renewed)
    return (words("Fastener {number} starts its stages again.", number=guidance.key.fastener),)


def _accept(rest: str, guidance: Guidance, session: Session) -> Answer:
    last = session.state.latest.get(guidance.key)
    if last is None:
        raise ClampwrightError(words("there is no verdict here yet to go on from"))
    session.accept(last.entry, rest)
    return (words("Noted; the record shows verdict and reason."),)


def _prepare(_rest: str, guidance: Guidance, session: Session) -> Answer:
    from clampwright.cli.prepare import go_through

    go_through(session, guidance.key.joint)
    return (words("Back to the pull."),)


def _marks(rest: str, guidance: Guidance, session: Session) -> Answer:
    already = session.state.turned_already(guidance.key)
    return Given(way_answers.marks(rest, guidance, already))


def _start(rest: str, _guidance: Guidance, _session: Session) -> Answer:
    return Given(start=read_clock(rest))


def _gauge(rest: str, _guidance: Guidance, _session: Session) -> Answer:
    return Given(way_answers.gauge(rest))


def _lengths(rest: str, _guidance: Guidance, session: Session) -> Answer:
    return Given(way_answers.lengths(rest, session))


def _several(rest: str, guidance: Guidance, _session: Session) -> Answer:
    return Given(way_answers.while_turning(rest, _unit_in_hand(guidance)))


def _read_again(rest: str, _guidance: Guidance, session: Session) -> Answer:
    """Take what a second person read of the last pull."""
    from clampwright.bench.second_reading import read_again

    if not session.state.pulls:
        raise ClampwrightError(words("there is no pull yet to read again"))
    last = session.state.pulls[-1]
    found, _receipt = read_again(session, last.entry, reading_of(rest, last, session))
    return (found.words,)


def reading_of(text: str, pull: Pull, session: Session) -> Reading:
    """Read what a person tells of a pull that was done, typed as at the bench.

    Parameters
    ----------
    text : str
    pull : Pull
        The pull it is of.
    session : Session

    Returns
    -------
    Reading

    Raises
    ------
    ClampwrightError
        When it is no reading: a second person changes nothing else.
    """
    from clampwright.work.guide import guidance as guidance_of

    asked = guidance_of(session.plan, pull.key, [pull.key], pull.body["tool"])
    first = text.partition(" ")[0].casefold()
    answer = None
    if first in _READINGS or not (text[:1].isalpha() or first == "!"):
        answer = parse_answer(text, asked, session)
    if not isinstance(answer, Given) or answer.reading is None:
        raise ClampwrightError(words("say what the second person read, such as: b 44.5"))
    return answer.reading


_READINGS = frozenset({"c", "s", "n", "m", "g", "l", "v"})
"""Letters that begin a reading: a second person changes nothing else."""


def _happened(rest: str, guidance: Guidance, session: Session) -> Answer:
    from clampwright.bench.names import Names
    from clampwright.cli.happened_talk import tell_happening

    tool = guidance.choice.tool.id if guidance.choice else ""
    names = Names(session.papers.folder.parent)
    try:
        return tell_happening(session, guidance.key, tool, rest, names)
    except (EOFError, KeyboardInterrupt):
        return (words("Nothing was noted."),)


def _taken_back(rest: str, _guidance: Guidance, session: Session) -> Answer:
    from clampwright.cli.happened_talk import take_last_back

    if not rest:
        raise ClampwrightError(words("say why, such as: u typed on the wrong line"))
    return take_last_back(session, rest)


_WITH_REST: dict[str, Callable[[str, Guidance, Session], Answer]] = {
    "t": _trace,
    "w": _tool,
    "x": _restart,
    "r": _renewed,
    "y": _accept,
    "p": _prepare,
    "m": _marks,
    "o": _start,
    "g": _gauge,
    "l": _lengths,
    "v": _several,
    "b": _read_again,
    "!": _happened,
    "u": _taken_back,
}
