"""A question about passes as a person writes it, as texts with units: command line and page."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint.interaction import with_measured
from clampwright.locale import say
from clampwright.trace.model import Floats
from clampwright.units import Kind, Unreadable, parse_number, parse_quantity
from clampwright.words import words
from clampwright.work import layout as layouts
from clampwright.work import pass_case
from clampwright.work.layout import Layout, Position
from clampwright.work.pass_case import Parts
from clampwright.work.pass_study import PassStudy, study_passes
from clampwright.work.sequence import general_order

PATTERNS = ("circle", "row", "grid", "points")
MOST_FASTENERS = 400
"""More than this are not compared: the matrix grows with the square."""


@dataclass(frozen=True, slots=True)
class PassRequest:
    """What a person wants to know about passes.

    Parameters
    ----------
    texts : mapping of str to str
        What was written in each field: ``circle``, ``row``, ``grid``, ``points``, ``diameter``,
        ``pitch``, ``pitch_across``, ``width``, ``thickness``, ``beyond``, ``modulus``,
        ``gasket_modulus``, ``gasket_thickness``, ``flanges``, ``resilience``, ``u_clamp``,
        ``target``, ``shares``, ``scatter``. An empty one counts as not given.
    orders : sequence of str
        Orders to compare, fastener numbers with commas between.
    closing : bool
        One more pass at the end, by number.
    measured, matrix : (bytes, str) or None
        A table with its name.
    name : callable
        Names a field in messages, as it is called where the person wrote it.
    """

    texts: Mapping[str, str]
    orders: Sequence[str] = ()
    closing: bool = False
    measured: tuple[bytes, str] | None = None
    matrix: tuple[bytes, str] | None = None
    name: Callable[[str], str] = field(default=lambda key: key.replace("_", " "))

    @property
    def computed(self) -> bool:
        """Whether the influence comes from geometry alone."""
        return self.matrix is None and self.measured is None

    def study(self) -> PassStudy:
        """Work the question out.

        Returns
        -------
        PassStudy

        Raises
        ------
        Missing
            Something that is needed was not written.
        Unreadable, Ambiguous
            A text cannot be read.
        BadFile
            A table is none.
        ClampwrightError
            As `clampwright.work.pass_study.study_passes`.

        Examples
        --------
        >>> asked = PassRequest({
        ...     "circle": "8", "diameter": "200 mm", "width": "30 mm", "thickness": "25 mm",
        ...     "gasket_modulus": "120 MPa", "gasket_thickness": "2 mm", "resilience": "4.35e-6",
        ...     "target": "20 kN", "shares": "30,60,100"})
        >>> [f"{value:.2f}" for value in asked.study().rows[0].evenness]
        ['0.61', '0.78', '0.83']
        """
        layout = self.layout()
        matrix = self._matrix(layout)
        return study_passes(
            matrix,
            self._orders(layout, len(matrix)),
            self._quantity("target", "force"),
            shares=[share / 100 for share in self._numbers("shares", "100")],
            closing=range(1, len(matrix) + 1) if self.closing else None,
            scatter=self._numbers("scatter", "0")[0] / 100,
        )

    def layout(self) -> Layout | None:
        """Return where the fasteners are; None where that was not written."""
        named = [pattern for pattern in PATTERNS if self._text(pattern)]
        if len(named) > 1:
            known = [self.name(pattern) for pattern in PATTERNS]
            raise ClampwrightError(
                words("give one of {names} and {last}", names=", ".join(known[:-1]), last=known[-1])
            )
        made = {
            "circle": self._circle, "row": self._row, "grid": self._grid, "points": self._points,
        }  # fmt: skip
        return made[named[0]]() if named else None

    def _circle(self) -> Layout:
        return layouts.circle(self._count("circle"), self._quantity("diameter", "length"))

    def _row(self) -> Layout:
        return layouts.row(self._count("row"), self._quantity("pitch", "length"))

    def _grid(self) -> Layout:
        text = self._text("grid")
        rows, _sign, columns = text.casefold().replace("×", "x").partition("x")
        if not (rows.strip().isdecimal() and columns.strip().isdecimal()):
            raise Unreadable(
                words(
                    "{name} {text!r}: write it ROWSxCOLUMNS, such as 2x5",
                    name=self.name("grid"),
                    text=text[:40],
                ),
                text,
            )
        self._not_too_many("grid", int(rows) * int(columns))
        pitch, across = (self._quantity(name, "length") for name in ("pitch", "pitch_across"))
        return layouts.grid(int(rows), int(columns), pitch, across)

    def _points(self) -> Layout:
        text = self._text("points")
        places = tuple(self._place(part, text) for part in text.split(";") if part.strip())
        self._not_too_many("points", len(places))
        return layouts.listed(places)

    def _place(self, part: str, text: str) -> Position:
        pair = part.split(",")
        try:
            x, y = (float(number) for number in pair)
        except ValueError as error:
            raise Unreadable(
                words(
                    "{name} {part!r}: write places in mm as x,y with ; between, such as "
                    "0,0; 80,0; 40,60",
                    name=self.name("points"),
                    part=part.strip()[:40],
                ),
                text,
            ) from error
        return x, y

    def _matrix(self, layout: Layout | None) -> Floats:
        """Return the interaction matrix from what was given."""
        if self.matrix is not None:
            return pass_case.given_matrix(*self.matrix)
        measured = None
        if self.measured is not None:
            u = self._quantity("u_clamp", "force", "0 N")
            measured = pass_case.measured_interaction(*self.measured, u_clamp=u)
            if measured.known.all():
                return measured.matrix
        if layout is None:
            known = [] if measured is None else measured.known.tolist()
            raise self._nothing_known([str(n) for n, one in enumerate(known, 1) if not one])
        resilience = self._needed("resilience")
        computed = pass_case.computed_interaction(
            layout, self._parts(), resilience=float(parse_number(resilience.removesuffix("mm/N")))
        )
        return computed if measured is None else with_measured(computed, measured)

    def _nothing_known(self, unknown: Sequence[str]) -> Missing:
        if unknown:
            return Missing(
                words(
                    "no pull tells what fasteners {numbers} do to the others; measure them, or "
                    "give the geometry too",
                    numbers=", ".join(unknown),
                ),
                "measured",
            )
        names = [self.name(key) for key in (*PATTERNS, "measured")]
        return Missing(
            words(
                "give the fasteners with {names} or {last}",
                names=", ".join(names),
                last=self.name("matrix"),
            ),
            "layout",
        )

    def _parts(self) -> Parts:
        return Parts(
            thickness=self._quantity("thickness", "length"),
            gasket_modulus=self._quantity("gasket_modulus", "stress"),
            gasket_thickness=self._quantity("gasket_thickness", "length"),
            width=self._quantity("width", "length") if self._text("width") else None,
            modulus=self._quantity("modulus", "stress", "205 GPa"),
            flanges=2 if self._text("flanges") == "2" else 1,
            beyond=self._quantity("beyond", "length") if self._text("beyond") else None,
        )

    def _orders(self, layout: Layout | None, count: int) -> dict[str, list[int]]:
        """Return the orders to compare: those given, the general one, and by number."""
        found = {text: self._order(text) for text in self.orders}
        if layout is not None and layout.count == count:
            found.setdefault(say(words("general order")), list(general_order(layout)))
        found.setdefault(say(words("by number")), list(range(1, count + 1)))
        return found

    def _order(self, text: str) -> list[int]:
        parts = [part.strip() for part in text.split(",")]
        if not all(part.isdecimal() for part in parts):
            raise Unreadable(
                words(
                    "{name} {text!r}: write fastener numbers with commas between, such as 1,4,2,3",
                    name=self.name("order"),
                    text=text[:40],
                ),
                text,
            )
        return [int(part) for part in parts]

    def _text(self, key: str) -> str:
        return str(self.texts.get(key) or "").strip()

    def _needed(self, key: str) -> str:
        text = self._text(key)
        if not text:
            raise Missing(words("{option} is needed here", option=self.name(key)), key)
        return text

    def _quantity(self, key: str, kind: Kind, default: str = "") -> float:
        text = self._text(key) or default or self._needed(key)
        return parse_quantity(text, kind).value

    def _count(self, key: str) -> int:
        text = self._text(key)
        if not text.isdecimal():
            raise Unreadable(
                words("{name} {text!r}: write how many", name=self.name(key), text=text[:40]), text
            )
        self._not_too_many(key, int(text))
        return int(text)

    def _not_too_many(self, key: str, count: int) -> None:
        if count > MOST_FASTENERS:
            raise OutOfRange(
                words(
                    "{name}: {count} fasteners are too many; up to {most} are worked out",
                    name=self.name(key),
                    count=count,
                    most=MOST_FASTENERS,
                ),
                value=count,
                high=MOST_FASTENERS,
            )

    def _numbers(self, key: str, default: str) -> list[float]:
        text = self._text(key) or default
        try:
            return [float(part) for part in text.split(",")]
        except ValueError as error:
            raise Unreadable(
                words(
                    "{option} {text!r}: write numbers with commas between, such as 30,60,100",
                    option=self.name(key),
                    text=text[:40],
                ),
                text,
            ) from error
