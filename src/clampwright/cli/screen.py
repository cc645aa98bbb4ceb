"""The terminal, set up once: no colour that carries meaning, width of the window."""

from __future__ import annotations

from functools import lru_cache

from rich.console import Console


@lru_cache(maxsize=1)
def console() -> Console:
    """Return the console all commands print to; text is only text, whatever stands in brackets."""
    return Console(highlight=False, soft_wrap=False, markup=False, emoji=False)
