"""What Alembic runs for every upgrade: the connection comes from the store, there is no alembic.ini."""

from alembic import context

from analysis.store.metadata import metadata
from analysis.store.version import VERSION_TABLE

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=VERSION_TABLE,
)
with context.begin_transaction():  # the store's own transaction, already begun
    context.run_migrations()
