"""What trains and sites were called before they were renamed.

Revision 0005. The names that parts had stand in their revisions.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

INSTANT = sa.DateTime(timezone=True).with_variant(sa.String(27), "sqlite")


def upgrade() -> None:
    op.create_table(
        "former_name",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("train_id", sa.Integer, nullable=True),
        sa.Column("site_id", sa.Integer, nullable=True),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("until_utc", INSTANT, nullable=False),
        sa.CheckConstraint(
            "(train_id IS NULL) <> (site_id IS NULL)", name=op.f("ck_former_name_of_one")
        ),
        sa.ForeignKeyConstraint(
            ["train_id"], ["train.id"], name=op.f("fk_former_name_train_id_train")
        ),
        sa.ForeignKeyConstraint(["site_id"], ["site.id"], name=op.f("fk_former_name_site_id_site")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_former_name")),
    )
