"""Pictures of how well traces are judged, drawn for reading in grey."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

INK, FAINT, PAPER = "#1d1d1b", "#8a8a85", "#ffffff"
FONT = "font-family='sans-serif' font-size='12'"


def confusion_svg(counts: Counter[tuple[str, str]], names: Sequence[str]) -> str:
    """Draw true against answered patterns; darker is more, and the number stands in it.

    Parameters
    ----------
    counts : Counter
        Of true and answered pattern.
    names : sequence of str

    Returns
    -------
    str
        SVG.
    """
    cell, left, top = 34, 140, 130
    width, height = left + cell * len(names) + 10, top + cell * len(names) + 10
    parts = [_open(width, height, "True patterns in rows, answered ones in columns")]
    for i, name in enumerate(names):
        y, x = top + cell * i + 21, left + cell * i + 21
        parts.append(_text(left - 8, y, name, "end"))
        parts.append(
            f"<text x='{x}' y='{top - 8}' {FONT} fill='{INK}' "
            f"transform='rotate(-60 {x} {top - 8})'>{name}</text>"
        )
    for i, true in enumerate(names):
        total = sum(counts[true, other] for other in names) or 1
        for j, said in enumerate(names):
            number = counts[true, said]
            share = number / total
            grey = round(255 - 190 * share)
            x, y = left + cell * j, top + cell * i
            parts.append(
                f"<rect x='{x}' y='{y}' width='{cell - 1}' height='{cell - 1}' "
                f"fill='rgb({grey},{grey},{grey})' stroke='{FAINT}' stroke-width='0.5'/>"
            )
            if number:
                ink = PAPER if share > 0.5 else INK
                parts.append(_text(x + cell / 2, y + 21, str(number), "middle", ink))
    return "\n".join([*parts, "</svg>", ""])


def reliability_svg(points: Sequence[tuple[float, float, float]]) -> str:
    """Draw what was stated against how often it held.

    Parameters
    ----------
    points : sequence of (mean stated, held, half width of the 95 % interval of held)

    Returns
    -------
    str
        SVG.
    """
    size, edge = 320, 50
    parts = [_open(size + 2 * edge, size + 2 * edge, "Stated likelihood and how often it held")]

    def x(value: float) -> float:
        return edge + size * value

    def y(value: float) -> float:
        return edge + size * (1.0 - value)

    parts.append(
        f"<rect x='{edge}' y='{edge}' width='{size}' height='{size}' fill='none' stroke='{INK}'/>"
    )
    parts.append(
        f"<line x1='{x(0)}' y1='{y(0)}' x2='{x(1)}' y2='{y(1)}' stroke='{FAINT}' "
        "stroke-dasharray='5 4'/>"
    )
    for mark in (0.0, 0.25, 0.5, 0.75, 1.0):
        parts.append(_text(x(mark), y(0) + 18, f"{mark:g}", "middle"))
        parts.append(_text(x(0) - 8, y(mark) + 4, f"{mark:g}", "end"))
    parts.append(_text(x(0.5), y(0) + 38, "stated", "middle"))
    parts.append(_text(x(0), edge - 12, "held", "middle"))
    for stated, held, half in points:
        low, high = max(held - half, 0.0), min(held + half, 1.0)
        parts.append(
            f"<line x1='{x(stated):.1f}' y1='{y(low):.1f}' x2='{x(stated):.1f}' "
            f"y2='{y(high):.1f}' stroke='{INK}'/>"
        )
        parts.append(f"<circle cx='{x(stated):.1f}' cy='{y(held):.1f}' r='4.5' fill='{INK}'/>")
    return "\n".join([*parts, "</svg>", ""])


def _open(width: float, height: float, title: str) -> str:
    return (
        f"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width:g} {height:g}' "
        f"width='{width:g}' height='{height:g}' role='img'><title>{title}</title>"
        f"<rect width='{width:g}' height='{height:g}' fill='{PAPER}'/>"
    )


def _text(x: float, y: float, text: str, anchor: str, ink: str = INK) -> str:
    return f"<text x='{x:g}' y='{y:g}' {FONT} fill='{ink}' text-anchor='{anchor}'>{text}</text>"
