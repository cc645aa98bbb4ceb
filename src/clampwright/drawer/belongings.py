"""What belongs to a thing in the drawer besides its scale: number, purchase, papers, weight."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import ClassVar, Literal

PaperKind = Literal["photograph", "certificate"]
Origin = Literal["new", "used", "borrowed"]


@dataclass(frozen=True, slots=True)
class Paper:
    """A photograph or certificate kept as a file beside the drawer.

    Parameters
    ----------
    file : str
        Path from the workshop folder, with forward slashes.
    kind : str
        ``photograph`` or ``certificate``.
    sha256 : str
        Hash of the file's content, 64 hexadecimal digits.
    """

    file: str
    kind: PaperKind
    sha256: str


@dataclass(frozen=True, slots=True)
class Belongings:
    """Number, purchase, papers and weight.

    Parameters
    ----------
    serial : str
        Serial number; empty when not known.
    bought : datetime.date or None
        When it came into the drawer.
    origin : str or None
        ``new``, ``used`` or ``borrowed``.
    price : str
        What was paid, as the person wrote it; the program reckons nothing with it.
    weight : float or None
        kg.
    papers : tuple of Paper
    """

    serial: str = ""
    bought: dt.date | None = None
    origin: Origin | None = None
    price: str = ""
    weight: float | None = None
    papers: tuple[Paper, ...] = ()


NOTHING_SAID = Belongings()


@dataclass(frozen=True, slots=True)
class StretchGauge:
    """A gauge or micrometer that measures how much longer a fastener became.

    Parameters
    ----------
    id, title : str
    step : float
        Smallest step shown, mm.
    limit : float or None
        Largest error its maker or certificate states, mm either way.
    longest : float or None
        Longest fastener it takes, mm.
    belongings : Belongings
    """

    id: str
    title: str
    step: float
    limit: float | None = None
    longest: float | None = None
    belongings: Belongings = NOTHING_SAID


@dataclass(frozen=True, slots=True)
class TestDevice:
    """A torque test device that wrenches are compared with.

    Parameters
    ----------
    id, title : str
    drive : str
    unit : str
        Canonical name of the unit it shows.
    low, high : float
        Range, in `unit`.
    step : float
        Smallest step shown, in `unit`.
    u_rel : float or None
        Relative standard uncertainty of its certificate, as a fraction.
    calibrated, due : datetime.date or None
    directions : tuple of str
    belongings : Belongings
    """

    __test__: ClassVar[bool] = False  # a device to test with, and no test

    id: str
    title: str
    drive: str
    unit: str
    low: float
    high: float
    step: float
    u_rel: float | None = None
    calibrated: dt.date | None = None
    due: dt.date | None = None
    directions: tuple[str, ...] = ("cw",)
    belongings: Belongings = NOTHING_SAID
