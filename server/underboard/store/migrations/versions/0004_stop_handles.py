"""No stop link in clear: of the secret in each mail only the SHA-256 stays, as the handle of its address.

Links in mails that were sent before go on working, and new ones are made from the handle (`notify/stop_links.py`).
"""

from __future__ import annotations

import hashlib

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

_TARGET = sa.table("mail_target", sa.column("id", sa.Text()), sa.column("stop_token", sa.Text()))


def upgrade() -> None:
    connection = op.get_bind()
    if connection.dialect.name == "sqlite":
        # Wiped from the pages that the table leaves, too (sqlite.org/pragma.html#pragma_secure_delete).
        op.execute("PRAGMA secure_delete = ON")
    for id_, secret in connection.execute(sa.select(_TARGET.c.id, _TARGET.c.stop_token)).all():
        handle = hashlib.sha256(secret.encode()).hexdigest()
        connection.execute(sa.update(_TARGET).where(_TARGET.c.id == id_).values(stop_token=handle))
    with op.batch_alter_table("mail_target") as table:
        table.drop_constraint(op.f("uq_mail_target_stop_token"), type_="unique")
        table.alter_column("stop_token", new_column_name="stop_handle")
    with op.batch_alter_table("mail_target") as table:
        table.create_unique_constraint(op.f("uq_mail_target_stop_handle"), ["stop_handle"])
