"""Sentences of the scripts that sound, shake and speak, and of their switches."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

CUE_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "cues": words("Sounds and lights"),
        "cues_about": words(
            "Kept on this device. Words are spoken by a voice of the device itself, or not at all. "
            "A browser lets nothing sound before the page was touched once."
        ),
        "cue_voice": words("Say the pull, the rest and the verdict"),
        "cue_ticks": words("Ticks that climb on the way to the goal"),
        "cue_reached": words("Reached: short, short"),
        "cue_over": words("Too much: long, long, long"),
        "cue_slip": words("Slipped: a tremble that ends long"),
        "cue_felt": words("Feel the signals (vibration)"),
        "cue_felt_ticks": words("Feel the way to the goal (vibration)"),
        "cue_screen": words("Keep the screen on"),
        "cue_panel": words("Stop in a bright panel"),
        "cue_not_here": words("Not on this device, or not in this browser."),
        "try_it": words("Try"),
        "left_mark": words("{number} left"),
        "stop_word": words("stop"),
        "woken": words("Touch once to go on. This touch does nothing else."),
        "touch_anew": words("No values come. Touch to listen anew; this touch does nothing else."),
        "live_stroke": words("1 stroke"),
        "live_strokes": words("{number} strokes"),
    }
)
"""Filled on the device: plain ``{name}`` fields only."""
