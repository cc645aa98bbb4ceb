"""Kinds of columns that mean the same in both databases; tables and migrations take them here."""

from sqlalchemy import BigInteger, Integer, Text

WHOLE = BigInteger().with_variant(Integer(), "sqlite")
"""A whole number of 64 bits; a strict table of SQLite knows it as INTEGER only."""

TEXT = Text().with_variant(Text(collation="C"), "postgresql")
"""Text ordered by its bytes, whatever language the database server was set up for."""
