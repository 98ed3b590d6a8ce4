"""9 of the ten nastiest: a phone was away for longer than deletions are remembered.

It comes back with edits on a record whose deletion was forgotten, on one whose deletion is still known, and on one
that was deleted and made anew under another id. Its cursor has expired: it pulls everything again and sweeps what is
gone. Nothing may rise from the dead, nothing that it was editing may be swept, and what its person typed stays
within reach.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tests.faults.hands import Hand, Hands, all_alike, new_id, stored
from underboard.store.forgetting import KEEP_DELETIONS, forget_deletions

AT = "2026-05-01T05:10:00+01:00"
LONG_AGO = ("purged", "purged, untouched", "made anew")
LATELY = ("deleted", "deleted, untouched")
NEVER = ("alive", "alive, untouched")


class Away:
    """A and B know seven notes; B goes away and edits four of them there. A goes on."""

    def __init__(self, hands: Hands) -> None:
        self.house = hands.house
        self.a, self.b = hands.meet(2)
        self.ids = {word: new_id() for word in (*LONG_AGO, *LATELY, *NEVER)}
        for word in self.ids:
            self.write(self.a, word, word)
        self.a.sync()
        self.b.sync()
        assert len(self.b.shown) == len(self.ids)

    def write(self, phone: Hand, word: str, text: str) -> None:
        phone.save(self.ids[word], "note", text=text, observed_at=AT)

    def delete(self, *words: str) -> None:
        for word in words:
            self.a.remove(self.ids[word])
        assert self.a.sync()["phase"] == "idle"

    def forget(self, now: datetime) -> int:
        with self.house.app.app_context():
            return forget_deletions(self.house.plot, now)

    def living(self) -> dict[str, str]:
        records = self.house.do_truth()["records"]
        return {record["id"]: record["body"]["text"] for record in records if not record["deleted"]}


def edits_of(phone: Hand) -> set[str]:
    return {op["set"]["text"] for op in phone.outbox}


def test_nothing_rises_nothing_is_swept_all_is_within_reach(home: Hands) -> None:
    away = Away(home)
    a, b, ids = away.a, away.b, away.ids
    edited = ("purged", "made anew", "deleted", "alive")
    for word in edited:
        away.write(b, word, f"{word}: seen from afar")
    away.delete(*LONG_AGO)
    # A brings one back, as the diary does: a record of its own under an id made from the old one.
    anew = new_id()
    a.save(anew, "note", text="made anew", observed_at=AT, returned_from=ids["made anew"])
    a.sync()
    # All that was deleted so far is older than 400 days when the server tidies up; what comes now is not.
    assert away.forget(datetime.now(UTC) + KEEP_DELETIONS + timedelta(days=1)) == len(LONG_AGO)
    away.delete(*LATELY)
    rows = {record["id"] for record in away.house.do_truth()["records"]}
    assert rows == {ids[word] for word in (*LATELY, *NEVER)} | {anew}

    # B's cursor is from before what was forgotten: it begins anew, and stops after the pull to look.
    whole_pulls = b.see()["standing"]["seen"]
    assert b.pull() == {}
    assert b.see()["standing"]["seen"] == whole_pulls + 1
    shown = {view["id"]: view["body"].get("text") for view in b.see()["views"] if not view["deleted"]}
    assert shown == {
        **{ids[word]: f"{word}: seen from afar" for word in edited},
        ids["alive, untouched"]: "alive, untouched",
        anew: "made anew",
    }
    assert edits_of(b) == {f"{word}: seen from afar" for word in edited}

    # What B typed arrives. Deleted stays deleted; its edits lie beside the deletions, for a person to decide.
    all_alike(away.house, [a, b])
    expected = {ids["alive"]: "alive: seen from afar", ids["alive, untouched"]: "alive, untouched"}
    assert away.living() == {**expected, anew: "made anew"}
    for word in ("purged", "made anew", "deleted"):
        for phone in (a, b):
            view = phone.view(ids[word])
            kept = [(one["why"], one["set"]["text"]) for one in view["conflicts"]]
            assert (view["deleted"], kept) == (True, [("deleted", f"{word}: seen from afar")]), (word, view)
    assert stored(away.house, "text") >= {f"{word}: seen from afar" for word in edited}

    # Decided: the conflict is closed and the record stays away; its words live on in a new one, on both phones.
    a.save(new_id(), "note", text="purged: seen from afar", observed_at=AT, returned_from=ids["purged"])
    a.resolve(ids["purged"])
    all_alike(away.house, [a, b])
    assert sorted(away.living().values()) == sorted(
        [*expected.values(), "made anew", "purged: seen from afar"]
    )
    assert ids["purged"] not in away.living()


def test_one_that_is_away_twice_is_swept_twice(home: Hands) -> None:
    """The sweep takes only what this whole pull did not bring, each time anew."""
    away = Away(home)
    first, second = LONG_AGO[0], LONG_AGO[1]
    for number, word in enumerate((first, second)):
        away.delete(word)
        away.forget(datetime.now(UTC) + KEEP_DELETIONS + timedelta(days=1))
        away.write(away.b, "alive", f"edit {number}")
        assert away.b.pull() == {}
        assert away.ids[word] not in away.b.shown
        assert len(away.b.shown) == len(away.ids) - 1 - number
        all_alike(away.house, [away.a, away.b])
    assert away.living()[away.ids["alive"]] == "edit 1"
