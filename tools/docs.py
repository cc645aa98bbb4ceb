"""Build the manual of this version beside those of others, and a page that lists them.

Without network. Each version has its own folder: ``build/docs/0.1.0`` and so on. What already lies
there stays and is listed: copy the manuals of earlier releases in before building the next.
"""

from __future__ import annotations

import html
import re
import subprocess
import sys
from pathlib import Path

from clampwright import __version__

ROOT = Path(__file__).parents[1]
VERSION = re.compile(r"\d+(\.\d+)*([a-z]+\d*)?")
PAGE = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Clampwright: versions of the manual</title>
<style>
body {{ font: 1.125rem/1.6 sans-serif; max-width: 40rem; margin: 2rem auto; padding: 0 1rem }}
</style>
</head>
<body>
<h1>Clampwright: versions of the manual</h1>
<p>Read the one of the version you run: <code>clampwright --version</code> tells it.</p>
<ul>
{rows}
</ul>
</body>
</html>
"""


def versions(folder: Path) -> list[str]:
    """Return the versions that lie in a folder, the newest first.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    list of str

    Examples
    --------
    >>> sorted(["0.9.0", "0.10.0"], key=order)
    ['0.9.0', '0.10.0']
    """
    found = [one.parent.name for one in folder.glob("*/index.html")]
    return sorted((one for one in found if VERSION.fullmatch(one)), key=order, reverse=True)


def order(version: str) -> tuple[tuple[int, ...], bool, str]:
    """Return what versions are put in order by: numbers as numbers, a trial before its release."""
    numbers, trial = re.match(r"([\d.]+)(.*)", version).groups()  # type: ignore[union-attr]  # VERSION
    return tuple(int(one) for one in numbers.split(".")), not trial, trial


def index(folder: Path) -> str:
    """Return the page that lists the versions.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    str
    """
    rows = [
        f'<li><a href="{one}/index.html">{html.escape(one)}</a></li>' for one in versions(folder)
    ]
    return PAGE.format(rows="\n".join(rows))


def main() -> int:
    """Build, and write the page; the folder can be given."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "build" / "docs"
    command = [sys.executable, "-m", "sphinx", "-W", "--keep-going", "-q", "-b", "html"]
    done = subprocess.run([*command, "docs", str(folder / __version__)], cwd=ROOT, check=False)  # noqa: S603 - the manual's own builder
    if done.returncode == 0:
        (folder / "index.html").write_text(index(folder), encoding="utf-8")
    return done.returncode


if __name__ == "__main__":
    sys.exit(main())
