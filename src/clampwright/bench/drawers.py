"""The drawer of a workshop as it is today: its file, and what happened to the tools since."""

from __future__ import annotations

from clampwright.bench.folder import Workshop, read_bytes
from clampwright.drawer.files import load_drawer
from clampwright.drawer.tools import Drawer


def drawer_of(place: Workshop) -> Drawer:
    """Return the drawer of a workshop.

    Parameters
    ----------
    place : Workshop

    Returns
    -------
    Drawer

    Raises
    ------
    BadFile
        When its file cannot be taken.
    """
    return load_drawer(read_bytes(place.drawer), str(place.drawer))
