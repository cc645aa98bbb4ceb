"""Choosing a wrench needs neither NumPy nor the file reader."""

from __future__ import annotations

import subprocess
import sys


def test_the_room_opens_without_heavy_modules() -> None:
    code = "import sys, clampwright.drawer; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "clampwright.drawer.choice" in loaded
    assert not loaded & {"numpy", "scipy", "pydantic", "sqlalchemy", "click", "rich"}
