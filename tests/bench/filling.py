"""Fill a database with records of others: straight into the tables, as pushes would have left them.

Ids are of UUID version 7 as phones make them, a record has its entry in the change log and in the ledger of
operations, and plots take turns, as they do when all of them record at once. The one index that is not in order of
time is made afterwards. The checks of the tables are off while this goes on: what is written holds by its making.
"""

from __future__ import annotations

import hashlib
import json
import random
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import psycopg

from tests.bench.rows_server import op

A_PLOT = 1_200
"""Records of another plot: a year of two rounds a week on 12 boards."""
AT = "2026-05-03T05:20:00+01:00"
BEGAN_MS, APART_MS = 1_640_995_200_000, 31_536
"""2022, and so far apart that ten million records take ten years."""
CHUNK = 100_000

COLUMNS = {
    "record": "id, plot_id, type, rev, seq, deleted, body, restored_rev, clock_suspect, open_conflicts,"
    " made_op, made_device, made_at",
    "change_apart": "record_id, rev, op_id, device_id, kind, set, prev, at",
    "op_result_apart": "op_id, plot_id, device_id, digest, status, rev",
}


def fill_postgres(url: str, rows: int) -> int:
    """Fill a migrated database; return its bytes on the disk."""
    plots = _plots(rows)
    with psycopg.connect(url, autocommit=True) as connection, connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        cursor.execute("SET maintenance_work_mem = '256MB'")
        cursor.execute("DROP INDEX ix_record_plot_id_seq")
        with cursor.copy("COPY sync_clock (plot_id, epoch, seq, gc_seq) FROM STDIN") as copy:
            copy.write("".join(f"{plot}\tepoch\t1000000\t0\n" for plot in plots))
        for first in range(0, rows, CHUNK):
            for table, made in _chunk(first, min(first + CHUNK, rows), plots).items():
                # Nothing in these rows needs to be escaped; a row at a time would take several times as long.
                with cursor.copy(f"COPY {table} ({COLUMNS[table]}) FROM STDIN") as copy:
                    copy.write("".join("\t".join(map(_text, row)) + "\n" for row in made))
        cursor.execute("CREATE UNIQUE INDEX ix_record_plot_id_seq ON record (plot_id, seq)")
        cursor.execute("VACUUM ANALYZE")
        cursor.execute("SELECT count(*), pg_database_size(current_database()) FROM record")
        counted, size = cursor.fetchone() or (0, 0)
    assert counted == rows, f"{counted} of {rows} were filled in: void"
    return int(size)


def _text(value: object) -> str:
    if value is None:
        return "\\N"
    return f"\\\\x{value.hex()}" if isinstance(value, bytes) else str(value)


def _plots(rows: int) -> list[str]:
    return [_id_of(n) for n in range(max(1, rows // A_PLOT))]


def fill_sqlite(file: Path, rows: int) -> int:
    """The same in a migrated SQLite file."""
    plots = _plots(rows)
    with closing(sqlite3.connect(file, isolation_level=None)) as connection:
        guards = connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name IN ('record', 'change_apart')"
        ).fetchall()
        for name, _ in guards:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("DROP INDEX ix_record_plot_id_seq")
        connection.execute("PRAGMA synchronous = OFF")
        connection.executemany(
            "INSERT INTO sync_clock (plot_id, epoch, seq, gc_seq) VALUES (?, 'epoch', 1000000, 0)",
            [(plot,) for plot in plots],
        )
        for first in range(0, rows, CHUNK):
            connection.execute("BEGIN")
            for table, made in _chunk(first, min(first + CHUNK, rows), plots).items():
                marks = ", ".join("?" * len(made[0]))
                names = COLUMNS[table].replace(" set,", ' "set",')
                connection.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks})", made)
            connection.execute("COMMIT")
        connection.execute("CREATE UNIQUE INDEX ix_record_plot_id_seq ON record (plot_id, seq)")
        for _, text in guards:
            connection.execute(text)
        connection.execute("ANALYZE")
        (counted,) = connection.execute("SELECT count(*) FROM record").fetchone()
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert counted == rows, f"{counted} of {rows} were filled in: void"
    return file.stat().st_size


def _chunk(first: int, end: int, plots: list[str]) -> dict[str, list[tuple[Any, ...]]]:
    """Rows of three tables, by table, each row in the order of its columns. Every tenth record was corrected once."""
    bodies = [json.dumps({**op(1, "epoch")["set"], "count": count}) for count in range(17)]
    made: dict[str, list[tuple[Any, ...]]] = {table: [] for table in COLUMNS}
    for n in range(first, end):
        id_, op_id = _id_of(n), _id_of(n)
        plot, body, device = plots[n % len(plots)], bodies[n % 17], plots[n % len(plots)]
        seq = n // len(plots) + 1
        if n % 10:
            made["record"].append((id_, plot, *_now(1, seq, body), op_id, device, AT))
            continue
        made["record"].append((id_, plot, *_now(2, seq, body), None, None, None))
        steps = ((op_id, body, "{}"), (_id_of(n), f'{{"count":{n % 17}}}', '{"count":4}'))
        for rev, (by, set_, prev) in enumerate(steps, 1):
            made["change_apart"].append((id_, rev, by, device, "put", set_, prev, AT))
            digest = hashlib.sha256(by.encode()).digest()
            made["op_result_apart"].append((by, plot, device, digest, "applied", rev))
    return made


def _now(rev: int, seq: int, body: str) -> tuple[Any, ...]:
    return "slug_count", rev, seq, False, body, 0, False, 0


def _id_of(n: int) -> str:
    moment, noise = f"{BEGAN_MS + n * APART_MS:012x}", f"{random.getrandbits(72):018x}"
    return f"{moment[:8]}-{moment[8:]}-7{noise[:3]}-8{noise[3:6]}-{noise[6:]}"
