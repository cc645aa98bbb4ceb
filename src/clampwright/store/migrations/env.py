"""What alembic runs to apply the steps, on the connection it is handed."""

from alembic import context

from clampwright.store.schema import METADATA


def run() -> None:
    """Apply the steps that are still missing, inside the transaction that is already open."""
    context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA)
    with context.begin_transaction():
        context.run_migrations()


if __name__ == "env_py":  # the name alembic loads this file under
    run()
