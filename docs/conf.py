# ruff: noqa: INP001 - Sphinx reads this file by its path
"""Sphinx: the manual, built without network."""

from clampwright import __version__

project = "Clampwright"
author = "The Clampwright developers"
release = version = __version__
extensions = ["myst_parser", "sphinx.ext.autodoc", "numpydoc"]
html_theme = "alabaster"
html_theme_options = {"description": "From a written procedure to the intended clamp load"}
source_suffix = {".md": "markdown"}
exclude_patterns = ["pictures"]
autosummary_generate = False  # numpydoc loads it; no page of this manual uses it
myst_heading_anchors = 3
numpydoc_show_class_members = False
autodoc_typehints = "none"
nitpicky = False
