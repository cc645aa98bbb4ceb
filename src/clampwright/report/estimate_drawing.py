"""Drawing of an estimate: what the learner said, the band, and a hundred fasteners by chance."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.locale import figure, say
from clampwright.practice.clamp_question import ClampQuestion, ClampScore
from clampwright.report.svg import PAGE, Look, lettering, picture, tag
from clampwright.trace.model import Floats
from clampwright.words import Words, words

WIDTH, HEIGHT = 640.0, 304.0
_EDGE = 20.0
_LETTERS = 18.0
_DOT = 9.0
_DRAWN, _SEED = 100, 20_262
_STEPS = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 1000.0)
_MOST_TICKS = 7


def estimate_drawing(
    question: ClampQuestion,
    score: ClampScore,
    *,
    look: Look = PAGE,
    language: str | None = None,
) -> str:
    """Draw what was said over the band.

    Parameters
    ----------
    question : ClampQuestion
    score : ClampScore
    look : Look
        `PAGE` takes the colours of the page around it.
    language : str, optional

    Returns
    -------
    str
        SVG.
    """
    drawn = question.drawn(_DRAWN, _SEED)
    ends = [score.low, score.high, score.band.p05, score.band.p95]
    reach = (min([*ends, float(drawn.min())]), max([*ends, float(drawn.max())]))
    sheet = _Sheet.around(*reach, look=look, language=language)
    said = words(
        "You said {low:.1f} to {high:.1f} kN; the band is {p05:.1f} to {p95:.1f} kN.",
        low=score.low / 1000.0,
        high=score.high / 1000.0,
        p05=score.band.p05 / 1000.0,
        p95=score.band.p95 / 1000.0,
    )
    return picture(
        sheet.span(words("what you said"), 36.0, (score.low, score.high), 9.0),
        sheet.span(
            words("9 of 10 fasteners (5 to 95 %)"), 104.0, (score.band.p05, score.band.p95), 4.5
        ),
        sheet.text(words("a hundred fasteners drawn by chance"), 158.0),
        sheet.dots(drawn, 238.0),
        sheet.scale(250.0),
        width=WIDTH,
        height=HEIGHT,
        label=say(said, language),
        class_="estimate",
    )


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A scale of clamp load from left to right, and what stands on it; forces in N."""

    low: float
    high: float
    look: Look
    language: str | None

    @classmethod
    def around(cls, low: float, high: float, *, look: Look, language: str | None) -> _Sheet:
        room = 0.06 * (high - low or 1000.0)
        return cls(max(0.0, low - room), high + room, look, language)

    def at(self, force: float) -> float:
        return _EDGE + (WIDTH - 2 * _EDGE) * (force - self.low) / (self.high - self.low)

    def text(self, sentence: Words, y: float, weight: str = "normal") -> str:
        text = say(sentence, self.language)
        return lettering(text, _EDGE, y, _LETTERS, fill=self.look.ink, anchor="start",
                         weight=weight)  # fmt: skip

    def span(self, title: Words, y: float, ends: tuple[float, float], width: float) -> str:
        sentence = words(
            "{what}: {low:.1f} – {high:.1f} kN",
            what=title,
            low=ends[0] / 1000.0,
            high=ends[1] / 1000.0,
        )
        low, high = (self.at(end) for end in ends)
        way = f"M{low:.1f} {y + 12}H{high:.1f}M{low:.1f} {y}v24M{high:.1f} {y}v24"
        line = tag("path", d=way, stroke=self.look.ink, stroke_width=width, fill="none")
        return tag("g", self.text(sentence, y - 18, "bold"), line)

    def dots(self, forces: Floats, bottom: float) -> str:
        """Draw dots that pile up where they would lie on each other."""
        piles: dict[int, int] = {}
        drawn = []
        for force in sorted(forces.tolist()):
            pile = round(self.at(force) / _DOT)
            y = bottom - _DOT * piles.get(pile, 0)
            piles[pile] = piles.get(pile, 0) + 1
            drawn.append(tag("circle", cx=pile * _DOT, cy=y, r=3.6, fill=self.look.ink))
        return tag("g", *drawn)

    def scale(self, y: float) -> str:
        """Draw the scale with round figures in kN."""
        low, high = self.low / 1000.0, self.high / 1000.0
        step = next((s for s in _STEPS if (high - low) / s <= _MOST_TICKS), _STEPS[-1])
        first = -int(-low // step)
        ticks = [step * n for n in range(first, first + _MOST_TICKS + 1) if step * n <= high]
        way, drawn = f"M{_EDGE} {y}H{WIDTH - _EDGE}", []
        for tick in ticks:
            x = self.at(1000.0 * tick)
            way += f"M{x:.1f} {y}v8"
            drawn.append(
                lettering(figure(tick, "g"), x, y + 24, 16, fill=self.look.ink, weight="normal")
            )
        unit = lettering("kN", WIDTH - _EDGE, y + 44, 16, fill=self.look.ink, anchor="end")
        line = tag("path", d=way, stroke=self.look.ink, stroke_width=2)
        return tag("g", line, *drawn, unit)
