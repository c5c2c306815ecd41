"""From readings to alarms: limits with deadband, faults that freeze, batches that suppress."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.alarms import conditions
from daemon.alarms.conditions import Concern
from daemon.alarms.lifecycle import State
from daemon.alarms.watch import Change, Watch
from sensors.reading import Quality, Reading
from tests.kit.station import probe, station, vessel

STATION = station(
    probe("water"),
    probe("light", "light_lux"),
    vessel("tray", "water", "light", cold_c=20.0, hot_c=30.0, lamp=["18:00-07:00"]),
    vessel("jar", "water", mark_ml=900.0, surface_cm2=60.0, low_ml=90.0, cold_c=18.0),
    zone="UTC",
    attended=(),
    every_s=300,
)
NOON = int(datetime(2027, 1, 14, 12, tzinfo=UTC).timestamp())
COLD, HOT = Concern("tray", "cold"), Concern("tray", "hot")
LAMP, PROBE = Concern("tray", "lamp"), Concern("tray", "probe", "water")


def watching(*running: str) -> Watch:
    watch = Watch(STATION)
    watch.batches(NOON, running or ("tray",))
    return watch


def feed(watch: Watch, probe: str, values: list[float | None], began: int = NOON) -> list[Change]:
    """Readings five minutes apart; None is a probe that does not answer."""
    changes = []
    for step, value in enumerate(values):
        quality = Quality.ABSENT if value is None else Quality.GOOD
        changes += watch.readings([Reading(began + 300 * (step + 1), probe, value, quality)])
    return changes


def told(changes: list[Change]) -> list[tuple[str, str, str]]:
    return [(change.concern.vessel, change.concern.condition, change.state.value) for change in changes]


def test_cold_is_raised_after_an_hour_below_the_limit_and_not_before() -> None:
    watch = watching()
    assert feed(watch, "water", [19.5] * 12) == []
    assert told(feed(watch, "water", [19.4])) == [("tray", "cold", "unacknowledged")]
    assert watch.alarm(COLD).since == NOON + 300


def test_a_standing_alarm_clears_half_a_kelvin_inside_the_limit_only() -> None:
    watch = watching()
    feed(watch, "water", [19.5] * 13)
    assert feed(watch, "water", [20.3] * 20) == []
    assert told(feed(watch, "water", [20.6] * 3)) == [("tray", "cold", "returned unacknowledged")]


def test_heat_is_raised_after_ten_minutes() -> None:
    watch = watching()
    assert told(feed(watch, "water", [31.0] * 3)) == [("tray", "hot", "unacknowledged")]
    assert not watch.alarm(COLD).active


def test_a_day_of_noise_about_the_limit_raises_nothing() -> None:
    watch = watching()
    assert feed(watch, "water", [20.0 + (0.3 if step % 3 else -0.3) for step in range(288)]) == []


def test_a_probe_that_is_silent_raises_its_own_alarm_and_freezes_the_cold_one() -> None:
    watch = watching()
    feed(watch, "water", [19.5] * 12)
    silent = feed(watch, "water", [None] * 40, NOON + 3600)
    assert told(silent) == [("tray", "probe", "unacknowledged")]
    assert watch.alarm(COLD).run == 12
    back = feed(watch, "water", [19.5] * 2, NOON + 3600 + 12_000)
    assert ("tray", "cold", "unacknowledged") in told(back)


def test_a_vessel_without_a_batch_has_no_alarms_and_its_neighbour_on_the_same_probe_has() -> None:
    watch = watching("jar")
    changes = feed(watch, "water", [15.0] * 13)
    assert told(changes) == [("jar", "cold", "unacknowledged")]


def test_the_lamp_is_judged_in_its_hours_only_and_an_alarm_stands_until_it_is_seen_lit() -> None:
    watch = watching()
    assert feed(watch, "light", [0.0] * 60) == []  # 12:05 to 17:00
    evening = NOON + 6 * 3600
    assert told(feed(watch, "light", [0.0] * 7, evening)) == [("tray", "lamp", "unacknowledged")]
    assert feed(watch, "light", [5000.0] * 12, evening + 14 * 3600) == []  # the next day's daylight
    lit = feed(watch, "light", [1500.0] * 3, evening + 24 * 3600)
    assert told(lit) == [("tray", "lamp", "returned unacknowledged")]


def test_a_deed_acknowledges_what_stood_when_it_was_done_and_nothing_later() -> None:
    watch = watching()
    feed(watch, "water", [19.5] * 13)
    assert watch.somebody_was_there(NOON + 9999, "tray", NOON) == []
    assert told(watch.somebody_was_there(NOON + 9999, "tray", NOON + 9000)) == [
        ("tray", "cold", "acknowledged")
    ]
    assert told(feed(watch, "water", [21.0] * 3, NOON + 9000)) == [("tray", "cold", "normal")]


def test_an_alarm_taken_up_after_a_restart_is_not_raised_again_by_what_it_has_seen() -> None:
    watch = watching()
    watch.restore(COLD, State.UNACKNOWLEDGED, NOON + 3600, NOON + 300, 19.0)
    assert feed(watch, "water", [19.5] * 30) == []
    assert told(feed(watch, "water", [21.0] * 3, NOON + 9000)) == [
        ("tray", "cold", "returned unacknowledged")
    ]


@pytest.mark.parametrize(
    ("loss_ml", "low_at", "comes", "beyond"),
    [
        (41.0, 0.0, None, True),
        (20.0, 5000.0, 4000, False),
        (20.0, 3000.0, 4000, True),
        (20.0, 3000.0, None, False),
    ],
)
def test_water_is_low_when_it_is_or_will_be_before_somebody_comes(
    loss_ml: float, low_at: float, comes: int | None, beyond: bool
) -> None:
    assert conditions.water(loss_ml, low_at, 40.0, comes).beyond is beyond


@given(st.lists(st.one_of(st.none(), st.floats(10.0, 40.0)), max_size=150))
def test_cold_and_hot_never_stand_together_and_every_alarm_was_raised_by_good_readings(
    values: list[float | None],
) -> None:
    watch = watching()
    for step, value in enumerate(values):
        feed(watch, "water", [value], NOON + 300 * step)
        assert not (watch.alarm(COLD).active and watch.alarm(HOT).active)
    good = [value for value in values if value is not None]
    if watch.alarm(COLD).active or watch.alarm(COLD).state is State.RETURNED:
        assert sum(1 for value in good if value < 20.0) >= 13
    if not values or all(value is not None for value in values):
        assert watch.alarm(PROBE).state is State.NORMAL


def test_the_delays_are_counted_in_samples_of_the_stations_own_rhythm() -> None:
    assert conditions.delays("cold", 60).on == 61
    assert conditions.delays("cold", 3600).on == 2
    assert Watch(replace(STATION, sample_every_s=3600)).alarm(LAMP).state is State.SUPPRESSED
