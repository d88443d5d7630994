"""How a book is brought up to date: on the connection the program hands over.

The caller owns the transaction, holds the write lock, and has switched foreign keys off where
tables are rebuilt. There is no way back but the copy made before: no downgrades.
"""

from alembic import context

_attributes = context.config.attributes

context.configure(
    connection=_attributes["connection"],
    target_metadata=_attributes.get("target_metadata"),
    transactional_ddl=True,  # a migration that fails must leave nothing behind
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
