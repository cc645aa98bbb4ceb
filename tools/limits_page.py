"""Writes the table of ``docs/reference/limits.md`` anew from ``intake.csv``."""

from __future__ import annotations

from pathlib import Path

from clampwright.intake import rows

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "limits.md"
HEAD = ("what", "of", "bytes", "lines", "width", "depth", "why")


def table() -> str:
    """Return the table as Markdown."""
    lines = [f"| {' | '.join(HEAD)} |", f"|{' --- |' * len(HEAD)}"]
    for row in rows().values():
        sizes = [str(one or "") for one in (row.bytes, row.lines, row.width, row.depth)]
        lines.append(f"| {' | '.join((row.reader, row.of, *sizes, row.why))} |")
    return "\n".join(lines)


def main() -> None:
    """Put the table in the place of the old one."""
    text = PAGE.read_text("utf-8")
    begin, end = text.index("| what |"), text.rindex("|") + 1
    PAGE.write_text(text[:begin] + table() + text[end:], "utf-8")


if __name__ == "__main__":
    main()
