# ruff: noqa: INP001 - Sphinx reads this file by its path
"""Sphinx: the manual, built without network."""

from clampwright import __version__

project = "Clampwright"
author = "The Clampwright developers"
release = version = __version__
extensions = ["myst_parser", "sphinx.ext.autodoc", "numpydoc"]
html_theme = "alabaster"
html_theme_options = {
    "description": "From a written procedure to the intended clamp load",
    "page_width": "1100px",  # a line of the terminal fits
    "warn_bg": "#f4f4f4",
    "warn_border": "#444444",
}
templates_path = ["templates"]
html_sidebars = {"**": ["about.html", "versions.html", "searchfield.html", "navigation.html"]}
html_title = f"Clampwright {version}"
html_copy_source = False
pygments_style = "sphinx"  # what a command prints is dark enough for tired eyes
source_suffix = {".md": "markdown"}
exclude_patterns = ["pictures", "templates"]
autosummary_generate = False  # numpydoc loads it; no page of this manual uses it
myst_heading_anchors = 3
numpydoc_show_class_members = False
autodoc_typehints = "none"
nitpicky = False
