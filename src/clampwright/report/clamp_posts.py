"""Clamp load of every fastener at its true place: a post as planned beside one with the change.

Told by place, outline and figure: the planned post is hollow, the changed one filled, a thin line
with ends spans the 5 to 95 % band, and a broken line marks what the torque was chosen for.
"""

from __future__ import annotations

from itertools import combinations

from clampwright.locale import figure, say
from clampwright.practice.what_if import Outcome, WhatIf
from clampwright.report.svg import PAGE, Look, lettering, picture, tag, wrapped
from clampwright.words import Words, words
from clampwright.work.layout import Position

TALL = 104.0
"""Height of the tallest band."""
_POST, _GAP = 28.0, 12.0
_ROOM_X, _ROOM_Y = 104.0, TALL + 72.0
"""What one fastener takes with its figures."""
_NUMBER, _FIGURE, _LEGEND = 24.0, 18.0, 18.0
_MARGIN = 16.0
_LEAST_WIDTH = 400.0


def clamp_posts(found: WhatIf, *, look: Look = PAGE, language: str | None = None) -> str:
    """Draw the clamp load of every fastener in both cases.

    Parameters
    ----------
    found : WhatIf
    look : Look
        `PAGE` takes the colours of the page around it.
    language : str, optional
        Language tag of the words.

    Returns
    -------
    str
        SVG. Each fastener is ``<g class="post" data-fastener="3">``.
    """
    spots = _spots(found.parts.layout.positions)
    top = max(float(case.p95.max()) for case in (found.planned, found.changed)) or 1.0
    left = min(x for x, _y in spots) - _ROOM_X / 2 - _MARGIN
    right = max(x for x, _y in spots) + _ROOM_X / 2 + _MARGIN
    short = max(0.0, _LEAST_WIDTH - (right - left)) / 2
    left, right = left - short, right + short
    high = min(y for _x, y in spots) - TALL - _MARGIN
    low = max(y for _x, y in spots) + _ROOM_Y - TALL
    legend, height = _legend(left + _MARGIN, low, right - left - 2 * _MARGIN, look, language)
    posts = (_post(found, n, spot, top, look) for n, spot in enumerate(spots, 1))
    return picture(
        *posts,
        legend,
        left=left,
        top=high,
        width=right - left,
        height=low + height - high,
        label=say(summary(found), language),
        class_="clamp-posts",
    )


def summary(found: WhatIf) -> Words:
    """Say in one line what the drawing shows."""
    return words(
        "Clamp load of {count} fasteners: as planned {low:.1f} to {high:.1f} kN, with the change "
        "{lower:.1f} to {higher:.1f} kN.",
        count=found.parts.layout.count,
        low=float(found.planned.nominal.min()) / 1000.0,
        high=float(found.planned.nominal.max()) / 1000.0,
        lower=float(found.changed.nominal.min()) / 1000.0,
        higher=float(found.changed.nominal.max()) / 1000.0,
    )


def _spots(positions: tuple[Position, ...]) -> list[Position]:
    """Return where the posts stand: true to place, and far enough apart for all that is beside."""
    scale = max(
        (
            min(
                _ROOM_X / abs(a[0] - b[0]) if a[0] != b[0] else float("inf"),
                _ROOM_Y / abs(a[1] - b[1]) if a[1] != b[1] else float("inf"),
            )
            for a, b in combinations(positions, 2)
        ),
        default=1.0,
    )
    return [(x * scale, -y * scale) for x, y in positions]


def _post(found: WhatIf, n: int, spot: Position, top: float, look: Look) -> str:
    x, y = spot
    planned, changed = (case.nominal[n - 1] / 1000.0 for case in (found.planned, found.changed))
    off = (_POST + _GAP) / 2
    aim = y - TALL * found.planned.alone / top
    return tag(
        "g",
        tag("title", f"{n}: {figure(planned, '.1f')} → {figure(changed, '.1f')} kN"),
        tag("line", x1=x - 46, y1=y, x2=x + 46, y2=y, stroke=look.ink, stroke_width=3),
        _bar(found.planned, n, (x - off, y), top, look, filled=False),
        _bar(found.changed, n, (x + off, y), top, look, filled=True),
        tag(
            "line",
            x1=x - 46,
            y1=aim,
            x2=x + 46,
            y2=aim,
            stroke=look.ink,
            stroke_width=2,
            stroke_dasharray="7 5",
        ),
        lettering(str(n), x, y + 20, _NUMBER, fill=look.ink),
        *(
            lettering(_figure(value), at, y + 46, _FIGURE, fill=look.ink, weight=weight)
            for value, at, weight in ((planned, x - 25, "normal"), (changed, x + 25, "bold"))
        ),
        class_="post",
        data_fastener=str(n),
    )


def _figure(load: float) -> str:
    return figure(load, ".1f" if load < 100.0 else ".0f")


def _bar(case: Outcome, n: int, foot: Position, top: float, look: Look, *, filled: bool) -> str:
    x, y = foot
    height, low, high = (
        TALL * float(row[n - 1]) / top for row in (case.nominal, case.p05, case.p95)
    )
    body = tag(
        "rect",
        x=x - _POST / 2,
        y=y - height,
        width=_POST,
        height=max(height, 0.01),
        fill=look.ink if filled else look.ground,
        fill_opacity=0.62 if filled else 1.0,
        stroke=look.ink,
        stroke_width=2.5,
    )
    way = (
        f"M{x - 7:.1f} {y - low:.1f}h14M{x - 7:.1f} {y - high:.1f}h14"
        f"M{x:.1f} {y - low:.1f}V{y - high:.1f}"
    )
    rim = tag("path", d=way, fill="none", stroke=look.ground, stroke_width=7)
    return body + rim + tag("path", d=way, fill="none", stroke=look.ink, stroke_width=3)


def _legend(
    left: float, top: float, width: float, look: Look, language: str | None
) -> tuple[str, float]:
    """Return the lines that say what the shapes mean, and the height they take."""
    hollow, full = (_sign(look, filled=filled) for filled in (False, True))
    band = tag("path", d="M13 -9V9M6 -9h14M6 9h14", stroke=look.ink, stroke_width=3)
    aim = tag("path", d="M0 0H28", stroke=look.ink, stroke_width=2, stroke_dasharray="7 5")
    rows = (
        (hollow, words("as planned")),
        (full, words("with the change")),
        (band, words("9 of 10 fasteners lie between (5 to 95 %)")),
        (aim, words("what the torque is chosen for")),
    )
    drawn, y = [], top + 18
    for sign, sentence in rows:
        lines = wrapped(say(sentence, language), _LEGEND, width - 44)
        drawn.append(tag("g", sign, transform=f"translate({left:.1f} {y:.1f})"))
        for line in lines:
            drawn.append(
                lettering(
                    line, left + 40, y, _LEGEND, fill=look.ink, anchor="start", weight="normal"
                )
            )
            y += 25
    return tag("g", *drawn, class_="legend"), y - top + 4


def _sign(look: Look, *, filled: bool) -> str:
    return tag(
        "rect",
        x=2,
        y=-8,
        width=22,
        height=16,
        fill=look.ink if filled else look.ground,
        fill_opacity=0.62 if filled else 1.0,
        stroke=look.ink,
        stroke_width=2.5,
    )
