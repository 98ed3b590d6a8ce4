"""What the store knows about the operations of a push, and records in the form phones get them."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Sequence
from typing import Any, cast

from sqlalchemy import Connection, bindparam, func, select

from underboard.core.sync.merge import Rules
from underboard.core.sync.plan import Known
from underboard.core.sync.terms import Change, Conflict, Ledger, Op, State, Status, digest_of
from underboard.store.among import among_named
from underboard.store.driving import is_sqlite
from underboard.store.prepared import Prepared
from underboard.store.tables import ChangeApart, ConflictRow, DeviceRow, OpResultApart, RecordRow, SyncClock

_RULES = Rules()


def gather(connection: Connection, plot_id: str, epoch: str, seq: int, ops: Sequence[Op]) -> Known:
    """Look up operations seen before and records touched; the rest only where needed."""
    ledger = ledger_of(connection, plot_id, [op.op_id for op in ops])
    ids = {op.id for op in ops}
    states: dict[str, State] = {}
    made: dict[str, Change] = {}
    elsewhere, disputed = set(), []
    unseen = {op.id for op in ops if not op.base_rev}
    (met,) = _may_be_there(connection, unseen, _ANY_STATE)
    asked = ids if met else ids - unseen
    for id_, of_plot, *state, open_conflicts, made_op, made_device in (
        _STATES.ask(connection, ids=asked) if asked else ()
    ):
        if of_plot != plot_id:
            elsewhere.add(id_)
            continue
        states[id_] = found = _state(id_, *state)
        if made_op is not None:
            made[id_] = Change(made_op, 1, made_device, "put", found.body.keys())
        if open_conflicts:
            disputed.append(id_)
    _open_conflicts(connection, disputed, states)
    logs = _logs(connection, states, made, epoch, ops)
    purged = _purged(connection, plot_id, ids - states.keys() - elsewhere)
    for record_id, rev in purged.items():
        # Its row is forgotten, its log is not: an edit that comes now meets a deletion and not a blank.
        states[record_id] = State(record_id, "", rev, 0, True, {}, restored_rev=rev)
    return Known(epoch, seq, ledger, states, logs, frozenset(elsewhere), frozenset(purged))


def _may_be_there(connection: Connection, ids: Collection[str], *between: Prepared) -> list[bool]:
    """Say for each of these looks whether any of the ids may have a row.

    A phone's new ids begin with the time and lie close together: hardly ever is there anything between the lowest and
    the highest, which is one look instead of one for each. PostgreSQL has an order of texts of its own.
    """
    if not ids or not is_sqlite(connection):
        return [bool(ids)] * len(between)
    low, high = min(ids), max(ids)
    return [bool(look.ask(connection, low=low, high=high)) for look in between]


def ledger_of(connection: Connection, plot_id: str, op_ids: Collection[str]) -> dict[str, Ledger]:
    """Return what became of the operations of these ids that were here before."""
    # First with the records, then apart: entries only ever move that way, so none is missed between the two looks.
    # An operation id of another plot is as good as taken: another digest makes the phone choose a new one.
    ledger: dict[str, Ledger] = {}
    made, seen = _may_be_there(connection, op_ids, _ANY_MADE, _ANY_SEEN)
    if made:
        for op_id, of_plot, id_, body in _MADE.ask(connection, ids=op_ids):
            digest = digest_of("put", id_, body) if of_plot == plot_id else b""
            ledger[op_id] = Ledger(digest, "applied", 1)
    if seen:
        for op_id, of_plot, digest, status, rev in _SEEN.ask(connection, ids=op_ids):
            if of_plot == plot_id or op_id not in ledger:
                own = bytes(digest) if of_plot == plot_id else b""
                ledger[op_id] = Ledger(own, cast(Status, status), rev)
    return ledger


# Statements are built once: to build one takes longer than to run it on a plot of usual size.
_MADE = Prepared(
    select(RecordRow.made_op, RecordRow.plot_id, RecordRow.id, RecordRow.body).where(
        among_named(RecordRow.made_op, "ids")
    )
)
_ANY_MADE = Prepared(
    select(RecordRow.rev).where(RecordRow.made_op.between(bindparam("low"), bindparam("high"))).limit(1)
)
_SEEN = Prepared(
    select(
        OpResultApart.op_id, OpResultApart.plot_id, OpResultApart.digest, OpResultApart.status, OpResultApart.rev
    ).where(among_named(OpResultApart.op_id, "ids"))
)  # fmt: skip
_ANY_SEEN = Prepared(
    select(OpResultApart.rev).where(OpResultApart.op_id.between(bindparam("low"), bindparam("high"))).limit(1)
)
_ANY_STATE = Prepared(
    select(RecordRow.rev).where(RecordRow.id.between(bindparam("low"), bindparam("high"))).limit(1)
)
_STATES = Prepared(
    select(
        RecordRow.id, RecordRow.plot_id, RecordRow.type, RecordRow.rev, RecordRow.seq, RecordRow.deleted,
        RecordRow.body, RecordRow.restored_rev, RecordRow.clock_suspect, RecordRow.open_conflicts,
        RecordRow.made_op, RecordRow.made_device,
    ).where(among_named(RecordRow.id, "ids"))
)  # fmt: skip
_OPEN = Prepared(
    select(
        ConflictRow.record_id,
        ConflictRow.id,
        ConflictRow.device_id,
        ConflictRow.why,
        ConflictRow.base_rev,
        ConflictRow.set,
    ).where(among_named(ConflictRow.record_id, "ids"), ConflictRow.resolved_by.is_(None))
)
_LOGS = Prepared(
    select(
        ChangeApart.record_id, ChangeApart.op_id, ChangeApart.rev, ChangeApart.device_id, ChangeApart.kind,
        ChangeApart.set,
    )
    .where(among_named(ChangeApart.record_id, "ids"), ChangeApart.rev > bindparam("rev"))
    .order_by(ChangeApart.record_id, ChangeApart.rev)
)  # fmt: skip
_FORGOTTEN_TO = Prepared(select(SyncClock.gc_seq).where(SyncClock.plot_id == bindparam("plot")))
_FORGOTTEN = Prepared(
    select(ChangeApart.record_id, func.max(ChangeApart.rev))
    .join(OpResultApart, OpResultApart.op_id == ChangeApart.op_id)
    .where(among_named(ChangeApart.record_id, "ids"), OpResultApart.plot_id == bindparam("plot"))
    .group_by(ChangeApart.record_id)
)


def _state(
    id_: str, type_: str, rev: int, seq: int, deleted: Any, body: str, restored_rev: int, clock_suspect: Any
) -> State:
    return State(id_, type_, rev, seq, bool(deleted), json.loads(body), restored_rev, bool(clock_suspect))


def _open_conflicts(connection: Connection, disputed: list[str], states: dict[str, State]) -> None:
    if not disputed:
        return
    for record_id, id_, device_id, why, base_rev, set_ in _OPEN.ask(connection, ids=disputed):
        states[record_id].conflicts[id_] = Conflict(id_, device_id, why, base_rev, json.loads(set_))


def _logs(
    connection: Connection, states: dict[str, State], made: dict[str, Change], epoch: str, ops: Sequence[Op]
) -> dict[str, list[Change]]:
    """Return the changes above the base of each operation; most have none, and ask for nothing."""
    lowest: dict[str, int] = {}
    for op in ops:
        state = states.get(op.id)
        if state is None:
            continue
        base = op.base_rev
        if op.base_epoch not in (None, epoch) or base > state.rev:
            base = _RULES.base_of(op, state, epoch)
        if base < state.rev:
            lowest[op.id] = min(base, lowest.get(op.id, base))
    logs = {record_id: [made[record_id]] if record_id in made else [] for record_id in lowest}
    apart = {record_id: base for record_id, base in lowest.items() if record_id not in made}
    if not apart:
        return logs
    found = _LOGS.ask(connection, ids=apart, rev=min(apart.values()))
    for record_id, op_id, rev, device_id, kind, set_ in found:
        # A kept conflict changed nothing in the record, so it is nobody's overlap.
        fields = frozenset(json.loads(set_)) if kind in ("put", "resolve") else frozenset()
        logs[record_id].append(Change(op_id, rev, device_id, kind, fields))
    return logs


def _purged(connection: Connection, plot_id: str, unknown: Collection[str]) -> dict[str, int]:
    """Return, of ids that have no row, those whose old deletion was forgotten, with their last revision."""
    if not unknown:
        return {}
    if not _FORGOTTEN_TO.ask(connection, plot=plot_id)[0][0]:
        return {}
    return dict(_FORGOTTEN.ask(connection, ids=unknown, plot=plot_id))


WIRE = (
    RecordRow.id, RecordRow.type, RecordRow.rev, RecordRow.seq, RecordRow.deleted, RecordRow.body,
    RecordRow.clock_suspect, RecordRow.open_conflicts,
)  # fmt: skip
"""Columns to select for `wire_texts`."""

_SHOWN = Prepared(
    select(*WIRE).where(among_named(RecordRow.id, "ids"), RecordRow.plot_id == bindparam("plot"))
)
_KEPT = Prepared(
    select(
        ConflictRow.record_id, ConflictRow.id, ConflictRow.why, ConflictRow.base_rev, ConflictRow.set,
        DeviceRow.name.label("device"),
    )
    .join(DeviceRow, DeviceRow.id == ConflictRow.device_id, isouter=True)
    .where(among_named(ConflictRow.record_id, "ids"), ConflictRow.resolved_by.is_(None))
    .order_by(ConflictRow.id)
)  # fmt: skip


def show_records(connection: Connection, plot_id: str, ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    """Return records of the plot in wire form, by id."""
    wanted = list(dict.fromkeys(ids))
    if not wanted:
        return {}
    rows = _SHOWN.ask(connection, ids=wanted, plot=plot_id)
    shown = map(json.loads, wire_texts(connection, rows))
    return {record["id"]: record for record in shown}


def wire_texts(connection: Connection, rows: Sequence[Any]) -> list[str]:
    """Return rows of `WIRE` as pull sends them, each as JSON text: newest state, with the open conflicts.

    Bodies are stored as the text that goes out, so nothing is taken apart and put together again.
    """
    disputed = [row[0] for row in rows if row[-1]]
    conflicts = _conflicts_shown(connection, disputed) if disputed else {}
    texts = []
    for id_, type_, rev, seq, deleted, body, clock_suspect, open_conflicts in rows:
        kept = f"[{','.join(conflicts.get(id_, ()))}]" if open_conflicts else "[]"
        texts.append(
            f'{{"id":"{id_}","type":"{type_}","rev":{rev},"seq":{seq},"deleted":{"true" if deleted else "false"},'
            f'"conflicts":{kept}'
            + ("" if deleted and kept == "[]" else f',"body":{body}')
            + (',"clock_suspect":true}' if clock_suspect else "}")
        )
    return texts


def _conflicts_shown(connection: Connection, record_ids: list[str]) -> dict[str, list[str]]:
    shown: dict[str, list[str]] = {}
    for record_id, id_, why, base_rev, set_, device in _KEPT.ask(connection, ids=record_ids):
        text = (
            f'{{"id":"{id_}","device":{json.dumps(device)},"why":"{why}","base_rev":{base_rev},"set":{set_}}}'
        )
        shown.setdefault(record_id, []).append(text)
    return shown
