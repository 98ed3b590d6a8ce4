"""The database and the photos. Speaks records and plain dataclasses; rows never leave this package.

Modules by subject: `sync_store` (push), `pulling` (pull), `people` (plots, codes, devices), `blobs` (photos), `restore`
(epochs), `migrating`. Whoever adds a function: name it by the question it answers, and open the transaction
with `database.writing` or `database.reading`.
"""

from underboard.store.database import db, init_database
from underboard.store.migrating import migrate_to_head

__all__ = ["db", "init_database", "migrate_to_head"]
