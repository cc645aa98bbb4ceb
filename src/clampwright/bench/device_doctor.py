"""What stands in the way of a device on a serial line: the port first, then what comes over it."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.bench.serial_line import PortProblem, listen
from clampwright.trace.line_doctor import Looked, look_at
from clampwright.trace.line_form import LineForm
from clampwright.words import Words, words

SECONDS = 3.0
"""How long it listens."""


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What was found, and what to do.

    Parameters
    ----------
    code : str
        ``missing``, ``permission``, ``busy``, ``other`` (the port), or a code of
        `clampwright.trace.line_doctor` (what comes over it).
    say, do : Words
    looked : Looked or None
        What came; None where the port could not be had.
    """

    code: str
    say: Words
    do: Words
    looked: Looked | None = None

    @property
    def well(self) -> bool:
        """Whether nothing is to be done."""
        return self.code == "well"


def examine(
    port: str, speed: int, form: LineForm | None = None, *, seconds: float = SECONDS
) -> Diagnosis:
    """Open a port, listen, and say what is wrong.

    Parameters
    ----------
    port : str
    speed : int
        Bits per second.
    form : LineForm, optional
        How the lines are to be read.
    seconds : float

    Returns
    -------
    Diagnosis
    """
    try:
        data = listen(port, speed, seconds)
    except PortProblem as problem:
        return Diagnosis(problem.code, problem.message, problem.do)
    except OSError as error:
        return Diagnosis(
            "other",
            words("the port was lost while listening: {why}", why=str(error)[:200]),
            words("look at the plug and the cable"),
        )
    return of_bytes(data, seconds, form, speed)


def of_bytes(data: bytes, seconds: float, form: LineForm | None, speed: int) -> Diagnosis:
    """Say what is wrong with what came.

    Parameters
    ----------
    data : bytes
    seconds : float
    form : LineForm or None
    speed : int

    Returns
    -------
    Diagnosis
    """
    looked = look_at(data, seconds, form, speed)
    first = looked.found[0]
    return Diagnosis(first.code, first.say, first.do, looked)
