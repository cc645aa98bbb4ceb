"""Bring a store's tables to the newest version. The only place that loads alembic."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection

FOLDER = Path(__file__).parent / "migrations"


def configuration(connection: Connection | None = None) -> Config:
    """Return alembic's settings, made here because a store needs no settings file.

    Parameters
    ----------
    connection : Connection, optional
        The connection the steps are applied on.

    Returns
    -------
    alembic.config.Config
    """
    config = Config()
    # ConfigParser would read a percent sign in the path as the start of a field.
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def upgrade(connection: Connection, revision: str = "head") -> None:
    """Apply the missing steps inside the transaction that is open on a connection.

    Parameters
    ----------
    connection : Connection
    revision : str
        Version to stop at.
    """
    command.upgrade(configuration(connection), revision)
