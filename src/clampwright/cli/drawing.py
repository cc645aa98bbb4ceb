"""Charts and papers that a command writes beside its answer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from clampwright.cli.output import text_of
from clampwright.errors import ClampwrightError


def check_target(path: Path) -> None:
    """Refuse a file name that is not that of a drawing, before anything is computed.

    Parameters
    ----------
    path : pathlib.Path

    Raises
    ------
    ClampwrightError
        When it does not end in ``.svg``.
    """
    from clampwright.words import words

    if path.suffix.lower() != ".svg":
        raise ClampwrightError(
            words("{file}: a chart is written as SVG; end its name in .svg", file=str(path))
        )


def write_chart(path: Path, spec: dict[str, Any]) -> str:
    """Draw a chart and write it.

    Parameters
    ----------
    path : pathlib.Path
    spec : dict
        Vega-Lite specification.

    Returns
    -------
    str
        A line that says where it is.

    Raises
    ------
    ClampwrightError
        When it cannot be written.
    """
    from clampwright.report.charts import chart_svg

    return write_drawing(path, chart_svg(spec))


def check_paper(path: Path) -> None:
    """Refuse a file name that is not that of a paper, before anything is computed.

    Parameters
    ----------
    path : pathlib.Path

    Raises
    ------
    ClampwrightError
        When it does not end in ``.pdf``.
    """
    from clampwright.words import words

    if path.suffix.lower() != ".pdf":
        raise ClampwrightError(
            words("{file}: a paper is written as PDF; end its name in .pdf", file=str(path))
        )


def write_paper(path: Path, pdf: bytes) -> str:
    """Write a finished paper.

    Parameters
    ----------
    path : pathlib.Path
    pdf : bytes

    Returns
    -------
    str
        A line that says where it is.

    Raises
    ------
    ClampwrightError
        When it cannot be written.
    """
    from clampwright.words import words

    _write(path, pdf)
    return text_of(words("Paper written: {file}", file=str(path)))


def write_drawing(path: Path, svg: str) -> str:
    """Write a finished drawing.

    Parameters
    ----------
    path : pathlib.Path
    svg : str

    Returns
    -------
    str
        A line that says where it is.

    Raises
    ------
    ClampwrightError
        When it cannot be written.
    """
    from clampwright.words import words

    _write(path, svg.encode("utf-8"))
    return text_of(words("Chart written: {file}", file=str(path)))


def _write(path: Path, data: bytes) -> None:
    from clampwright.words import words

    try:
        path.write_bytes(data)
    except OSError as error:
        raise ClampwrightError(
            words(
                "{file} cannot be written: {problem}",
                file=str(path),
                problem=str(error.strerror),
            )
        ) from error
