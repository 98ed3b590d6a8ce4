"""Planted bugs of the server: each puts one wrong rule in the place of a right one."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, delete, select, update

from underboard.core.sync.merge import Rules
from underboard.core.sync.plan import Known
from underboard.core.sync.terms import Change, Op, State
from underboard.store import sync_store
from underboard.store.applying import set_apart
from underboard.store.tables import ConflictRow, OpResultApart, RecordRow


class LastWriteWins(Rules):
    """An edit replaces whatever others did meanwhile."""

    def overlap(self, op: Op, state: State, changed: frozenset[str]) -> bool:
        return False


class Resurrecting(Rules):
    """An edit of a deleted record is swallowed without a word."""

    def is_gone(self, state: State) -> bool:
        return False


class BringingBack(Rules):
    """An edit of a deleted record brings it back."""

    def is_gone(self, state: State) -> bool:
        state.deleted = False
        return False


class ByDevice(Rules):
    """Own operations are told by the device, so those of a cloned phone count as own."""

    def others(self, op: Op, log: Sequence[Change], base: int, device_id: str) -> list[Change]:
        return [change for change in log if change.rev > base and change.device_id != device_id]


Gather = Callable[[Connection, str, str, int, Sequence[Op]], Known]


def without_hash(gather: Gather) -> Gather:
    """Make every operation with a known id a duplicate, whatever it says."""

    def gathering(connection: Connection, plot: str, epoch: str, seq: int, ops: Sequence[Op]) -> Known:
        known = gather(connection, plot, epoch, seq, ops)
        sent = {op.op_id: op.digest for op in ops}
        known.ledger = {
            op_id: dataclasses.replace(entry, digest=sent[op_id]) for op_id, entry in known.ledger.items()
        }
        return known

    return gathering


def without_ledger(gather: Gather) -> Gather:
    """Forget which operations were applied."""

    def gathering(connection: Connection, plot: str, epoch: str, seq: int, ops: Sequence[Op]) -> Known:
        ids = [op.op_id for op in ops]
        made = list(connection.scalars(select(RecordRow.id).where(RecordRow.made_op.in_(ids))))
        set_apart(connection, made)
        connection.execute(update(RecordRow).where(RecordRow.id.in_(made)).values(made_op=None))
        connection.execute(delete(OpResultApart).where(OpResultApart.op_id.in_(ids)))
        connection.execute(delete(ConflictRow).where(ConflictRow.id.in_(ids)))
        return gather(connection, plot, epoch, seq, ops)

    return gathering


RULES: dict[str, type[Rules]] = {
    "lww": LastWriteWins, "resurrect": Resurrecting, "bring_back": BringingBack, "by_device": ByDevice,
}  # fmt: skip
GATHERING: dict[str, Callable[[Gather], Gather]] = {"no_hash": without_hash, "no_idem": without_ledger}
SERVER_BUGS = (*RULES, *GATHERING)


@contextmanager
def planted(bug: str) -> Iterator[None]:
    """Put the wrong rule named `bug` into the store; a bug of the client (or none) changes nothing here."""
    store: Any = sync_store
    before = (store.STANDARD.rules, store.gather)
    if bug in RULES:
        store.STANDARD.rules = RULES[bug]()
    if bug in GATHERING:
        store.gather = GATHERING[bug](store.gather)
    try:
        yield
    finally:
        store.STANDARD.rules, store.gather = before
