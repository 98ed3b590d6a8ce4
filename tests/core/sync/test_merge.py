"""The merge rule, one behaviour a test. Two people, A and B, saw the same record."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.sync.small_server import SmallServer, op
from underboard.core.sync.merge import Rules
from underboard.core.sync.terms import Change, State, Status

AT = "2026-03-29T06:40:00+01:00"
MADE = {"text": "five", "observed_at": AT}


@pytest.fixture
def server() -> SmallServer:
    made = SmallServer()
    made.push(op("o1", "r", MADE))
    return made


def statuses(server: SmallServer, *ops: object) -> list[Status]:
    return [result.status for result in server.push(*ops)]  # type: ignore[arg-type]


def test_edits_of_different_fields_merge(server: SmallServer) -> None:
    assert statuses(server, op("a", "r", {"text": "nine"}, base=1)) == ["applied"]
    assert statuses(server, op("b", "r", {"observer": "Bo"}, base=1)) == ["merged"]
    assert server.body("r") == {"text": "nine", "observed_at": AT, "observer": "Bo"}


def test_two_edits_of_one_field_are_both_kept(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1))
    (result,) = server.push(op("b", "r", {"text": "seven", "observer": "Bo"}, base=1))
    assert (result.status, result.rev, result.show) == ("conflict", 3, True)
    assert server.body("r") == {"text": "nine", "observed_at": AT}
    assert server.open("r") == {"b": {"text": "seven", "observer": "Bo"}}
    assert server.states["r"].conflicts["b"].why == "overlap"


def test_the_same_value_twice_is_no_clash(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1))
    assert statuses(server, op("b", "r", {"text": "nine"}, base=1)) == ["merged"]
    assert server.open("r") == {}


def test_own_earlier_operations_are_no_clash(server: SmallServer) -> None:
    server.push(op("a1", "r", {"text": "six"}, base=1))
    assert statuses(server, op("a2", "r", {"text": "seven"}, base=1, after=["a1"])) == ["applied"]


def test_lineage_and_not_the_device_tells_own_from_others(server: SmallServer) -> None:
    """A phone set up from another's backup shares its device id, and yet somebody else holds it."""
    server.push(op("a", "r", {"text": "six"}, base=1), device="cloned")
    (result,) = server.push(op("b", "r", {"text": "seven"}, base=1), device="cloned")
    assert result.status == "conflict"


def test_an_edit_does_not_bring_back_what_was_deleted(server: SmallServer) -> None:
    assert statuses(server, op("a", "r", kind="del", base=1)) == ["applied"]
    assert statuses(server, op("b", "r", {"text": "nine"}, base=1)) == ["conflict"]
    state = server.states["r"]
    assert state.deleted and state.conflicts["b"].why == "deleted"


def test_a_deletion_gives_way_to_an_edit(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1))
    (result,) = server.push(op("b", "r", kind="del", base=1))
    assert result.status == "conflict" and not server.states["r"].deleted
    assert server.states["r"].conflicts["b"].why == "delete-vs-edit"


def test_nothing_is_deleted_while_a_conflict_is_open(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1), op("b", "r", {"text": "seven"}, base=1))
    assert statuses(server, op("c", "r", kind="del", base=3)) == ["conflict"]
    server.push(op("d", "r", {"text": "eight"}, kind="resolve", base=4, conflicts=["b", "c"]))
    assert statuses(server, op("e", "r", kind="del", base=5)) == ["applied"]


def test_deleting_twice_or_what_never_was_is_fine(server: SmallServer) -> None:
    assert (
        statuses(server, op("a", "r", kind="del", base=1), op("b", "r", kind="del", base=1))
        == ["applied"] * 2
    )
    (result,) = server.push(op("c", "never", kind="del", base=3))
    assert (result.status, result.rev) == ("applied", 0)
    assert "never" not in server.states


def test_a_resolve_closes_what_it_names_and_nothing_newer(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1), op("b", "r", {"text": "seven"}, base=1))
    server.push(op("c", "r", {"text": "six"}, base=1))
    (result,) = server.push(op("d", "r", {"text": "eight"}, kind="resolve", base=3, conflicts=["b"]))
    assert result.status == "applied"
    assert server.open("r") == {"c": {"text": "six"}}
    assert server.body("r")["text"] == "eight"


def test_a_resolve_on_an_old_base_is_itself_a_conflict_and_closes_nothing(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1), op("b", "r", {"text": "seven"}, base=1))
    server.push(op("c", "r", {"text": "ten"}, base=3))
    assert statuses(server, op("d", "r", {"text": "eight"}, kind="resolve", base=3, conflicts=["b"])) == [
        "conflict"
    ]
    assert set(server.open("r")) == {"b", "d"}


def test_the_edit_of_a_deleted_record_can_be_let_go(server: SmallServer) -> None:
    server.push(op("a", "r", kind="del", base=1), op("b", "r", {"text": "nine"}, base=1))
    assert statuses(server, op("c", "r", {"text": "x"}, kind="resolve", base=3, conflicts=["b"])) == [
        "conflict"
    ]
    assert statuses(server, op("d", "r", kind="resolve", base=4, conflicts=["b", "c"])) == ["applied"]
    assert server.states["r"].deleted and server.open("r") == {}


def test_a_repeat_changes_nothing_even_after_somebody_elses_edit(server: SmallServer) -> None:
    mine = op("a", "r", {"text": "nine"}, base=1)
    server.push(mine)
    server.push(op("b", "r", {"text": "ten"}, base=2))
    before = server.snapshot()
    (result,) = server.push(mine)
    assert (result.status, result.rev, result.show) == ("duplicate", 2, True)
    assert server.snapshot() == before


def test_one_id_with_two_contents_is_told_and_kept_out(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "nine"}, base=1))
    (result,) = server.push(op("a", "r", {"text": "ten"}, base=1))
    assert (result.status, server.body("r")["text"]) == ("reused", "nine")


def test_one_id_twice_in_one_push_is_a_repeat(server: SmallServer) -> None:
    mine = op("a", "r", {"text": "nine"}, base=1)
    assert statuses(server, mine, mine, op("a", "r", {"text": "x"}, base=1)) == [
        "applied",
        "duplicate",
        "reused",
    ]


def test_after_a_restore_an_old_base_counts_up_to_what_was_restored(server: SmallServer) -> None:
    kept = server.snapshot()
    server.push(op("a", "r", {"text": "nine"}, base=1))
    server.restore(kept)
    server.push(op("b", "r", {"text": "six"}, base=1, base_epoch=server.epoch))  # is revision 2 once more
    (result,) = server.push(
        op("c", "r", {"text": "ten"}, base=2, base_epoch="e0")
    )  # saw the other revision 2
    assert result.status == "conflict"


def test_what_was_seen_on_another_backup_counts_for_nothing_on_this_one(server: SmallServer) -> None:
    older = server.snapshot()
    server.push(op("a", "r", {"text": "nine"}, base=1), device="away")
    newer = server.snapshot()
    server.restore(older)  # the wrong one: "nine" is not in it, and its phone is away
    wrong = server.epoch
    server.push(op("b", "r", {"note": "wet"}, base=1, base_epoch=wrong))
    server.restore(newer)
    assert server.body("r")["text"] == "nine"
    # Revision 2 was "wet" where this was typed, and is "nine" here.
    (result,) = server.push(op("c", "r", {"text": "ten"}, base=2, base_epoch=wrong))
    assert result.status == "conflict"
    assert server.body("r")["text"] == "nine" and server.open("r") == {"c": {"text": "ten"}}


def test_of_the_history_before_the_last_but_one_nothing_is_trusted(server: SmallServer) -> None:
    server.push(op("a", "r", {"text": "six"}, base=1))
    first = server.snapshot()
    server.push(op("b", "r", {"text": "seven"}, base=2))  # revision 3 for one who is away since
    server.restore(first)
    server.push(op("c", "r", {"text": "eight"}, base=2, base_epoch=server.epoch))  # revision 3 once more
    server.restore(server.snapshot())
    (result,) = server.push(op("d", "r", {"text": "ten"}, base=3, base_epoch="e0"))
    assert (result.status, server.body("r")["text"]) == ("conflict", "eight")


def test_a_base_that_was_never_reached_overwrites_nothing(server: SmallServer) -> None:
    assert statuses(server, op("b", "r", {"text": "ten"}, base=99)) == ["conflict"]
    assert server.body("r")["text"] == "five"


def test_an_edit_and_a_settled_conflict_come_back_to_a_server_that_lost_the_record() -> None:
    server = SmallServer(epoch="e1")
    assert statuses(server, op("b", "r", {"text": "ten"}, base=4, type_=None)) == ["applied"]
    assert server.states["r"].type == ""
    assert statuses(server, op("a", "r", MADE)) == ["conflict"]  # the one that made it, from the other phone
    assert server.states["r"].type == "note"
    assert server.body("r") == {"text": "ten"} and server.open("r") == {"a": MADE}
    assert statuses(server, op("c", "s", {"text": "x"}, kind="resolve", base=4, conflicts=["q"])) == [
        "applied"
    ]
    assert server.body("s") == {"text": "x"}
    assert statuses(server, op("d", "t", kind="resolve", base=4, conflicts=["q"])) == ["applied"]
    assert "t" not in server.states


NAMES = ("text", "observer", "note", "x1", "x2")
EDIT = st.dictionaries(st.sampled_from(NAMES), st.text("ab", min_size=1, max_size=2), min_size=1)


@given(st.lists(st.sampled_from(NAMES), unique=True, min_size=2), st.data())
@settings(max_examples=150, deadline=None)
def test_edits_of_disjoint_fields_give_the_same_body_in_any_order(
    names: list[str], data: st.DataObject
) -> None:
    edits = [op(f"o{name}", "r", {name: f"new {name}"}, base=1) for name in names]
    bodies = []
    for order in (edits, data.draw(st.permutations(edits))):
        server = SmallServer()
        server.push(op("o1", "r", MADE))
        assert all(result.status in ("applied", "merged") for result in server.push(*order))
        bodies.append(server.body("r"))
    assert bodies[0] == bodies[1] == {**MADE, **{name: f"new {name}" for name in names}}


@given(
    st.lists(
        st.tuples(EDIT, st.integers(0, 12), st.sampled_from(["put", "put", "del", "resolve"])), max_size=12
    )
)
@settings(max_examples=200, deadline=None)
def test_whatever_comes_is_kept_somewhere_and_revisions_only_rise(
    steps: list[tuple[dict[str, str], int, str]],
) -> None:
    server = SmallServer()
    server.push(op("o", "r", MADE))
    revision, sequence = 1, 1
    for n, (set_, base, kind) in enumerate(steps):
        fields = {} if kind == "del" else set_
        named = list(server.states["r"].conflicts)[:1] if kind == "resolve" else []
        (result,) = server.push(op(f"o{n}", "r", fields, kind=kind, base=base, conflicts=named))
        state = server.states["r"]
        assert result.status in ("applied", "merged", "conflict")
        assert (state.rev, state.seq) == (revision + 1, sequence + 1)
        revision, sequence = state.rev, state.seq
        if result.status == "conflict":
            assert state.conflicts[f"o{n}"].set == fields
        elif kind != "del":
            assert {key: state.body[key] for key in fields} == fields
    assert [kept for *_, kept in server.committed][1:] == [{} if k == "del" else s for s, _, k in steps]


class Stumbles(Rules):
    """Runs into a mistake at one record."""

    def apply(self, op: object, state: State, log: object, epoch: str, device_id: str) -> object:  # type: ignore[override]
        if state.id == "poison":
            raise RuntimeError("a mistake of ours")
        return super().apply(op, state, log, epoch, device_id)  # type: ignore[arg-type]


def test_an_operation_that_runs_into_a_mistake_is_answered_alone() -> None:
    server = SmallServer(rules=Stumbles())
    server.push(op("o1", "poison", MADE), op("o2", "r", MADE))
    before = server.snapshot()[1]["poison"]
    plan = server.plan(
        op("a", "r", {"text": "1"}, base=1), op("b", "poison", {"text": "2"}, base=1), op("c", "s", MADE)
    )
    assert [result.status for result in plan.results] == ["applied", "retry", "applied"]
    assert plan.results[1].problem is not None and plan.results[1].problem["status"] == 500
    assert server.states["poison"] == before
    assert "b" not in server.ledger
    assert [name for name, _ in plan.faults] == ["b"]


def test_values_that_are_not_allowed_are_refused_alone_and_leave_no_trace(server: SmallServer) -> None:
    refused = op("b", "r", {"text": 5}, base=1)
    assert statuses(server, op("a", "s", MADE), refused, op("c", "t", {"text": "x"})) == [
        "applied", "rejected", "rejected",
    ]  # fmt: skip
    assert "b" not in server.ledger and server.states["r"].rev == 1
    (result,) = server.push(refused)
    assert result.problem is not None
    assert result.problem["errors"] == [{"pointer": "/set/text", "detail": "text"}]


@pytest.mark.parametrize(
    ("bad", "pointer"),
    [
        (op("b", "r", {"count": 5}, base=1, type_="slug_count"), "/type"),
        (op("b", "new", {"text": "x"}, type_=None), "/type"),
        (op("b", "r", {}, base=1), "/set"),
        (op("b", "w", {"rule": "frost"}, type_="warning"), "/type"),
        (op("b", "theirs", MADE), "/id"),
        (op("b", "theirs", kind="del", base=1), "/id"),
    ],
)
def test_what_will_never_work_says_where(server: SmallServer, bad: object, pointer: str) -> None:
    (result,) = server.push(bad, elsewhere=frozenset({"theirs"}))  # type: ignore[arg-type]
    assert result.status == "rejected" and result.problem is not None
    assert [error["pointer"] for error in result.problem["errors"]] == [pointer]


def test_an_edit_of_a_record_whose_deletion_is_long_forgotten_is_kept_as_a_conflict() -> None:
    server = SmallServer()
    server.states["r"] = State("r", "", 7, 0, True, {})
    server.logs["r"] = [Change("old", 7, "phone", "del", frozenset())]
    purged = frozenset({"r"})
    (result,) = server.push(op("a", "r", kind="del", base=3), purged=purged)
    assert (result.status, result.rev) == ("applied", 0)
    plan = server.plan(op("b", "r", {"text": "nine"}, base=3), purged=purged)
    assert plan.results[0].status == "conflict" and plan.created == {"r"}
    assert server.states["r"].deleted and server.open("r") == {"b": {"text": "nine"}}
