"""A map of a joint, true to position: which fastener, in which order, what has become of it.

Each state has its own outline (ring, filled hexagon, square, diamond) and a mark beside it, so
that nothing hangs on colour. Numbers and words stay upright however the map is turned.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.report.fasteners import ARROW, SIZE, STATES, State, draw
from clampwright.report.labels import Box, Label, place_labels
from clampwright.report.svg import (
    PAGE,
    Look,
    clean,
    lettering,
    picture,
    polar,
    polygon,
    tag,
    turning_arrow,
    wrapped,
)
from clampwright.report.view import Turning, View, place_seen
from clampwright.words import Words, words
from clampwright.work.layout import Layout, Position

APART = 146.0
"""Between the two nearest fasteners: room for the arrow of one and the words of another."""
NARROWEST = 460.0
"""Least width of a drawing, so that its words find room."""
_MARGIN = 14.0


@dataclass(frozen=True, slots=True)
class _Map:
    """What the parts of a drawing have in common."""

    spots: Mapping[int, Position]
    states: Mapping[int, State]
    order: tuple[int, ...]
    marks: Mapping[int, Words]
    clockwise: bool
    view: View
    look: Look
    language: str | None

    def say(self, sentence: Words) -> str:
        return say(sentence, self.language)

    @property
    def now(self) -> int | None:
        return next((n for n, state in self.states.items() if state == "now"), None)

    @property
    def next(self) -> int | None:
        """The first to do after the present one in the order."""
        if self.now not in self.order:
            return None
        later = self.order[self.order.index(self.now) + 1 :]
        return next((n for n in later if self.states[n] == "todo"), None)


def joint_map(
    layout: Layout,
    *,
    states: Mapping[int, State] | None = None,
    order: Sequence[int] = (),
    marks: Mapping[int, Words] | None = None,
    turning: Turning | None = None,
    view: View | None = None,
    look: Look = PAGE,
    language: str | None = None,
    live: bool = False,
) -> str:
    """Draw a joint.

    Parameters
    ----------
    layout : Layout
        Where the fasteners sit.
    states : mapping of int to str, optional
        ``todo`` (taken where nothing is said), ``now``, ``done`` or ``doubtful``, by number.
    order : sequence of int
        Fasteners in the order of the pass; those it leaves out are drawn faintly.
    marks : mapping of int to Words, optional
        A word to stand under a fastener, such as its verdict.
    turning : Turning, optional
        Right-hand thread, tightened, if not given.
    view : View, optional
        Where the person stands; straight on if not given.
    look : Look
        `PAGE` takes the colours of the page around it, `PAPER` is black on white.
    language : str, optional
        Language tag of the words.
    live : bool
        Put every state's shape in, all but one with ``display="none"``, so that a page can
        change ``data-state`` and the display without asking the server.

    Returns
    -------
    str
        SVG. Each fastener is ``<g class="fastener" data-fastener="3" data-state="done">``.

    Raises
    ------
    Missing
        When the order or a state names a fastener the joint does not have.
    """
    turning, view = turning or Turning(), view or View()
    _check_numbers(layout, (*order, *(states or {}), *(marks or {})))
    drawn = _Map(
        spots=_spots(layout, view),
        states={n: (states or {}).get(n, "todo") for n in layout.numbers},
        order=tuple(order) or layout.numbers,
        marks=marks or {},
        clockwise=turning.clockwise(view),
        view=view,
        look=look,
        language=language,
    )
    labels = place_labels(
        drawn.spots,
        {n: _words_beside(drawn, n, ordered=bool(order)) for n in layout.numbers},
        {n: _reach(drawn, n) for n in layout.numbers},
    )
    part = _extent(drawn, labels)
    frame = _frame(part, layout, view)
    caption, caption_height = _caption(drawn, turning, frame)
    return picture(
        _outline(layout, drawn, part),
        _hop(drawn),
        *(_fastener(drawn, n, place_seen(layout, n, view), live=live) for n in layout.numbers),
        *(_label(drawn, n, label) for n, label in labels.items()),
        _top_mark(drawn, frame) if layout.count > 1 else "",
        caption,
        left=frame.left,
        top=frame.top,
        width=frame.width,
        height=frame.height + caption_height,
        label=drawn.say(_summary(drawn)),
        class_="joint-map",
    )


def _check_numbers(layout: Layout, named: Sequence[int]) -> None:
    strange = sorted(set(named) - set(layout.numbers))
    if strange:
        raise Missing(
            words(
                "the map is asked to show fastener {number}, but the joint has 1 to {count}",
                number=strange[0],
                count=layout.count,
            ),
            needed="fasteners",
        )


def _spots(layout: Layout, view: View) -> dict[int, Position]:
    """Return where each fastener stands in the drawing; y grows downwards there."""
    nearest = min((math.dist(a, b) for a, b in combinations(layout.positions, 2)), default=1.0)
    scale = APART / nearest
    seen = {n: view.seen(p) for n, p in zip(layout.numbers, layout.positions, strict=True)}
    return {n: (x * scale, -y * scale) for n, (x, y) in seen.items()}


def _reach(drawn: _Map, n: int) -> tuple[float, float]:
    """Return half the width and height of a fastener's shape."""
    return (ARROW + 18 if n == drawn.now else SIZE + 12), SIZE + 12


def _extent(drawn: _Map, labels: Mapping[int, Label]) -> Box:
    """Return the room the fasteners and their words take."""
    boxes = [Box.around(spot, *_reach(drawn, n)) for n, spot in drawn.spots.items()]
    return Box.holding([*boxes, *(label.box for label in labels.values())]).grown(_MARGIN)


def _frame(part: Box, layout: Layout, view: View) -> Box:
    """Return the room the map takes: the part, and where its top is said."""
    frame = part.grown(6)
    if layout.count > 1:
        frame = frame.grown_on(view.top, 48 if view.top in {"up", "down"} else 80)
    short = NARROWEST - frame.width
    return (
        frame
        if short <= 0
        else Box(frame.left - short / 2, frame.top, frame.right + short / 2, frame.bottom)
    )


def _outline(layout: Layout, drawn: _Map, part: Box) -> str:
    """Draw the pitch circle or the part faintly, so that the eye finds the joint's shape."""
    line: dict[str, str | float] = {
        "fill": "none",
        "stroke": drawn.look.ink,
        "stroke_width": 3.0,
        "stroke_opacity": 0.4,
        "class_": "part",
    }
    if layout.count == 1:
        return ""
    if layout.pattern == "circle" and layout.count > 2:
        radius = math.dist(drawn.spots[1], (0.0, 0.0))
        return tag("circle", r=radius, stroke_dasharray="26 8 4 8", **line)
    corner = {"x": part.left, "y": part.top, "width": part.width, "height": part.height}
    return tag("rect", rx=SIZE / 2, **corner, **line)


def _hop(drawn: _Map) -> str:
    """Draw the way from the present fastener to the next one."""
    if drawn.now is None or drawn.next is None:
        return ""
    (x0, y0), (x1, y1) = drawn.spots[drawn.now], drawn.spots[drawn.next]
    return tag(
        "line",
        x1=x0,
        y1=y0,
        x2=x1,
        y2=y1,
        stroke=drawn.look.ink,
        stroke_width=5,
        stroke_dasharray="3 13",
        stroke_linecap="round",
        class_="hop",
    )


def _fastener(drawn: _Map, n: int, place: Words, *, live: bool) -> str:
    x, y = drawn.spots[n]
    state = drawn.states[n]
    shapes = (
        tag(
            "g",
            draw(other, n, drawn.look, clockwise=drawn.clockwise, resting=n not in drawn.order),
            class_=f"shape {other}",
            display=None if other == state else "none",
        )
        for other in STATES
        if live or other == state
    )
    mark = drawn.marks.get(n, STATES[state])
    return tag(
        "g",
        tag("title", clean(f"{n}: {drawn.say(place)}, {drawn.say(mark)}")),
        *shapes,
        transform=f"translate({x:.1f} {y:.1f})",
        class_="fastener",
        data_fastener=str(n),
        data_state=state,
    )


def _words_beside(drawn: _Map, n: int, *, ordered: bool) -> str:
    """Return the place in the order and a word for the state."""
    parts = []
    if ordered and n in drawn.order:
        parts.append(f"{drawn.order.index(n) + 1}.")
    if n in drawn.marks:
        parts.append(drawn.say(drawn.marks[n]))
    elif n == drawn.now:
        parts.append(drawn.say(STATES["now"]).upper())
    elif n == drawn.next:
        parts.append(drawn.say(words("next")))
    return " ".join(parts)


def _label(drawn: _Map, n: int, label: Label) -> str:
    x, y = label.box.middle
    return lettering(
        label.text,
        x,
        y,
        label.size,
        fill=drawn.look.ink,
        halo=drawn.look.ground,
        class_="label",
        data_label=str(n),
    )


def _top_mark(drawn: _Map, frame: Box) -> str:
    """Say on which edge of the drawing the top of the joint is."""
    middle_x, middle_y = frame.middle
    x, y, points = {
        "up": (middle_x, frame.top + 30, 0),
        "down": (middle_x, frame.bottom - 30, 180),
        "left": (frame.left + 44, middle_y, 270),
        "right": (frame.right - 44, middle_y, 90),
    }[drawn.view.top]
    triangle = [polar(17, points + angle) for angle in (0, 130, 230)]
    beside = drawn.view.top in {"up", "down"}
    word = lettering(
        drawn.say(words("top")),
        28 if beside else 0,
        0 if beside else 34,
        27,
        fill=drawn.look.ink,
        anchor="start" if beside else "middle",
    )
    return tag(
        "g",
        tag("path", d=polygon(triangle), fill=drawn.look.ink),
        word,
        transform=f"translate({x:.1f} {y:.1f})",
        class_="top",
    )


def _caption(drawn: _Map, turning: Turning, frame: Box) -> tuple[str, float]:
    """Return the sentences under the map, and the height they take."""
    sentences = [turning.words(clockwise=drawn.clockwise)]
    if turning.left_hand:
        sentences.append(words("Left-hand thread: the other way from usual."))
    if drawn.view.mirror:
        sentences.append(words("Mirrored: drawn as seen from behind."))
    lines = [
        line
        for sentence in sentences
        for line in wrapped(drawn.say(sentence), 26, frame.width - 120)
    ]
    step = 36.0
    height = step * max(len(lines), 2) + 12
    start, middle = frame.left + 100, frame.bottom + height / 2
    first = middle - step * (len(lines) - 1) / 2
    body = "".join(
        lettering(line, start, first + i * step, 26, fill=drawn.look.ink, anchor="start")
        for i, line in enumerate(lines)
    )
    arrow = tag(
        "g",
        turning_arrow(25, 0, 130, clockwise=drawn.clockwise, ink=drawn.look.ink, width=7),
        transform=f"translate({start - 56:.1f} {middle:.1f})",
    )
    return tag("g", arrow, body, class_="turning"), height


def _summary(drawn: _Map) -> Words:
    settled = sum(state == "done" for state in drawn.states.values())
    if drawn.now is None:
        return words(
            "Map of the joint: {done} of {count} fasteners done.",
            done=settled,
            count=len(drawn.states),
        )
    return words(
        "Map of the joint: now fastener {number}; {done} of {count} done.",
        number=drawn.now,
        done=settled,
        count=len(drawn.states),
    )
