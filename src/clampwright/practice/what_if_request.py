"""A question "what would happen if" as a person writes it: texts with units, page and command.

The same fields as the study of passes (`clampwright.work.pass_request`) for places and parts, and
beside them fastener, friction, torque, angle, order and passes, each once as planned and once
changed. A changed field that is left empty stays as planned.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from clampwright.errors import Missing, OutOfRange
from clampwright.joint.model import Fastening
from clampwright.practice.what_if import JointParts, Setup, WhatIf, what_if
from clampwright.standards import FrictionCondition
from clampwright.trace.model import Floats
from clampwright.units import Kind, Unreadable, parse_number, parse_quantity
from clampwright.words import words
from clampwright.work.fastener import Named, fastening_of
from clampwright.work.friction_file import condition_named
from clampwright.work.layout import Layout
from clampwright.work.pass_case import Parts, computed_flexibility
from clampwright.work.pass_request import PassRequest
from clampwright.work.sequence import general_order

CHANGES = ("friction", "torque", "angle", "order", "shares", "wrench")
"""What can be changed; the changed value is written as ``if_friction`` and so on."""
MOST_DRAWN = 40
"""Fasteners of a question; more cannot be told apart in the drawing."""
WRENCH = "4"
"""Percent by which the wrench may be off, where nothing is written: ISO 6789-1:2017 class of 4 %
(from memory). It stands on the page and can be changed."""
_STEEL = "205 GPa"

FIELDS = (
    "circle", "diameter", "row", "grid", "pitch", "pitch_across", "points",
    "thread", "strength", "head", "hole", "grip",
    "friction", "torque", "angle", "order", "shares", "wrench",
    "thickness", "width", "modulus", "gasket_modulus", "gasket_thickness", "flanges", "beyond",
    *(f"if_{name}" for name in CHANGES),
)  # fmt: skip
"""Every field of the question, as they stand in an address."""


@dataclass(frozen=True, slots=True)
class WhatIfRequest:
    """What a person wants to know.

    Parameters
    ----------
    texts : mapping of str to str
        What was written in each of `FIELDS`; an empty one counts as not given.
    name : callable
        Names a field in messages, as it is called where the person wrote it.
    friction : tuple of FrictionCondition
        The workshop's own conditions besides those of the tables.
    """

    texts: Mapping[str, str]
    name: Callable[[str], str] = field(default=lambda key: key.replace("_", " "))
    friction: tuple[FrictionCondition, ...] = ()

    def study(self) -> WhatIf:
        """Work the question out.

        Returns
        -------
        WhatIf

        Raises
        ------
        Missing
            Something that is needed was not written.
        Unreadable, Ambiguous
            A text cannot be read.
        OutOfRange
            A value lies where nothing is known.

        Examples
        --------
        >>> asked = WhatIfRequest({
        ...     "circle": "5", "diameter": "114 mm", "thread": "M12", "strength": "10.9",
        ...     "head": "ISO 4014/4017", "grip": "30 mm", "friction": "as_delivered",
        ...     "torque": "90 N·m", "if_friction": "oiled"})
        >>> found = asked.study()
        >>> found.changed.alone > found.planned.alone
        True
        """
        layout = self.layout()
        parts = JointParts(layout, self._fastening(), self._flexibility(layout))
        planned = self._setup(layout, "")
        return what_if(parts, planned, self._changed(planned, layout))

    def layout(self) -> Layout:
        """Return where the fasteners are."""
        found = PassRequest(self.texts, name=self.name).layout()
        if found is None:
            names = [self.name(key) for key in ("circle", "row", "grid", "points")]
            raise Missing(
                words(
                    "say where the fasteners are: {names} or {last}",
                    names=", ".join(names[:-1]),
                    last=names[-1],
                ),
                "layout",
            )
        if found.count > MOST_DRAWN:
            raise OutOfRange(
                words(
                    "{count} fasteners cannot be told apart in one drawing; up to {most} are drawn",
                    count=found.count,
                    most=MOST_DRAWN,
                ),
                value=found.count,
                high=MOST_DRAWN,
            )
        return found

    def _fastening(self) -> Fastening:
        named = Named(
            thread=self._needed("thread"),
            strength=self._text("strength") or None,
            head=self._needed("head"),
            hole=self._text("hole") or "medium",
        )
        plain = fastening_of(named)
        if plain is None:
            raise Missing(words("{option} is needed here", option=self.name("thread")), "thread")
        grip = self._quantity("grip", "length")
        # A plain bolt, half of its grip threaded, in steel parts wide enough for the whole cone.
        return plain.with_simple_joint(
            grip=grip,
            shank_length=0.5 * grip,
            outside=plain.bearing_outer + grip,
            E_parts=parse_quantity(_STEEL, "stress").value,
        )

    def _flexibility(self, layout: Layout) -> Floats | None:
        if not any(self._text(key) for key in ("thickness", "gasket_modulus", "gasket_thickness")):
            return None
        return computed_flexibility(
            layout,
            Parts(
                thickness=self._quantity("thickness", "length"),
                gasket_modulus=self._quantity("gasket_modulus", "stress"),
                gasket_thickness=self._quantity("gasket_thickness", "length"),
                width=self._quantity("width", "length") if self._text("width") else None,
                modulus=parse_quantity(self._text("modulus") or _STEEL, "stress").value,
                flanges=2 if self._text("flanges") == "2" else 1,
                beyond=self._quantity("beyond", "length") if self._text("beyond") else None,
            ),
        )

    def _setup(self, layout: Layout, before: str) -> Setup:
        angle = self._text(f"{before}angle")
        return Setup(
            condition=self._condition(f"{before}friction"),
            torque=self._quantity(f"{before}torque", "torque"),
            order=self._order(f"{before}order", layout),
            angle=self._angle(f"{before}angle") if angle else 0.0,
            shares=self._shares(f"{before}shares"),
            torque_u_rel=self._wrench(f"{before}wrench"),
        )

    def _changed(self, planned: Setup, layout: Layout) -> Setup:
        """Return the planned case with what is to be changed."""
        read: Mapping[str, tuple[str, Callable[[str], object]]] = {
            "friction": ("condition", self._condition),
            "torque": ("torque", lambda key: self._quantity(key, "torque")),
            "angle": ("angle", self._angle),
            "order": ("order", lambda key: self._order(key, layout)),
            "shares": ("shares", self._shares),
            "wrench": ("torque_u_rel", self._wrench),
        }
        new = {
            attribute: reader(f"if_{name}")
            for name, (attribute, reader) in read.items()
            if self._text(f"if_{name}")
        }
        return replace(planned, **new)  # type: ignore[arg-type]  # each reader gives its own type

    def _condition(self, key: str) -> FrictionCondition:
        return condition_named(self._needed(key), self.friction)

    def _angle(self, key: str) -> float:
        text = self._text(key)
        bare = text.replace(",", ".").replace(".", "", 1).isdecimal()
        return parse_quantity(f"{text} deg" if bare else text, "angle").value

    def _order(self, key: str, layout: Layout) -> tuple[int, ...]:
        text = self._text(key)
        if not text:
            return tuple(general_order(layout))
        parts = [part.strip() for part in text.replace(" ", ",").split(",") if part.strip()]
        if not all(part.isdecimal() for part in parts):
            raise Unreadable(
                words(
                    "{name} {text!r}: write fastener numbers with commas between, such as 1,4,2,3",
                    name=self.name(key),
                    text=text[:40],
                ),
                text,
            )
        order = tuple(int(part) for part in parts)
        strange = sorted(set(order) - set(layout.numbers))
        if strange:
            raise OutOfRange(
                words(
                    "{name}: there is no fastener {number}; they are 1 to {count}",
                    name=self.name(key),
                    number=strange[0],
                    count=layout.count,
                ),
                value=strange[0],
                low=1,
                high=layout.count,
            )
        return order

    def _shares(self, key: str) -> tuple[float, ...]:
        text = self._text(key) or "100"
        try:
            return tuple(float(part) / 100.0 for part in text.split(","))
        except ValueError as error:
            raise Unreadable(
                words(
                    "{option} {text!r}: write numbers with commas between, such as 30,60,100",
                    option=self.name(key),
                    text=text[:40],
                ),
                text,
            ) from error

    def _wrench(self, key: str) -> float:
        """Return the standard uncertainty: half of what the wrench may be off."""
        percent = float(parse_number((self._text(key) or WRENCH).removesuffix("%").strip()))
        return percent / 200.0

    def _text(self, key: str) -> str:
        return str(self.texts.get(key) or "").strip()

    def _needed(self, key: str) -> str:
        text = self._text(key)
        if not text:
            raise Missing(words("{option} is needed here", option=self.name(key)), key)
        return text

    def _quantity(self, key: str, kind: Kind) -> float:
        return parse_quantity(self._needed(key), kind).value
