"""How long to wait after wrong tries, when a session locks, what a PIN must be. Pure rules.

The figures stand in ``people.toml`` beside this file, each part with its source.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Any

from clampwright.errors import Refused
from clampwright.words import words


@cache
def figures() -> dict[str, dict[str, Any]]:
    """Return the figures of ``people.toml``, by part.

    Returns
    -------
    dict of str to dict
    """
    return tomllib.loads(files("clampwright.work").joinpath("people.toml").read_text("utf-8"))


def figure(part: str, name: str) -> int:
    """Return one figure of ``people.toml``.

    Parameters
    ----------
    part, name : str

    Returns
    -------
    int

    Examples
    --------
    >>> figure("session", "idle_s")
    300
    """
    return int(figures()[part][name])


@dataclass(frozen=True, slots=True)
class Lockout:
    """How long to wait after wrong tries.

    Parameters
    ----------
    free_tries : int
        Wrong tries without any wait.
    first_wait_s, longest_wait_s : int
        The wait doubles with each further try, s.
    forgotten_after_s : int
        Wrong tries older than that count no more, s.
    """

    free_tries: int
    first_wait_s: int
    longest_wait_s: int
    forgotten_after_s: int

    @classmethod
    def of(cls, part: str) -> Lockout:
        """Return the rule of a part of the figures: ``lockout`` or ``device_lockout``."""
        return cls(*(figure(part, name) for name in cls.__dataclass_fields__))

    def wait(self, failures: int) -> int:
        """Return how long to wait after so many wrong tries in a row, s.

        Parameters
        ----------
        failures : int

        Returns
        -------
        int

        Examples
        --------
        >>> rule = Lockout(3, 30, 3600, 86400)
        >>> [rule.wait(n) for n in (0, 2, 3, 4, 5, 9, 10, 40)]
        [0, 0, 30, 60, 120, 1920, 3600, 3600]
        """
        beyond = failures - self.free_tries
        if beyond < 0:
            return 0
        return min(self.first_wait_s << min(beyond, 20), self.longest_wait_s)

    def left(self, failures: int, last: datetime | None, now: datetime) -> int:
        """Return how much of the wait is left, s, rounded up.

        A clock that was set back lengthens no wait beyond the whole of it.

        Parameters
        ----------
        failures : int
        last : datetime.datetime or None
            Of the last wrong try.
        now : datetime.datetime

        Returns
        -------
        int
        """
        wait = self.wait(failures)
        if last is None or not wait:
            return 0
        gone = max((now - last).total_seconds(), 0.0)
        return max(0, wait - int(gone))

    def counted(self, failures: int, last: datetime | None, now: datetime) -> int:
        """Return how many wrong tries still count."""
        if last is None or now - last > timedelta(seconds=self.forgotten_after_s):
            return 0
        return failures


def is_idle(seen: datetime, now: datetime) -> bool:
    """Say whether nobody has touched anything for so long that the PIN is asked again.

    Parameters
    ----------
    seen : datetime.datetime
        The last sign of a person.
    now : datetime.datetime

    Returns
    -------
    bool
    """
    return (now - seen).total_seconds() > figure("session", "idle_s")


def is_over(started: datetime, now: datetime) -> bool:
    """Say whether a session has lasted as long as it may.

    Parameters
    ----------
    started, now : datetime.datetime

    Returns
    -------
    bool
    """
    return (now - started).total_seconds() > figure("session", "longest_s")


def check_pin(pin: str) -> None:
    """Refuse a PIN that is none, or that everybody tries first.

    Parameters
    ----------
    pin : str

    Raises
    ------
    Refused

    Examples
    --------
    >>> check_pin("2741")
    """
    rule = figures()["pin"]
    if not (pin.isascii() and pin.isdigit() and rule["fewest"] <= len(pin) <= rule["most"]):
        raise Refused(
            words("a PIN is {fewest} to {most} digits", fewest=rule["fewest"], most=rule["most"])
        )
    steps = {int(b) - int(a) for a, b in pairwise(pin)}
    if len(steps) == 1 and steps <= {0, 1, -1}:
        raise Refused(words("this PIN is among the first that anybody tries; take another one"))


def check_password(password: str, name: str = "") -> None:
    """Refuse a password that is too short, too long, or the person's own name.

    Parameters
    ----------
    password : str
    name : str

    Raises
    ------
    Refused
    """
    rule = figures()["password"]
    if not rule["fewest"] <= len(password) <= rule["most"]:
        raise Refused(
            words(
                "a password has {fewest} to {most} characters; a few words in a row are good",
                fewest=rule["fewest"],
                most=rule["most"],
            )
        )
    if len(set(password)) < 4 or password.strip().casefold() == name.strip().casefold():
        raise Refused(words("this password is among the first that anybody tries; take another"))
