"""The form of lines of text: which field is what, its unit, its sign.

A wrench, a logger or a hand-made sensor sends a line for each sample. A small mapping, in TOML or
in one line, says how to read it, so that nothing has to be programmed for a new device.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass

from clampwright.errors import BadFile, ClampwrightError
from clampwright.intake import text_of, toml_of
from clampwright.trace.columns import Role, scale_of
from clampwright.trace.line_kind import LineKind, kind_named
from clampwright.words import words

ROLES: tuple[Role, ...] = ("time", "torque", "angle", "rate")
_NUMBER = r"[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?"
_NUMBER_IN = re.compile(_NUMBER)
_NAMED_SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}


@dataclass(frozen=True, slots=True)
class Field:
    """Where one quantity stands in a line.

    Parameters
    ----------
    role : {"time", "torque", "angle", "rate"}
    field : int or None
        Which field it is, counted from 1.
    after : str
        Text that stands just before it, where fields are named and not counted.
    unit : str
        As in the header of a table: ``N·m``, ``ft·lbf``, ``ms``, ``deg``, ``dps``.
    sign : {1, -1}
        -1 where the device counts the other way round.

    Raises
    ------
    ClampwrightError
        Where neither or both of `field` and `after` are said, or a unit is not known.
    """

    role: Role
    field: int | None = None
    after: str = ""
    unit: str = ""
    sign: int = 1

    def __post_init__(self) -> None:
        counted = self.field is not None
        if counted == bool(self.after) or (self.field is not None and self.field < 1):
            raise ClampwrightError(
                words(
                    "{role}: say which field it is, counted from 1, or the text before it",
                    role=self.role,
                )
            )
        if self.sign not in (1, -1):
            raise ClampwrightError(words("{role}: the sign is 1 or -1", role=self.role))
        scale_of(self.role, self.unit, "the form of the lines")


@dataclass(frozen=True, slots=True)
class LineForm:
    """How the lines of a device are read.

    Parameters
    ----------
    fields : tuple of Field
        Torque, angle or rate, and time unless `rate_hz` is said.
    separator : str
        Between fields; empty for any blank space.
    begins : str
        Only lines that begin so are samples; others are passed over.
    rate_hz : float or None
        Samples per second, where the lines carry no time.
    kind : LineKind, optional
        Reads the lines, where an installed package does; the fields are then its values.

    Raises
    ------
    ClampwrightError
        Where something is missing or said twice.

    Examples
    --------
    >>> form = form_from_text("time 1 ms; torque 2 N·m -; angle 3 deg")
    >>> form.read("5 -2.5 4")
    (5.0, 2.5, 4.0)
    """

    fields: tuple[Field, ...]
    separator: str = ""
    begins: str = ""
    rate_hz: float | None = None
    kind: LineKind | None = None

    def __post_init__(self) -> None:
        roles = [field.role for field in self.fields]
        if len(set(roles)) < len(roles):
            raise ClampwrightError(words("the form of the lines says one quantity twice"))
        turning = {"angle", "rate"} & set(roles)
        if "torque" not in roles or len(turning) != 1:
            raise ClampwrightError(
                words("the form of the lines must say torque, and either angle or rate")
            )
        if ("time" in roles) == (self.rate_hz is not None):
            raise ClampwrightError(
                words(
                    "the form of the lines must say either time or rate_hz, the samples per second"
                )
            )
        if self.rate_hz is not None and not 0 < self.rate_hz < 1e6:
            raise ClampwrightError(
                words("rate_hz is {rate:g}; it must be above 0", rate=self.rate_hz)
            )

    def read(self, line: str) -> tuple[float, ...] | None:
        """Read one line.

        Parameters
        ----------
        line : str

        Returns
        -------
        tuple of float or None
            The fields in their order, as written, with their sign; None for a line that is no
            sample.
        """
        if self.kind is not None:
            return self.kind.read(line)
        if self.begins:
            if not line.startswith(self.begins):
                return None
            line = line[len(self.begins) :]
        cells = line.split(self.separator) if self.separator else line.split()
        found = [_value(field, line, cells) for field in self.fields]
        if None in found:
            return None
        return tuple(value for value in found if value is not None)


def _value(field: Field, line: str, cells: list[str]) -> float | None:
    if field.field is not None:
        text = cells[field.field - 1] if field.field <= len(cells) else ""
    else:
        text = line.partition(field.after)[2]
    match = _NUMBER_IN.search(text) if field.field is not None else _NUMBER_IN.match(text.lstrip())
    return None if match is None else field.sign * float(match[0].replace(",", "."))


def form_from_text(text: str) -> LineForm:
    """Read the form of lines from one line of text.

    Parameters
    ----------
    text : str
        Parts divided by semicolons: ``time 1 ms``, ``torque 2 N·m -`` (minus turns the sign),
        ``angle 3 deg``, ``rate_hz 200``, ``separator ,`` (or ``comma``, ``semicolon``, ``tab``) and
        ``begins R:``. A quantity whose
        number is not counted is found by the text before it: ``torque T= N·m``. Or ``kind NAME``
        alone, where an installed package reads the lines.

    Returns
    -------
    LineForm

    Raises
    ------
    ClampwrightError
        With the part that cannot be read.

    Examples
    --------
    >>> form_from_text("torque T= N·m; angle A= deg; rate_hz 100").fields[0].after
    'T='
    """
    content: dict[str, object] = {}
    for part in filter(None, (part.strip() for part in text.split(";"))):
        name, *rest = part.split()
        if name in ROLES and rest:
            sign = -1 if rest[-1] in {"-", "−"} else 1
            rest = rest[:-1] if sign < 0 else rest
            where = {"field": int(rest[0])} if rest[0].isdecimal() else {"after": rest[0]}
            content[name] = {**where, "unit": " ".join(rest[1:]), "sign": sign}
        elif name in {"separator", "begins", "rate_hz", "kind"} and len(rest) == 1:
            named = _NAMED_SEPARATORS if name == "separator" else {}
            content[name] = named.get(rest[0], rest[0])
        else:
            raise ClampwrightError(
                words(
                    "the form of the lines: {part!r} is not known; expected parts such as "
                    "'torque 2 N·m', 'angle 3 deg', 'time 1 ms', 'rate_hz 200'",
                    part=part[:40],
                )
            )
    return form_from_data(content)


def form_from_data(content: dict[str, object]) -> LineForm:
    """Make the form of lines from a TOML document or from parts.

    Parameters
    ----------
    content : dict
        Tables ``time``, ``torque``, ``angle`` or ``rate`` with ``field`` or ``after``, ``unit`` and
        ``sign``; beside them ``separator``, ``begins`` and ``rate_hz``. Or ``kind`` alone: the name
        of a kind of line that an installed package reads.

    Returns
    -------
    LineForm

    Raises
    ------
    ClampwrightError
        For a key that is not known or a value that cannot be.
    """
    known = {*ROLES, "separator", "begins", "rate_hz", "kind"}
    unknown = [key for key in content if key not in known]
    if unknown:
        raise ClampwrightError(
            words(
                "the form of the lines: the key {key!r} is not known; it is one of {known}",
                key=str(unknown[0]),
                known=", ".join(sorted(known)),
            )
        )
    if "kind" in content:
        return _by_kind(content)
    fields = tuple(_field(role, content[role]) for role in ROLES if role in content)
    rate = content.get("rate_hz")
    try:
        rate_hz = None if rate is None else float(str(rate))
    except ValueError:
        raise ClampwrightError(
            words("rate_hz must be a number; it is {rate!r}", rate=str(rate))
        ) from None
    return LineForm(
        fields, str(content.get("separator", "")), str(content.get("begins", "")), rate_hz
    )


def _by_kind(content: dict[str, object]) -> LineForm:
    """Return the form whose lines an installed package reads."""
    if len(content) > 1:
        raise ClampwrightError(
            words("the form of the lines: beside kind nothing else is said; the package knows it")
        )
    kind = kind_named(str(content["kind"]))
    fields = (Field(role, i, "", unit) for i, (role, unit) in enumerate(kind.units.items(), 1))
    return LineForm(tuple(fields), rate_hz=kind.rate_hz, kind=kind)


def _field(role: Role, content: object) -> Field:
    if not isinstance(content, dict) or set(content) - {"field", "after", "unit", "sign"}:
        raise ClampwrightError(
            words("{role}: expected field or after, unit and sign, and nothing else", role=role)
        )
    field, sign = content.get("field"), content.get("sign", 1)
    if not isinstance(field, int | None) or not isinstance(sign, int):
        raise ClampwrightError(words("{role}: field and sign are whole numbers", role=role))
    return Field(role, field, str(content.get("after", "")), str(content.get("unit", "")), sign)


def form_from_toml(data: bytes, name: str = "lines.toml") -> LineForm:
    """Read the form of lines from TOML.

    Parameters
    ----------
    data : bytes
    name : str
        Name of the file, for messages.

    Returns
    -------
    LineForm

    Raises
    ------
    BadFile
        Where it is not TOML.
    ClampwrightError
        For a key that is not known or a value that cannot be.

    Examples
    --------
    >>> form = form_from_toml('''
    ... separator = ","
    ... rate_hz = 100
    ... [torque]
    ... field = 1
    ... unit = "ft·lbf"
    ... [angle]
    ... field = 2
    ... '''.encode())
    >>> form.rate_hz, form.fields[1].role
    (100.0, 'angle')
    """
    text = text_of(data, "toml", name)
    try:
        content = toml_of(text, name)
    except tomllib.TOMLDecodeError as error:
        raise BadFile(
            words("{file}: this is not TOML: {problem}", file=name, problem=str(error)), file=name
        ) from error
    return form_from_data(content)
