"""A torque-tension test as a person hands it in: texts with units, from command line or page."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

from pydantic import ValidationError

from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.joint.friction_fit import TensionTest
from clampwright.standards.named import named_values
from clampwright.units import Unreadable, parse_number, parse_quantity
from clampwright.words import Words, words
from clampwright.work.friction_file import ConditionTable
from clampwright.work.friction_study import FrictionStudy, read_points, study_friction


@dataclass(frozen=True, slots=True)
class FrictionRequest:
    """A test with what belongs to it.

    Parameters
    ----------
    data : bytes
        Table of torque and clamp load.
    file : str
        What the table is called, for messages.
    texts : mapping of str to str
        What was written in each field: ``thread``, ``bolt``, ``hole``, ``bearing``,
        ``prevailing``, ``scatter``, ``save``, ``title``, ``by``, ``date``. An empty one counts as
        not given.
    name : callable
        Names a field in messages, as it is called where the person wrote it.
    """

    data: bytes
    file: str
    texts: Mapping[str, str]
    name: Callable[[str], str] = field(default=str)

    def study(self) -> FrictionStudy:
        r"""Evaluate the test.

        Returns
        -------
        FrictionStudy

        Raises
        ------
        Missing
            Thread or face under the head is not stated.
        BadFile
            The table is none.
        ClampwrightError
            As `clampwright.work.friction_study.study_friction`.

        Examples
        --------
        >>> table = b"torque [N.m]; clamp [kN]\n10; 7\n15; 10.5\n20; 14\n25; 17.5\n30; 21\n"
        >>> asked = FrictionRequest(table, "t.csv", {"thread": "M10", "bearing": "12.8 mm"})
        >>> for line in said(asked.study()):
        ...     print(line)
        K 0.1429 ± 0.0000, friction 0.1025 ± 0.0000
        """
        prevailing = self._text("prevailing")
        return study_friction(
            read_points(self.data, self.file),
            geometry=self._geometry(),
            prevailing_torque=parse_quantity(prevailing, "torque").value if prevailing else None,
        )

    def condition(self, study: FrictionStudy, *, today: date) -> ConditionTable:
        """Make the condition to keep, or say what stands against it.

        Parameters
        ----------
        study : FrictionStudy
        today : datetime.date
            The day of the test where none is written.

        Returns
        -------
        ConditionTable

        Raises
        ------
        Refused
            The line is not straight.
        Missing
            Title, or who made the test, is not stated.
        ClampwrightError
            A text cannot be taken.
        """
        if not study.straight:
            raise Refused(
                words(
                    "it is not kept: the line is not straight, and one coefficient does not "
                    "describe it; take the part of the test where it is straight"
                )
            )
        for key in ("title", "by"):
            if not self._text(key):
                raise Missing(
                    words("to keep it, give {option} too", option=self.name(key)), needed=key
                )
        scatter = self._text("scatter")
        low, high = study.range(float(parse_number(scatter)) / 100 if scatter else None)
        faces = self._text("bearing") or f"{self._text('bolt')}, {self._text('hole')} hole"
        try:
            return ConditionTable(
                name=self._text("save"),
                title=self._text("title"),
                low=round(low, 4),
                high=round(high, 4),
                fasteners=len(study.tests),
                parts=f"{self._text('thread')}, {faces}",
                sha256=hashlib.sha256(self.data).hexdigest(),
                date=self._day(today),
                by=self._text("by"),
            )
        except ValidationError as error:
            raise self._not_taken(error) from error

    def _not_taken(self, error: ValidationError) -> ClampwrightError:
        first = error.errors()[0]
        key = "save" if first["loc"] == ("name",) else str(first["loc"][0]) if first["loc"] else ""
        problem = words("use small letters, digits and hyphens, at most 40")
        return ClampwrightError(
            words(
                "{where} {given!r} cannot be taken: {problem}",
                where=self.name(key),
                given=str(first["input"])[:60],
                problem=problem if key == "save" else str(first["msg"]),
            )
        )

    def _geometry(self) -> dict[str, float]:
        if not self._text("thread"):
            raise Missing(words("{option} is needed here", option=self.name("thread")), "thread")
        named = {"thread": "thread", "bolt": "bolt", "hole": "hole_series"}
        given = {into: self._text(key) or None for key, into in named.items()}
        found = named_values(**given)
        if self._text("bearing"):
            found["bearing_diameter"] = parse_quantity(self._text("bearing"), "length").value
        if "bearing_diameter" not in found:
            raise Missing(
                words(
                    "the face under the head is needed: give {bolt} and {hole}, or {bearing}",
                    bolt=self.name("bolt"),
                    hole=self.name("hole"),
                    bearing=self.name("bearing"),
                ),
                "bearing",
            )
        return found

    def _day(self, today: date) -> date:
        text = self._text("date")
        if not text:
            return today
        try:
            return date.fromisoformat(text)
        except ValueError as error:
            raise Unreadable(
                words("{text!r} is not a day; write it as 2026-05-01", text=text[:40]), text
            ) from error

    def _text(self, key: str) -> str:
        return str(self.texts.get(key) or "").strip()


def said(study: FrictionStudy) -> list[Words]:
    """Say what came out: of each fastener, and of all.

    Parameters
    ----------
    study : FrictionStudy

    Returns
    -------
    list of Words
    """
    found = []
    for points, test in zip(study.points, study.tests, strict=True):
        line = _one(test)
        found.append(words("{name}: {line}", name=points.name, line=line) if points.name else line)
        found += test.remarks
    if study.friction is not None and study.nut_factor is not None:
        found.append(
            words(
                "the next fastener of the lot, 19 times in 20: friction {low:.3f} to {high:.3f}, "
                "K {k_low:.3f} to {k_high:.3f}",
                low=study.friction.low,
                high=study.friction.high,
                k_low=study.nut_factor.low,
                k_high=study.nut_factor.high,
            )
        )
    return found


def _one(test: TensionTest) -> Words:
    if test.thread is None or test.bearing is None:
        return words(
            "K {k:.4f} ± {k_u:.4f}, friction {mu:.4f} ± {mu_u:.4f}",
            k=test.nut_factor.value,
            k_u=test.nut_factor.u,
            mu=test.total.value,
            mu_u=test.total.u,
        )
    return words(
        "K {k:.4f} ± {k_u:.4f}, friction {mu:.4f} ± {mu_u:.4f}; thread {th:.4f} ± {th_u:.4f}, "
        "under the head {b:.4f} ± {b_u:.4f}",
        k=test.nut_factor.value,
        k_u=test.nut_factor.u,
        mu=test.total.value,
        mu_u=test.total.u,
        th=test.thread.value,
        th_u=test.thread.u,
        b=test.bearing.value,
        b_u=test.bearing.u,
    )
