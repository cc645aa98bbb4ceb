"""The steps, each with its number."""
