"""The database's schema, brought to the newest by its migrations."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import (
    Connection,
    Engine,
)

from mealplan.errors import StoreError


def migration_config(connection: Connection | None = None) -> Config:
    """
    Point Alembic at the migrations that ship with the package.

    Parameters
    ----------
    connection : Connection, optional
        Open connection to migrate.

    Returns
    -------
    Config
    """
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    return config


def migrate(engine: Engine, revision: str = "head") -> None:
    """
    Bring a database to a schema revision.

    Parameters
    ----------
    engine : Engine
    revision : str
        The newest when left out.

    Raises
    ------
    StoreError
        When the database was written by a newer release.
    """
    from alembic.util.exc import CommandError

    with engine.connect() as connection, connection.begin():
        try:
            command.upgrade(migration_config(connection), revision)
        except CommandError as error:
            raise StoreError(
                f"the database's schema is not one this release knows ({error}); it was written "
                "by a newer release: install that one, or restore a backup made with this one"
            ) from None
