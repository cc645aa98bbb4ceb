"""The other process: limits itself, reads one payload, writes one result.

Started by `clampwright.report.child` only.
"""

from __future__ import annotations

import json
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
FONTS = HERE / "fonts"
TEMPLATES = frozenset(
    {
        "record.typ",
        "calibration.typ",
        "sheet.typ",
        "labels.typ",
        "passes.typ",
        "lesson.typ",
        "what_if.typ",
    }
)
"""What papers are set with."""
VEGA_LITE = "6.4"
"""Version of the chart language; another one could draw otherwise."""


def limit(seconds: int, megabytes: int) -> None:
    """Give away time, memory and the right to write files, where the system can.

    Parameters
    ----------
    seconds : int
        Of computing.
    megabytes : int
        Of data. Address space is not limited: the chart engine reserves far more than it uses.
    """
    if sys.platform == "win32":
        return
    import resource

    memory = megabytes << 20
    for what, most in (
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_DATA, memory),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        resource.setrlimit(what, (most, most))


def charts(specs: list[dict[str, Any]]) -> bytes:
    """Draw charts as SVG.

    Parameters
    ----------
    specs : list of dict
        Vega-Lite specifications.

    Returns
    -------
    bytes
        JSON list of SVG texts.
    """
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))
    drawn = [
        vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE, allowed_base_urls=[])
        for spec in specs
    ]
    return json.dumps(drawn, ensure_ascii=False).encode("utf-8")


def paper(payload: dict[str, Any]) -> bytes:
    """Set a paper as PDF.

    Parameters
    ----------
    payload : dict
        ``inputs`` (texts the template is given), ``time`` (RFC 3339, stands in the file), and
        ``template`` where it is not that of a record.

    Returns
    -------
    bytes
        PDF/A-3b.
    """
    import typst

    template = payload.get("template", "record.typ")
    if template not in TEMPLATES:
        raise RuntimeError("no such template")
    nowhere = str(HERE / "no-packages")
    fonts = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)]
    )
    compiler = typst.Compiler(
        str(HERE / template),
        root=str(HERE),
        font_paths=fonts,
        ignore_system_fonts=True,
        package_path=nowhere,
        package_cache_path=nowhere,
    )
    pdf, warnings = compiler.compile_with_warnings(
        format="pdf",
        sys_inputs=payload["inputs"],
        pdf_standards=["a-3b"],
        timestamp=datetime.fromisoformat(payload["time"]).replace(microsecond=0),
    )
    if warnings or not isinstance(pdf, bytes):
        raise RuntimeError("; ".join(warning.message for warning in warnings) or "no paper")
    return pdf


def main() -> None:
    """Do the task named on the command line."""
    task, seconds, megabytes = sys.argv[1:]
    limit(int(seconds), int(megabytes))
    payload = json.loads(sys.stdin.buffer.read())
    result = charts(payload) if task == "charts" else paper(payload)
    sys.stdout.buffer.write(result)


if __name__ == "__main__":
    main()
