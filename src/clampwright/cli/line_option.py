"""``--lines``: the form of lines, from a TOML file or from one line of text."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from clampwright.cli.output import read_file

if TYPE_CHECKING:
    from clampwright.trace.line_form import LineForm


def line_form(text: str) -> LineForm:
    """Read the form of lines.

    Parameters
    ----------
    text : str
        Path of a TOML file, or the form itself.

    Returns
    -------
    LineForm

    Raises
    ------
    ClampwrightError
        When it cannot be read.
    """
    from clampwright.trace.line_form import form_from_text, form_from_toml

    if Path(text).suffix == ".toml":
        return form_from_toml(read_file(text), text)
    return form_from_text(text)
