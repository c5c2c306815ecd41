"""A batch told from the store alone: what was planned, what happened, what was believed before and after."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.letters.batch_accounts import accounts, nights
from daemon.planning.kept_start import KeptStart
from daemon.store import planned_starts
from reports.batch.records import Account, ToldBatch
from reports.batch.verdict import verdict
from reports.batch.watched import watched
from tests.kit.desks import HOUR, Desks, moment, tray_station


def warm(_at: int) -> float:
    return 24.0


def told(desks: Desks) -> Account:
    return accounts(desks.station, desks.store.connection, desks.station.vessels, desks.at)


def batch_of(desks: Desks) -> ToldBatch:
    (one,) = told(desks).batches
    return one


@pytest.fixture
def two_days(begin: Callable[..., Desks]) -> Desks:
    desks = begin(15, "10:00")
    desks.live(moment(16, "20:00"), warm)
    desks.tell("top-up", 30.0, to="mark")
    desks.tell("hatched", 0.6)
    desks.live(moment(17, "10:00"), warm)
    return desks


def test_what_was_planned_is_what_the_setting_noted(two_days: Desks) -> None:
    plan = batch_of(two_days).planned
    assert (plan.cysts_g, plan.salt_g_per_l, plan.tin, plan.light) == (0.05, 25.0, None, None)


def test_the_plan_that_was_kept_for_it_is_part_of_what_was_planned(tmp_path: Path) -> None:
    desks = Desks(tray_station(), tmp_path, moment(15, "10:00"))
    lesson = (moment(18, "10:00"), moment(18, "11:00"))
    for vessel, lot in (("other", None), ("tray", "blue")):
        start = KeptStart(
            vessel, lot, moment(15, "12:00"), (moment(15, "09:00"), moment(15, "15:00")), lesson
        )
        planned_starts.add(desks.store.connection, start, moment(15, "09:00"))
    desks.tell("set", 0.05)
    desks.live(moment(16, "10:00"), warm)
    plan = batch_of(desks).planned
    assert plan.set_at is not None
    assert plan.lesson is not None
    assert (plan.set_at.timestamp(), plan.lesson.began.timestamp()) == (moment(15, "12:00"), lesson[0])
    desks.tell("end")
    desks.live(moment(19, "10:00"), warm)
    desks.tell("set", 0.05)  # the lesson is over: this one was planned by nobody
    desks.live(moment(19, "12:00"), warm)
    assert batch_of(desks).planned.lesson is None


def test_what_was_expected_is_of_the_setting_and_what_is_believed_of_the_end(two_days: Desks) -> None:
    two_days.tell("end")
    ended = two_days.at
    two_days.live(moment(17, "20:00"), warm)
    one = batch_of(two_days)
    assert one.ended_at is not None
    assert one.ended_at.timestamp() == ended
    assert one.believed.t50 is not None
    assert [look.share for look in one.looks] == [0.6]


def test_a_filling_to_the_mark_teaches_how_fast_water_goes(two_days: Desks) -> None:
    factor = next(one for one in batch_of(two_days).learned if one.name == "k")
    assert factor.before is not None
    assert factor.after is not None
    before, after = ((known.p90 - known.p10) / known.p50 for known in (factor.before, factor.after))
    assert after < before
    # The same as the daemon believes: nothing here is computed another way.
    (water,) = (one for one in two_days.beliefs.of("tray").grounds(two_days.at) if one.model == "water")
    assert factor.after.p50 == water.knowns["k"].p50


def test_water_that_was_poured_in_counts_as_gone(two_days: Desks) -> None:
    water = batch_of(two_days).water
    assert (water.poured_ml, water.drawn_ml) == (30.0, 0.0)
    assert water.gone_ml is not None
    assert 25.0 < water.gone_ml.p50 < 60.0  # thirty to the mark, and half a day more


def test_nights_are_those_that_were_mostly_read(begin: Callable[..., Desks]) -> None:
    desks = begin(15, "10:00")
    desks.live(moment(17, "10:00"), lambda at: 19.0 if at < moment(16, "12:00") else 21.0)
    (tray,) = desks.station.vessels
    found = nights(desks.station, desks.store.connection, tray, (moment(15, "10:00"), moment(17, "10:00")))
    assert found is not None
    assert (found.count, found.coldest_c, found.middle_c) == (2, 19.0, 21.0)
    short = nights(desks.station, desks.store.connection, tray, (moment(15, "20:00"), moment(15, "23:00")))
    assert short is None


def test_a_cold_day_counts_besides_the_nights(begin: Callable[..., Desks]) -> None:
    desks = begin(15, "10:00")
    desks.live(moment(17, "10:00"), lambda at: 14.0 if at > moment(16, "15:00") > at - 7200 else 19.0)
    (tray,) = desks.station.vessels
    found = nights(desks.station, desks.store.connection, tray, (moment(15, "10:00"), moment(17, "10:00")))
    assert found is not None
    assert (found.coldest_c, found.lowest_c) == (19.0, 14.0)


def test_a_vessel_without_a_batch_is_left_out_and_none_at_all_is_refused(tmp_path: Any) -> None:
    desks = Desks(tray_station("tray", "other"), tmp_path, moment(15, "10:00"))
    desks.live(moment(15, "12:00"), warm)
    with pytest.raises(InputError, match="found none in tray, other"):
        told(desks)
    desks.tell("set", 0.05)
    desks.live(moment(15, "14:00"), warm)
    assert [one.vessel.vessel for one in told(desks).batches] == ["tray"]


HISTORIES = st.lists(
    st.tuples(
        st.sampled_from(("watch", "silent", "cold", "top-up", "feed", "note", "hatched")), st.integers(1, 14)
    ),
    min_size=1,
    max_size=8,
)


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(history=HISTORIES)
def test_no_history_with_a_limit_passed_or_much_unwatched_is_called_well(
    tmp_path_factory: pytest.TempPathFactory, history: list[tuple[str, int]]
) -> None:
    desks = Desks(tray_station(), tmp_path_factory.mktemp("history"), moment(15, "10:00"))
    desks.tell("set", 0.05)
    desks.live(moment(15, "11:00"), warm)
    silent_s = cold_s = 0
    for what, hours in history:
        match what:
            case "silent":
                desks.at += hours * HOUR
                silent_s += hours * HOUR
            case "cold":
                desks.live(desks.at + hours * HOUR, lambda _: 14.0)
                cold_s += hours * HOUR
            case "watch":
                desks.live(desks.at + hours * HOUR, warm)
            case "hatched":
                desks.tell("hatched", 0.5)
            case "note":
                desks.tell("note", text="milky")
            case _:
                desks.tell(what, 1.0)
        desks.live(desks.at + 600, warm)
    one = batch_of(desks)
    desks.store.close()
    whole = desks.at - moment(15, "10:00")
    words = " ".join(verdict(one))
    if cold_s or silent_s > 0.06 * whole:
        assert "No limit was passed in that time." not in words
    assert watched(one).share <= 1.0 - silent_s / whole + 0.05
