"""Friction with an invented paste: an example, not for use at work."""
