"""The append-only log on disk and what is rebuilt from it."""
