"""The merge rule for one operation, field by field. Pure.

Each rule that the safety of a count hangs on is a method of its own, so that tests can plant a known bug in
one of them and see that it is caught.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.sync.epochs import stands_on
from underboard.core.sync.terms import Change, Conflict, Ledger, Op, State, Status


@dataclass(frozen=True, slots=True)
class Merged:
    """What one operation does to one record; the record itself is changed in place by `Rules.apply`."""

    status: Status
    fields: frozenset[str]
    log_kind: str
    prev: dict[str, object]
    conflict: Conflict | None = None
    closed: tuple[str, ...] = ()


class Rules:
    """The rules as they hold."""

    def repeat(self, op: Op, seen: Ledger | None) -> Status | None:
        """Say what an operation is whose id has been here before; None when it is new.

        The same id with other content comes from a phone that was set up from another one's backup: it must
        give its operation a new id, or one of the two would be lost.
        """
        if seen is None:
            return None
        return "duplicate" if seen.digest == op.digest else "reused"

    def base_of(self, op: Op, state: State, epoch: str) -> int:
        """Return the revision the person saw, as far as this server still knows it.

        After a restore, revisions above the restored one were given out anew, so an old base counts at most
        up to the one that was restored. A base that this epoch never reached is no better than an old one. One of
        a history that this epoch does not stand on says nothing: its revisions may have been other ones from the
        first.
        """
        if op.base_epoch is not None and op.base_epoch != epoch and not stands_on(epoch, op.base_epoch):
            return 0
        if (op.base_epoch is not None and op.base_epoch != epoch) or op.base_rev > state.rev:
            return min(op.base_rev, state.restored_rev)
        return op.base_rev

    def others(self, op: Op, log: Sequence[Change], base: int, device_id: str) -> list[Change]:
        """Return what somebody else did since the base.

        "Somebody else" is told by lineage and not by device: a phone that was set up from another one's
        backup has the same device id and the same outbox.
        """
        return [change for change in log if change.rev > base and change.op_id not in op.after]

    def overlap(self, op: Op, state: State, changed: frozenset[str]) -> bool:
        """Say whether a field of the operation was changed by others to another value."""
        return any(name in changed and state.body.get(name) != value for name, value in op.set.items())

    def is_gone(self, state: State) -> bool:
        """Say whether an edit comes too late. A deleted record is not brought back by an edit."""
        return state.deleted

    def apply(self, op: Op, state: State, log: Sequence[Change], epoch: str, device_id: str) -> Merged:
        """Apply `op` to `state` (changed in place: body, deleted, conflicts) and say what happened.

        Parameters
        ----------
        log
            The record's changes above the base of the operation, at least.
        """
        others = self.others(op, log, self.base_of(op, state, epoch), device_id)
        changed = frozenset().union(*(change.fields for change in others)) if others else frozenset()
        if op.kind == "put":
            return self._put(op, state, others, changed, device_id)
        if op.kind == "resolve":
            return self._resolve(op, state, changed, device_id)
        return self._delete(op, state, changed, device_id)

    def _put(
        self, op: Op, state: State, others: list[Change], changed: frozenset[str], device_id: str
    ) -> Merged:
        if self.is_gone(state):
            return _keep(op, state, Conflict(op.op_id, device_id, "deleted", op.base_rev, op.set))
        if self.overlap(op, state, changed):
            return _keep(op, state, Conflict(op.op_id, device_id, "overlap", op.base_rev, op.set))
        return _write(op, state, "merged" if others else "applied")

    def _resolve(self, op: Op, state: State, changed: frozenset[str], device_id: str) -> Merged:
        if op.set and self.is_gone(state):
            return _keep(op, state, Conflict(op.op_id, device_id, "deleted", op.base_rev, op.set))
        if self.overlap(op, state, changed):
            return _keep(op, state, Conflict(op.op_id, device_id, "overlap", op.base_rev, op.set))
        # Only what it names: a conflict that came later has not been seen by the person who settled these.
        closed = tuple(name for name in op.conflicts if state.conflicts.pop(name, None))
        written = _write(op, state, "applied")
        return Merged("applied", written.fields, "resolve", written.prev, closed=closed)

    def _delete(self, op: Op, state: State, changed: frozenset[str], device_id: str) -> Merged:
        if state.deleted and not state.conflicts:
            return Merged("applied", frozenset(), "del", {})
        if changed or state.conflicts:
            return _keep(op, state, Conflict(op.op_id, device_id, "delete-vs-edit", op.base_rev, {}))
        state.deleted = True
        return Merged("applied", frozenset(), "del", dict(state.body))


def _keep(op: Op, state: State, conflict: Conflict) -> Merged:
    """Keep the whole operation beside the record: a person's one act stays one act."""
    state.conflicts[op.op_id] = conflict
    return Merged("conflict", frozenset(), "conflict", {}, conflict=conflict)


def _write(op: Op, state: State, status: Status) -> Merged:
    prev = {name: state.body.get(name) for name in op.set}
    state.body.update(op.set)
    return Merged(status, frozenset(op.set), "put", prev)
