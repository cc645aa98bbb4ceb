"""What packages cost where none is installed: a look at names, against the full machinery."""

from __future__ import annotations

import importlib.metadata

from clampwright.extensions import LANGUAGE, any_installed
from clampwright.procedure.reader import read
from conftest import Compare


def test_the_look_for_packages(compare: Compare) -> None:
    ratio = compare(
        "look for packages / entry_points of the standard library",
        any_installed.__wrapped__,
        lambda: importlib.metadata.entry_points(group=LANGUAGE),
        figure=0.6,
        rounds=25,
    )
    assert ratio > 0


def test_read_in_a_process_that_has_looked(compare: Compare) -> None:
    """What is added to each read after the first: one look into a cache."""
    read("Step 1: 30 Nm")
    ratio = compare(
        "the cached look / one short text read",
        any_installed,
        lambda: read("Step 1: 30 Nm"),
        figure=0.001,
        rounds=25,
    )
    assert ratio > 0
