"""Kept tests of tins in what is believed: of the hatches of that tin and no other, live as after a start."""

from collections.abc import Mapping
from pathlib import Path

from daemon.care.deed import Deed
from daemon.config import parse_station
from daemon.estimates.quantile import Estimate
from daemon.planning.lot_share import lot_share
from daemon.store import tins
from daemon.watching.beliefs import Beliefs
from tests.kit.desks import Desks, moment
from tests.kit.page_station import tray_text

BEGAN, NOON = moment(12, "08:00"), moment(12, "12:00")
KEEP = {"ask": "tin keep", "lot": "spring", "put": 200, "hatched": 40, "hours": 48, "water_c": 25.0}


def room(folder: Path) -> Desks:
    """Two cups set in the morning: one from the spring tin, one from another."""
    desks = Desks(parse_station(tray_text("cup", "jar"), "station.toml"), folder, BEGAN)
    with desks.store.transaction():
        for vessel, lot in (("cup", "spring"), ("jar", "red")):
            desks.care.record(Deed(BEGAN, vessel, "set", 0.05, {"lot": lot}), BEGAN)
    desks.live(NOON, lambda _at: 24.0)
    return desks


def asked(desks: Desks, **words: object) -> None:
    with desks.store.transaction():
        desks.requests.answer({**KEEP, **words}, NOON)


def share(desks: Desks, vessel: str) -> Estimate:
    return desks.beliefs.estimates(vessel, NOON)["hatchable_share"]


def read_anew(desks: Desks, vessel: str) -> Mapping[str, Estimate]:
    return Beliefs(desks.station, desks.store.connection, NOON).estimates(vessel, NOON)


def test_a_kept_test_moves_what_is_believed_of_its_tin_and_of_no_other(tmp_path: Path) -> None:
    desks = room(tmp_path)
    before, other = share(desks, "cup"), share(desks, "jar")
    asked(desks)
    after = share(desks, "cup")
    assert after.p90 < 0.4 < before.p50
    assert share(desks, "jar") == other
    desks.store.close()


def test_it_is_believed_alike_live_and_after_a_start_and_as_the_tins_are_listed(tmp_path: Path) -> None:
    desks = room(tmp_path)
    asked(desks)
    asked(desks, hatched=60)
    live = desks.beliefs.estimates("cup", NOON)
    assert live == read_anew(desks, "cup")
    hatches = tins.counted_hatches(desks.store.connection, desks.station, "spring", NOON)
    planned = lot_share(hatches, NOON)
    for ours, theirs in ((planned.p10, "p10"), (planned.p50, "p50"), (planned.p90, "p90")):
        assert abs(ours - getattr(live["hatchable_share"], theirs)) < 0.03
    desks.store.close()


def test_what_is_withdrawn_is_believed_no_more(tmp_path: Path) -> None:
    desks = room(tmp_path)
    before = desks.beliefs.estimates("cup", NOON)
    asked(desks)
    asked(desks, ask="tin withdraw", id=1)
    assert desks.beliefs.estimates("cup", NOON) == before == read_anew(desks, "cup")
    desks.store.close()


def test_two_tins_tested_at_one_moment_keep_apart(tmp_path: Path) -> None:
    desks = room(tmp_path)
    asked(desks)
    asked(desks, lot="red", hatched=190)
    assert share(desks, "cup").p90 < 0.4
    assert share(desks, "jar").p10 > 0.7
    desks.store.close()


def test_an_early_test_says_little_of_the_share(tmp_path: Path) -> None:
    desks = room(tmp_path)
    asked(desks, hours=15, water_c=20.0, hatched=2)
    assert share(desks, "cup").p90 > 0.9
    desks.store.close()


def test_one_in_which_more_hatched_than_can_have_says_nothing(tmp_path: Path) -> None:
    desks = room(tmp_path)
    before = desks.beliefs.estimates("cup", NOON)
    asked(desks, hours=30, water_c=12.0)
    assert desks.beliefs.estimates("cup", NOON) == before == read_anew(desks, "cup")
    desks.store.close()
