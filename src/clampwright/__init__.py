"""Clampwright: from a written tightening procedure to the clamp load its maker intended.

The package is light to import; rooms are imported where they are used. The map of the house
stands in ``docs/design.md``.
"""

from clampwright.errors import (
    Ambiguous,
    BadFile,
    ClampwrightError,
    Missing,
    OutOfRange,
    Refused,
    StoreBusy,
    StoreFailed,
    StoreFull,
)

__all__ = [
    "Ambiguous",
    "BadFile",
    "ClampwrightError",
    "Missing",
    "OutOfRange",
    "Refused",
    "StoreBusy",
    "StoreFailed",
    "StoreFull",
    "__version__",
]

__version__ = "0.1.0"
