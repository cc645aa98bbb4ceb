"""The sentences of a setting card, the same drawn, printed and spoken."""

from __future__ import annotations

from clampwright.drawer import Setting, Tool
from clampwright.units import factor
from clampwright.words import Words, words


def wanted_words(setting: Setting) -> Words:
    """Say what the procedure asks for at the fastener, in its own unit.

    Parameters
    ----------
    setting : Setting

    Returns
    -------
    Words
    """
    return words(
        "Wanted at the fastener: {value:.4g} {unit}",
        value=setting.wanted * factor("N·m", setting.wanted_unit),
        unit=setting.wanted_unit,
    )


def warnings(tool: Tool, setting: Setting) -> list[Words]:
    """Say what would make the figure of a card wrong.

    Parameters
    ----------
    tool : Tool
    setting : Setting

    Returns
    -------
    list of Words
    """
    found = _about_adapter(setting)
    others = [scale.unit for scale in tool.scales if scale is not setting.scale]
    if others:
        found.append(
            words(
                "Two scales: use {unit}, not {others}.",
                unit=setting.scale_unit,
                others=", ".join(others),
            )
        )
    return found


def _about_adapter(setting: Setting) -> list[Words]:
    lever = setting.lever
    if lever.adapter is None:
        return []
    if lever.hand is None:
        return [
            words(
                "Only with {adapter}: the fastener gets {ratio:.3g} times as much.",
                adapter=lever.adapter.title,
                ratio=lever.ratio,
            )
        ]
    return [
        words(
            "Only with the adapter {adapter}, hand on the grip mark.", adapter=lever.adapter.title
        ),
        words(
            "Grip mark: {hand:g} mm from the square. The fastener gets {ratio:.3g} times as much.",
            hand=lever.hand,
            ratio=lever.ratio,
        ),
    ]


def how(tool: Tool, setting: Setting) -> list[Words]:
    """Say what to do on the scale, step by step.

    Parameters
    ----------
    tool : Tool
        A wrench.
    setting : Setting

    Returns
    -------
    list of Words
    """
    if tool.stands_at_one:
        return [setting.words, words("Read the value on the wrench, and say it aloud.")]
    if tool.kind == "click":
        return _how_click(setting)
    if tool.kind == "electronic":
        return [
            setting.words,
            words("Check that the display says {unit}.", unit=setting.scale_unit),
        ]
    return [
        setting.words,
        words("Pull slowly; hold there until the pointer is still."),
        words("Look straight down on it: from the side it reads wrong."),
    ]


def _how_click(setting: Setting) -> list[Words]:
    if setting.scale.fine_step is None:
        first = [words("Unlock. Come up from below to {main:g}.", main=setting.main_mark)]
    elif setting.minor_marks == 0:
        first = [
            words(
                "Unlock. Come up from below until the edge stands on {main:g} and the sleeve's 0 "
                "on the long line.",
                main=setting.main_mark,
            )
        ]
    else:
        first = [
            words(
                "1: Unlock. The edge on {main:g}, the sleeve's 0 on the long line.",
                main=setting.main_mark,
            ),
            words(
                "2: Turn on, towards more, until {sleeve:.{digits}f} stands on the long line.",
                sleeve=setting.value - setting.main_mark,
                digits=setting.scale.digits,
            ),
        ]
    return [*first, words("If you went past, go well back and come up again. Then lock.")]


def spoken_setting(tool: Tool, setting: Setting) -> tuple[Words, ...]:
    """Return a setting card as sentences to be spoken, in the order of the hands.

    Parameters
    ----------
    tool : Tool
        A wrench.
    setting : Setting

    Returns
    -------
    tuple of Words

    Examples
    --------
    >>> from clampwright.drawer import Scale, setting
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> print(spoken_setting(wrench, setting(wrench, 32.2))[1])
    Set 32.0 N·m
    """
    return (
        words("{tool}.", tool=tool.title),
        words("Set {value}", value=setting.scale.text(setting.value)),
        wanted_words(setting),
        *warnings(tool, setting),
        *how(tool, setting),
        setting.cost,
    )
