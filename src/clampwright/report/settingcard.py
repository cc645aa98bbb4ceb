"""A card with the tool's own scale at the wanted setting, to be read from a step away.

The drawing is of any wrench of its kind: which line meets which edge, where the pointer stands.
Only the marks and figures are those of the tool.
"""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.drawer import Setting, Tool
from clampwright.errors import Refused
from clampwright.locale import figure, in_its_language, say
from clampwright.report.scales import Drawing, dial, display, pointer_arc, sleeve, strip
from clampwright.report.setting_words import how, wanted_words, warnings
from clampwright.report.svg import PAGE, Look, lettering, picture, tag, wrapped
from clampwright.words import Words, words

WIDTH = 720.0
_MARGIN = 16.0
_LARGEST, _SMALLEST = 250.0, 205.0
"""Type size of the target: at 205 its figures are a fifth of the card's width high."""
_SPACING = 0.68
"""Width of a bold figure of the shipped face, of the type size."""
_MOST_DIGITS = 4


@dataclass(frozen=True, slots=True)
class _Card:
    tool: Tool
    setting: Setting
    look: Look
    language: str | None

    def say(self, sentence: Words) -> str:
        return say(sentence, self.language)

    @property
    def figure(self) -> str:
        """The target as the scale shows it, without its unit.

        A pointer may stand between marks: then one more decimal than the marks have.
        """
        value = self.setting.value
        digits = self.setting.scale.digits
        while digits < _MOST_DIGITS and abs(round(value, digits) - value) > 1e-9:
            digits += 1
        return figure(value, f".{digits}f", self.language)


@in_its_language
def setting_card(
    tool: Tool,
    setting: Setting,
    *,
    clockwise: bool = True,
    look: Look = PAGE,
    language: str | None = None,
) -> str:
    """Draw the scale of a wrench at a setting.

    Parameters
    ----------
    tool : Tool
        A beam, dial, click or electronic wrench.
    setting : Setting
    clockwise : bool
        The way it is pulled; the pointer goes the same way.
    look : Look
        `PAGE` takes the colours of the page around it, `PAPER` is black on white.
    language : str, optional
        Language tag of the words.

    Returns
    -------
    str
        SVG.

    Raises
    ------
    Refused
        For a tool without a torque scale.
    """
    if not tool.is_wrench:
        raise Refused(words("{tool} has no torque scale to draw", tool=tool.title))
    card = _Card(tool, setting, look, language)
    blocks = [
        _title(card),
        *([] if tool.kind == "electronic" else [_target(card)]),
        _sentence(card, wanted_words(setting), size=36),
        *(_sentence(card, warning) for warning in warnings(tool, setting)),
        *_drawings(card, clockwise=clockwise),
        *(_sentence(card, sentence) for sentence in how(tool, setting)),
        _sentence(card, setting.cost, size=28),
        _sentence(card, _REMARK, size=23, weight="normal"),
    ]
    y, placed = _MARGIN, []
    for block in blocks:
        placed.append(tag("g", block.svg, transform=f"translate(0 {y:.1f})"))
        y += block.height
    return picture(
        *placed,
        width=WIDTH,
        height=y + _MARGIN,
        label=card.say(_summary(card)),
        class_="setting-card",
    )


_REMARK = words("Drawn for any wrench of this kind: yours may look different, the figures count.")


def _summary(card: _Card) -> Words:
    return words(
        "Setting card: {tool}, {value} {unit}",
        tool=card.tool.title,
        value=card.figure,
        unit=card.setting.scale_unit,
    )


def _title(card: _Card) -> Drawing:
    lines = wrapped(card.tool.title, 32, WIDTH - 2 * _MARGIN)
    body = (
        lettering(text, _MARGIN, 24 + 40 * n, 32, fill=card.look.ink, anchor="start")
        for n, text in enumerate(lines)
    )
    return Drawing("".join(body), 40.0 * len(lines) + 12)


def _target(card: _Card) -> Drawing:
    """Write the target as large as it goes, its unit at half that or more."""
    unit, room = card.setting.scale_unit, WIDTH - 2 * _MARGIN
    beside = room / (_SPACING * (len(card.figure) + 0.3) + 0.5 * _SPACING * len(unit))
    alone = room / (_SPACING * len(card.figure))
    ink = card.look.ink
    if beside >= _SMALLEST:
        size = min(beside, _LARGEST)
        target = lettering(
            card.figure, _MARGIN, 0.45 * size, size, fill=ink, anchor="start", class_="target"
        )
        right = WIDTH - _MARGIN
        y = 0.45 * size + 0.364 * 0.5 * size  # on the same line of type
        return Drawing(
            target + lettering(unit, right, y, size / 2, fill=ink, anchor="end", class_="unit"),
            0.95 * size,
        )
    size = min(alone, _LARGEST)
    half = min(size / 2, room / (_SPACING * len(unit)))
    target = lettering(card.figure, WIDTH / 2, 0.45 * size, size, fill=ink, class_="target")
    below = lettering(unit, WIDTH / 2, 0.85 * size + 0.5 * half, half, fill=ink, class_="unit")
    return Drawing(target + below, 0.95 * size + half)


def _drawings(card: _Card, *, clockwise: bool) -> list[Drawing]:
    tool, setting, look = card.tool, card.setting, card.look
    if tool.kind == "electronic":
        return [display(card.figure, setting.scale_unit, card.say(words("target")), look)]
    if tool.stands_at_one:
        return []
    if tool.kind == "click":
        return sleeve(setting.scale, setting, look)
    whole = (dial if tool.kind == "dial" else pointer_arc)(
        setting.scale, setting.value, look, clockwise=clockwise
    )
    return [whole, strip(setting.scale, setting, look, clockwise=clockwise)]


def _sentence(card: _Card, sentence: Words, *, size: float = 31, weight: str = "bold") -> Drawing:
    lines = wrapped(_as_sentence(card.say(sentence)), size, WIDTH - 2 * _MARGIN)
    body = (
        lettering(
            text,
            _MARGIN,
            (0.7 + 1.3 * n) * size,
            size,
            fill=card.look.ink,
            anchor="start",
            weight=weight,
        )
        for n, text in enumerate(lines)
    )
    return Drawing("".join(body), 1.3 * size * len(lines) + 8)


def _as_sentence(text: str) -> str:
    """Return text that begins and ends as a sentence does."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
