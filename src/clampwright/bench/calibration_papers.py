"""Reports of calibrations that were performed here, as files."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.tools import Tool
from clampwright.errors import Refused
from clampwright.report.calibration_paper import calibration_pdf
from clampwright.words import words


def report_of(
    tool: Tool,
    record: CalibrationRecord,
    entry: Mapping[str, Any],
    workshop: str,
    *,
    invented: bool = False,
) -> bytes:
    """Return the report of a calibration as PDF.

    Raises
    ------
    Refused
        When it was entered from a certificate: then the certificate is the paper.
    """
    if not record.details:
        raise Refused(
            words("this calibration was not performed here; its certificate is the paper")
        )
    return calibration_pdf(tool, record, entry, workshop, invented=invented)


def write_report(
    path: Path,
    tool: Tool,
    record: CalibrationRecord,
    entry: Mapping[str, Any],
    workshop: str,
    *,
    invented: bool = False,
) -> None:
    """Write the report of a calibration as a file.

    Raises
    ------
    Refused
        When it cannot be written.
    """
    data = report_of(tool, record, entry, workshop, invented=invented)
    try:
        path.write_bytes(data)
    except OSError as error:
        raise Refused(
            words("{file} cannot be written: {problem}", file=str(path),
                  problem=str(error.strerror))
        ) from error  # fmt: skip
