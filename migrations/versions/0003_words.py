"""Every word ever logged, to be searched: an index that is made from the entries and can be remade.

Revision 0003. Only SQLite has it; another database brings its own search.
"""

from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_OBJECT = "(SELECT name FROM target WHERE target.id = {entry}.target_id)"
_INTO = "INSERT INTO entry_words (rowid, words, object)"


def upgrade() -> None:
    if op.get_bind().dialect.name != "sqlite":
        return
    # Without content of its own: the words stand in the entries. Accents don't matter.
    op.execute(
        "CREATE VIRTUAL TABLE entry_words USING fts5("
        "words, object, content='', prefix='2 3', tokenize='unicode61 remove_diacritics 2')"
    )
    op.execute(f"{_INTO} SELECT id, text, {_OBJECT.format(entry='entry')} FROM entry")
    op.execute(
        "CREATE TRIGGER entry_words_follow AFTER INSERT ON entry BEGIN "
        f"{_INTO} VALUES (NEW.id, NEW.text, {_OBJECT.format(entry='NEW')}); END"
    )
