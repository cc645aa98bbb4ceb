"""A few lines to write SVG as text: no script, no style sheet, nothing from outside.

Colours and line widths stand in presentation attributes, which a page's style sheet overrules by
the classes, and which a printer takes as they are. Equal calls give equal bytes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

FONT = "DejaVu Sans, Verdana, sans-serif"
"""The shipped face first; on a page any face that is there."""

WIDTH_OF_A_CHARACTER = 0.66
"""Of the type size, on the safe side: bold capitals of the shipped face are about 0.7, small
letters 0.6."""

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class Look:
    """Two colours, and nothing else carries meaning by colour.

    Parameters
    ----------
    ink, ground : str
        Of lines and letters, and of what lies behind them; CSS colours.
    """

    ink: str
    ground: str


PAPER = Look("#000000", "#ffffff")
"""Black on white, for print."""
PAGE = Look("currentColor", "var(--ground, Canvas)")
"""What the page around it uses; the page sets ``--ground``."""


def tag(name: str, *children: str, **attributes: str | float | None) -> str:
    """Return one element.

    Parameters
    ----------
    name : str
    *children : str
        Finished SVG text.
    **attributes : str, float or None
        An underscore becomes a hyphen; a last one is dropped (``class_``). None is left out.

    Returns
    -------
    str

    Examples
    --------
    >>> tag("circle", r=5.0, stroke_width=2, class_='a"b')
    '<circle r="5" stroke-width="2" class="a&quot;b"/>'
    """
    parts = [name]
    for key, value in attributes.items():
        if value is not None:
            shown = value if isinstance(value, str) else number(value)
            parts.append(f'{key.rstrip("_").replace("_", "-")}="{clean(shown)}"')
    head = " ".join(parts)
    return f"<{head}>{''.join(children)}</{name}>" if children else f"<{head}/>"


def clean(text: str) -> str:
    r"""Return text that can stand in an element or attribute, whatever a person typed.

    Characters XML does not allow are replaced by the sign for an unknown one.

    Examples
    --------
    >>> clean("<b>&\x00")
    '&lt;b&gt;&amp;�'
    """
    return escape(_NOT_XML.sub("\ufffd", text), quote=True)


def number(value: float) -> str:
    """Return a number with at most two decimals and no trailing zeros.

    Examples
    --------
    >>> number(-0.001), number(12.50)
    ('0', '12.5')
    """
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def lettering(
    text: str,
    x: float,
    y: float,
    size: float,
    *,
    fill: str,
    anchor: str = "middle",
    weight: str = "bold",
    halo: str | None = None,
    **attributes: str | float | None,
) -> str:
    """Return a line of text whose figures stand centred on a height.

    Parameters
    ----------
    text : str
        Plain; it is escaped here.
    x, y : float
        Anchor, and the middle of the capitals.
    size : float
        Type size.
    fill : str
        Colour.
    anchor, weight : str
        As in SVG.
    halo : str, optional
        Colour of a rim that keeps lines behind from running into the letters.
    **attributes
        Further ones.

    Returns
    -------
    str
    """
    return tag(
        "text",
        clean(text),
        x=x,
        y=y + 0.364 * size,  # half the height of the capitals of the shipped face
        font_size=size,
        font_weight=weight,
        text_anchor=anchor,
        fill=fill,
        stroke=halo,
        stroke_width=halo and size / 4,
        stroke_linejoin=halo and "round",
        paint_order=halo and "stroke",
        **attributes,
    )


def fitting(text: str, size: float, width: float) -> float:
    """Return the type size at which a text is no wider than `width`, at most `size`.

    Examples
    --------
    >>> fitting("ab", 20, 100)
    20
    """
    wanted = len(text) * WIDTH_OF_A_CHARACTER * size
    return size if wanted <= width else size * width / wanted


def wrapped(text: str, size: float, width: float) -> list[str]:
    """Break a text between words into as few lines as fit, of much the same length.

    Examples
    --------
    >>> wrapped("one two three four", 10, 100)
    ['one two', 'three four']
    """
    room = max(1, int(width / (0.6 * size)))
    lines = _broken(text, room)
    while len(lines) > 1 and room > 1 and len(_broken(text, room - 1)) == len(lines):
        room -= 1
        lines = _broken(text, room)
    return lines


def _broken(text: str, room: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def polar(radius: float, degrees: float, x: float = 0.0, y: float = 0.0) -> tuple[float, float]:
    """Return the point at a distance from (x, y); 0 degrees is up, clockwise, y grows downwards.

    Examples
    --------
    >>> [round(value, 6) for value in polar(10, 90)]
    [10.0, -0.0]
    """
    angle = math.radians(degrees)
    return x + radius * math.sin(angle), y - radius * math.cos(angle)


def polygon(points: Sequence[tuple[float, float]]) -> str:
    """Return a closed path through points.

    Examples
    --------
    >>> polygon([(0, 0), (1, 0), (0.5, 1)])
    'M0 0L1 0L0.5 1Z'
    """
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "Z"


def arc(radius: float, start: float, end: float, x: float = 0.0, y: float = 0.0) -> str:
    """Return an arc about (x, y) from one direction to another, degrees as in `polar`.

    Examples
    --------
    >>> arc(10, 0, 90)
    'M0 -10A10 10 0 0 1 10 0'
    """
    x0, y0 = polar(radius, start, x, y)
    x1, y1 = polar(radius, end, x, y)
    large, sweep = int(abs(end - start) > 180), int(end > start)
    r = number(radius)
    return f"M{number(x0)} {number(y0)}A{r} {r} 0 {large} {sweep} {number(x1)} {number(y1)}"


def turning_arrow(
    radius: float, middle: float, half: float, *, clockwise: bool, ink: str, width: float
) -> str:
    """Return an arrow bent round (0, 0).

    Parameters
    ----------
    radius : float
    middle, half : float
        Direction of its middle, and how far it reaches either way, degrees.
    clockwise : bool
        As seen in the drawing.
    ink : str
    width : float
        Of the line; the head is about four times as wide.

    Returns
    -------
    str
    """
    way = 1 if clockwise else -1
    start, end = middle - way * half, middle + way * half
    length = math.degrees(3.4 * width / radius)
    neck = end - way * 0.6 * length
    head = [
        polar(radius - 2.1 * width, neck),
        polar(radius, end + way * 0.4 * length),
        polar(radius + 2.1 * width, neck),
    ]
    return tag("path", d=arc(radius, start, neck), fill="none", stroke=ink, stroke_width=width) + (
        tag("path", d=polygon(head), fill=ink)
    )


def picture(
    *children: str,
    width: float,
    height: float,
    label: str,
    class_: str,
    left: float = 0.0,
    top: float = 0.0,
) -> str:
    """Return the finished drawing.

    Parameters
    ----------
    *children : str
    width, height, left, top : float
        The part of the plane that is shown.
    label : str
        What a screen reader says of it.
    class_ : str

    Returns
    -------
    str
    """
    return tag(
        "svg",
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=" ".join(number(value) for value in (left, top, width, height)),
        class_=class_,
        role="img",
        aria_label=label,
        font_family=FONT,
    )
