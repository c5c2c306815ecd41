"""From readings to alarms: limits with deadband, faults that freeze, batches that suppress."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.alarms import conditions
from daemon.alarms.conditions import NOT_JUDGED, AlarmKey, Judgement
from daemon.alarms.lifecycle import Alarm, Delays, State
from daemon.alarms.watch import Change, Watch, alarm_keys
from daemon.estimates.quantile import Estimate
from daemon.stages import Stage
from daemon.station import Vessel
from daemon.vessel_state import VesselState
from sensors.reading import Measure, Quality, Reading
from tests.kit.station import probe, station, vessel
from tests.kit.vessel_states import states_with

STATION = station(
    probe("water"),
    probe("light", "light_lux"),
    vessel("tray", "water", "light", cold_c=20.0, hot_c=30.0, lamp=["18:00-07:00"], watch="batch"),
    vessel("jar", "water", mark_ml=900.0, surface_cm2=60.0, low_ml=90.0, cold_c=18.0, watch="batch"),
    zone="UTC",
    attended=(),
    every_s=300,
)
NOON = int(datetime(2027, 1, 14, 12, tzinfo=UTC).timestamp())
COLD, HOT = AlarmKey("tray", "cold"), AlarmKey("tray", "hot")
LAMP, PROBE = AlarmKey("tray", "lamp"), AlarmKey("tray", "probe", "water")


def watching(*running: str) -> Watch:
    watch = Watch(STATION)
    watch.vessels_are(NOON, states_with(STATION, *(running or ("tray",))))
    return watch


def feed(watch: Watch, probe: str, values: list[float | None], began: int = NOON) -> list[Change]:
    """Readings five minutes apart; None is a probe that does not answer."""
    changes = []
    for step, value in enumerate(values):
        quality = Quality.ABSENT if value is None else Quality.GOOD
        changes += watch.readings([Reading(began + 300 * (step + 1), probe, value, quality)])
    return changes


def told(changes: list[Change]) -> list[tuple[str, str, str]]:
    return [(change.key.vessel, change.key.condition, change.state.value) for change in changes]


def test_cold_is_raised_after_an_hour_below_the_limit_and_not_before() -> None:
    watch = watching()
    assert feed(watch, "water", [19.5] * 12) == []
    assert told(feed(watch, "water", [19.4])) == [("tray", "cold", "unacknowledged")]
    assert watch.alarm(COLD).since == NOON + 300


def test_a_standing_alarm_clears_half_a_kelvin_inside_the_limit_only() -> None:
    watch = watching()
    feed(watch, "water", [19.5] * 13)
    assert feed(watch, "water", [20.3] * 20) == []
    assert told(feed(watch, "water", [20.6] * 3)) == [("tray", "cold", "returned to normal unacknowledged")]


def told_of_probe(state: VesselState, quality: Quality) -> bool:
    """Whether two hours of such readings raise an alarm about the probe of a vessel in that state."""
    watch = Watch(STATION)
    watch.vessels_are(NOON, {**states_with(STATION), "tray": state})
    readings = [Reading(NOON + 300 * step, "water", 21.0, quality) for step in range(24)]
    watch.readings(readings)
    return watch.alarm(PROBE).active


def test_a_probe_in_the_air_of_an_emptied_vessel_is_no_fault_but_one_that_is_silent_is() -> None:
    ended = VesselState(Stage.ENDED, watched=True)
    assert not told_of_probe(ended, Quality.IN_AIR)
    assert told_of_probe(ended, Quality.ABSENT)
    assert told_of_probe(VesselState(Stage.NOTHING_SET, watched=True), Quality.IN_AIR)


@pytest.mark.parametrize(("hours", "told"), [(12, False), (13, True)])
def test_a_probe_that_hung_in_an_emptied_vessel_has_half_a_day_to_be_seen_back_in_water(
    hours: int, told: bool
) -> None:
    watch = Watch(STATION)
    watch.vessels_are(NOON, {**states_with(STATION), "tray": VesselState(Stage.ENDED, watched=True)})
    watch.readings([Reading(NOON, "water", 20.0, Quality.IN_AIR)])
    watch.vessels_are(NOON, {**states_with(STATION), "tray": VesselState(Stage.SET, True, NOON)})
    watch.readings(
        [Reading(NOON + 300 * step, "water", 20.0, Quality.IN_AIR) for step in range(1, 12 * hours)]
    )
    assert watch.alarm(PROBE).active is told


def test_a_jump_is_no_fault_of_the_probe_in_the_hour_after_a_set_and_one_afterwards() -> None:
    # A heater of 50 W warms 2 L of fresh brine by 3.6 K in ten minutes, more than any light does.
    watch = Watch(STATION)
    watch.vessels_are(NOON, {**states_with(STATION), "tray": VesselState(Stage.SET, True, NOON)})
    jumped = [Reading(NOON + 300 * step, "water", 26.0, Quality.JUMP) for step in range(17)]
    watch.readings(jumped[:12])
    assert not watch.alarm(PROBE).active
    watch.readings(jumped[12:])
    assert watch.alarm(PROBE).active


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


def test_a_vessel_that_is_always_watched_has_every_alarm_but_of_water_before_a_batch() -> None:
    always = replace(STATION, vessels=tuple(replace(v, watch="always") for v in STATION.vessels))
    watch = Watch(always)
    states = {key: watch.alarm(key).state for key in alarm_keys(always) if key.vessel}
    suppressed = {key.condition for key, state in states.items() if state is State.SUPPRESSED}
    assert suppressed == {"water", "salinity"}
    assert {key.condition for key in states} > suppressed
    assert told(feed(watch, "water", [15.0] * 13)) == [
        ("tray", "cold", "unacknowledged"),
        ("jar", "cold", "unacknowledged"),
    ]
    assert watch.vessels_are(NOON, states_with(always)) == []


def test_the_lamp_is_judged_in_its_hours_only_and_an_alarm_stands_until_it_is_seen_lit() -> None:
    watch = watching()
    assert feed(watch, "light", [0.0] * 60) == []  # 12:05 to 17:00
    evening = NOON + 6 * 3600
    assert told(feed(watch, "light", [0.0] * 7, evening)) == [("tray", "lamp", "unacknowledged")]
    assert feed(watch, "light", [5000.0] * 12, evening + 14 * 3600) == []  # the next day's daylight
    lit = feed(watch, "light", [1500.0] * 3, evening + 24 * 3600)
    assert told(lit) == [("tray", "lamp", "returned to normal unacknowledged")]


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
        ("tray", "cold", "returned to normal unacknowledged")
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
    assert conditions.delays("cold", 60, said_nightly=True).on == 61
    assert conditions.delays("cold", 3600, said_nightly=True).on == 2
    assert Watch(replace(STATION, sample_every_s=3600)).alarm(LAMP).state is State.SUPPRESSED


def tray() -> Vessel:
    """Cold below 20, hot above 30, of a day's swing at most 8 K; 15 to 45 g/kg; dark below 300 lux."""
    return replace(
        STATION.vessels[0],
        swing_k=8.0,
        salinity_low_g_per_kg=15.0,
        salinity_high_g_per_kg=45.0,
        low_light_lux=300.0,
        low_light_fraction=0.25,
    )


def read(value: float | None, quality: Quality = Quality.GOOD) -> Reading:
    return Reading(NOON, "water", value, quality)


# What is said of a limit in docs/reference/alarms.md: "below", "above", and the deadband that an alarm which
# stands must come back through. At the limit itself nothing is wrong.
@pytest.mark.parametrize(
    ("condition", "water_c", "active", "beyond"),
    [
        ("cold", 19.99, False, True),
        ("cold", 20.0, False, False),
        ("cold", 20.49, True, True),
        ("cold", 20.5, True, False),
        ("hot", 30.01, False, True),
        ("hot", 30.0, False, False),
        ("hot", 29.51, True, True),
        ("hot", 29.5, True, False),
    ],
)
def test_at_its_limit_water_is_neither_cold_nor_hot(
    condition: str, water_c: float, active: bool, beyond: bool
) -> None:
    judged = conditions.temperature(condition, tray(), read(water_c), active=active)
    assert (judged.beyond, judged.value) == (beyond, water_c)


@pytest.mark.parametrize("reading", [read(10.0, Quality.JUMP), read(None, Quality.GOOD)])
def test_a_reading_without_a_believable_value_says_nothing_of_cold_heat_or_lamp(reading: Reading) -> None:
    for condition in ("cold", "hot"):
        assert conditions.temperature(condition, tray(), reading, active=True) == NOT_JUDGED
    assert conditions.lamp(tray(), Measure.LIGHT_LUX, reading, in_lamp_hours=True) == NOT_JUDGED


@pytest.mark.parametrize(
    ("measures", "light", "dark"),
    [
        (Measure.LIGHT_LUX, 299.9, True),
        (Measure.LIGHT_LUX, 300.0, False),
        (Measure.LIGHT_FRACTION, 0.249, True),
        (Measure.LIGHT_FRACTION, 0.25, False),
    ],
)
def test_it_is_dark_below_the_limit_in_the_unit_of_the_probe(
    measures: Measure, light: float, dark: bool
) -> None:
    assert conditions.lamp(tray(), measures, read(light), in_lamp_hours=True).beyond is dark
    assert conditions.lamp(tray(), measures, read(light), in_lamp_hours=False) == NOT_JUDGED


# A lamp's light keeps within a tenth of its highest [P]; daylight of an evening does not.
@pytest.mark.parametrize(
    ("before", "soon_after", "later", "beyond"),
    [
        ([1000.0, 1000.0], [900.0, 950.0], [], True),
        ([1000.0, 1000.0], [899.0, 950.0], [], False),
        ([950.0, 1001.0], [900.0, 950.0], [], False),
        ([300.0, 300.0], [300.0, 300.0], [300.0], True),
        ([299.0, 300.0], [300.0, 300.0], [300.0], False),
        ([300.0, 300.0], [300.0, 0.0], [], False),
        (
            [1000.0, 1000.0],
            [1000.0, 1000.0],
            [1500.0, 3000.0],
            True,
        ),  # day comes
        ([1000.0, 1000.0], [1000.0, 1000.0], [1500.0, 900.0], True),
        ([1000.0, 1000.0], [1000.0, 1000.0], [1500.0, 899.0], False),  # the timer was an hour late
        ([1000.0], [1000.0, 1000.0], [1000.0], None),
        ([1000.0, 1000.0], [1000.0], [1000.0], None),
        ([], [5.0], [], False),
    ],
)
def test_a_lamp_stays_on_where_its_steady_light_goes_on_and_it_is_never_darker(
    before: list[float], soon_after: list[float], later: list[float], beyond: bool | None
) -> None:
    judged = conditions.lamp_stays_on(before, soon_after, later, 300.0)
    assert judged.beyond is beyond
    assert judged.value == (None if beyond is None else [*soon_after, *later][-1])


@pytest.mark.parametrize(("loss_ml", "low_at", "beyond"), [(40.0, 9e9, True), (39.9, 4000.0, False)])
def test_water_at_the_low_mark_is_low_and_water_that_comes_there_with_somebody_is_not(
    loss_ml: float, low_at: float, beyond: bool
) -> None:
    assert conditions.water(loss_ml, low_at, 40.0, 4000) == Judgement(beyond, loss_ml)


# "Nine in ten sure": the believed tenth above the highest, or the believed nine tenths below the lowest.
@pytest.mark.parametrize(
    ("believed", "beyond"),
    [
        (Estimate(45.1, 50.0, 60.0), True),
        (Estimate(45.0, 50.0, 60.0), False),
        (Estimate(5.0, 10.0, 14.9), True),
        (Estimate(5.0, 10.0, 15.0), False),
        (Estimate(10.0, 25.0, 50.0), False),
    ],
)
def test_salt_is_out_of_range_when_that_is_nine_in_ten_sure(believed: Estimate, beyond: bool) -> None:
    assert conditions.salinity(believed, tray()) == Judgement(beyond, believed.p50)


@pytest.mark.parametrize(
    ("highest_c", "active", "beyond"),
    [(28.0, False, False), (28.1, False, True), (27.0, True, False), (27.1, True, True)],
)
def test_a_swing_is_beyond_its_limit_and_stands_until_a_kelvin_inside(
    highest_c: float, active: bool, beyond: bool
) -> None:
    judged = conditions.swing(20.0, highest_c, tray(), active=active)
    assert (judged.beyond, judged.value) == (beyond, highest_c - 20.0)


@pytest.mark.parametrize(("p90", "beyond"), [(19.9, True), (20.0, False)])
def test_cold_to_come_is_told_when_nine_in_ten_sure(p90: float, beyond: bool) -> None:
    assert conditions.cold_ahead(Estimate(15.0, 18.0, p90), tray()) == Judgement(beyond, 18.0)


# Attended, from half a kelvin above the vessel's own limit on, and hardly sure to stay a kelvin below it;
# where nobody is, the same about 33 °C (New 2002), or about the vessel's own limit if that is higher.
@pytest.mark.parametrize(
    ("p10", "p50", "hot_c", "attended", "beyond"),
    [
        (29.1, 30.6, 30.0, True, True),
        (29.1, 30.5, 30.0, True, False),
        (29.0, 31.0, 30.0, True, False),
        (32.0, 33.4, 30.0, False, False),
        (32.1, 33.6, 30.0, False, True),
        (32.1, 33.5, 30.0, False, False),
        (32.0, 34.0, 30.0, False, False),
        (33.5, 34.4, 34.0, False, False),
        (33.5, 34.6, 34.0, False, True),
    ],
)
def test_heat_to_come_is_told_when_it_is_likely_and_not_just_at_the_limit(
    p10: float, p50: float, hot_c: float, attended: bool, beyond: bool
) -> None:
    vessel = replace(tray(), hot_c=hot_c)
    hottest = Estimate(p10, p50, p50 + 1.0)
    assert conditions.hot_ahead(hottest, vessel, attended=attended) == Judgement(beyond, p50)


def test_the_card_is_too_full_below_two_hundred_megabytes_and_the_clock_bad_when_not_trusted() -> None:
    assert conditions.storage(199_999_999).beyond
    assert conditions.storage(200_000_000) == Judgement(False, 200.0)
    assert conditions.clock(False) == Judgement(True, None)
    assert conditions.clock(True) == Judgement(False, None)


# docs/reference/alarms.md: minutes to raise, minutes to clear; a week until it rings again where no nightly
# letter says what stands; how much further rings again. One sample begins the time, so a delay of 10 minutes
# is 11 samples a minute apart.
@pytest.mark.parametrize(
    ("condition", "every_s", "delays"),
    [
        ("cold", 60, Delays(61, 11, 10_080, 2.0)),
        ("hot", 60, Delays(11, 11, 10_080, 2.0)),
        ("lamp", 60, Delays(31, 11, 10_080)),
        ("probe", 60, Delays(16, 11, 10_080)),
        ("probe", 7, Delays(130, 87, 86_400)),
        ("cold", 3600, Delays(2, 2, 168, 2.0)),
        ("water", 60, Delays(1, 1, 168)),
        ("clock", 60, Delays(2, 1, 168)),
    ],
)
def test_a_delay_is_the_samples_that_lie_in_its_time_and_the_one_that_begins_it(
    condition: str, every_s: int, delays: Delays
) -> None:
    assert conditions.delays(condition, every_s, said_nightly=False) == delays
    by_night = conditions.delays(condition, every_s, said_nightly=True)
    assert by_night == replace(delays, again=Delays(1, 1).again)


def test_only_water_that_was_read_past_the_animals_limit_is_urgent() -> None:
    assert conditions.is_urgent("hot", 33.1)
    assert not conditions.is_urgent("hot", 33.0)
    assert not conditions.is_urgent("hot", None)
    assert not conditions.is_urgent("hot-ahead", 36.0)
    assert not conditions.is_urgent("cold", 40.0)


def test_what_a_station_can_have_an_alarm_about_follows_from_its_probes_and_lamp() -> None:
    of_the_cup = {concern.condition for concern in alarm_keys(STATION) if concern.vessel == "tray"}
    assert of_the_cup == conditions.CONDITIONS.keys() - {"storage", "clock"}
    of_the_jar = {concern.condition for concern in alarm_keys(STATION) if concern.vessel == "jar"}
    assert of_the_jar == of_the_cup - {"lamp", "lamp-stays-on"}
    unlit = replace(STATION, vessels=(replace(STATION.vessels[0], probes=("water",)),))
    assert not Watch(unlit).has(LAMP)
    unread = replace(STATION, vessels=(replace(STATION.vessels[0], probes=("light",)),))
    assert not Watch(unread).has(AlarmKey("tray", "swing"))
    assert [concern.condition for concern in alarm_keys(unread) if not concern.vessel] == ["storage", "clock"]


def test_water_that_was_just_poured_is_not_called_cold_before_its_time() -> None:
    watch = watching()
    watch.vessels_are(NOON, states_with(STATION, "tray"), {"tray": NOON + 3600})
    assert feed(watch, "water", [10.0] * 11) == []
    assert watch.alarm(COLD).run == 0
    feed(watch, "water", [10.0], NOON + 3300)
    assert watch.alarm(COLD).run == 1
    assert told(feed(watch, "water", [31.0] * 3, NOON + 3600)) == [("tray", "hot", "unacknowledged")]


def test_a_sample_is_judged_once_however_often_it_comes_after_a_restart() -> None:
    watch = watching()
    watch.restore(COLD, State.NORMAL, NOON + 600, None, None)
    assert watch.alarm(COLD) == Alarm(State.NORMAL, stood=0)
    feed(watch, "water", [19.0, 19.0])
    assert watch.alarm(COLD).run == 0
    feed(watch, "water", [19.0], NOON + 600)
    assert watch.alarm(COLD).run == 1
    watch.restore(AlarmKey("tray", "never-heard-of"), State.ACKNOWLEDGED, NOON, NOON, 1.0)
    assert not watch.has(AlarmKey("tray", "never-heard-of"))


def test_water_says_nothing_of_the_lamp_and_light_nothing_where_no_lamp_is() -> None:
    watch, evening = watching(), NOON + 6 * 3600
    for step in range(7):
        feed(watch, "light", [0.0], evening + 300 * step)
        feed(watch, "water", [21.0], evening + 300 * step)
    assert watch.active() == [LAMP]
    unlit = Watch(replace(STATION, vessels=(replace(STATION.vessels[0], lamp=()),)))
    unlit.vessels_are(NOON, states_with(STATION, "tray"))
    assert feed(unlit, "light", [0.0] * 20) == []


def test_an_alarm_has_begun_while_its_samples_speak_for_it_and_it_is_not_raised() -> None:
    watch = watching()
    assert not watch.begun(COLD)
    feed(watch, "water", [19.0] * 12)
    assert watch.begun(COLD)
    feed(watch, "water", [19.0], NOON + 3600)
    assert not watch.begun(COLD)
    assert watch.active() == [COLD]
    feed(watch, "water", [21.0] * 3, NOON + 3900)
    assert not watch.begun(COLD)
    feed(watch, "water", [19.0], NOON + 4800)
    assert watch.begun(COLD)


def test_an_alarm_that_stands_rings_once_where_every_night_says_it_and_weekly_where_none_does() -> None:
    for nightly, rings in ((True, 1), (False, 2)):
        watch = Watch(replace(STATION, post=replace(STATION.post, nightly=nightly)))
        watch.vessels_are(NOON, states_with(STATION, "tray"))
        changes = feed(watch, "water", [19.0] * (13 + 7 * 288))
        assert sum(change.rang for change in changes) == rings
        assert not any(change.worse for change in changes)


def test_water_that_grows_much_colder_rings_again_and_says_why() -> None:
    watch = watching()
    feed(watch, "water", [19.0] * 13)
    assert feed(watch, "water", [17.1] * 30, NOON + 13 * 300) == []
    deeper = feed(watch, "water", [17.0] * 13, NOON + 43 * 300)
    assert [(change.rang, change.worse, change.value) for change in deeper] == [(True, True, 17.0)]
    assert feed(watch, "water", [15.1] * 30, NOON + 56 * 300) == []


def test_an_alarm_taken_up_after_a_restart_rings_only_further_than_it_rang_before() -> None:
    watch = watching()
    watch.restore(COLD, State.UNACKNOWLEDGED, NOON, NOON - 3600, 19.0, rung_at=19.0)
    assert feed(watch, "water", [17.5] * 30) == []
    (change,) = feed(watch, "water", [16.9] * 13, NOON + 30 * 300)
    assert change.worse


def test_what_is_taken_up_anew_from_the_store_has_forgotten_what_it_saw() -> None:
    watch = watching()
    watch.restore(COLD, State.UNACKNOWLEDGED, NOON + 9000, NOON, 18.0, stood=7)
    assert watch.alarm(COLD) == Alarm(State.UNACKNOWLEDGED, since=NOON, extreme=18.0, stood=7)
    watch.forget()
    assert watch.alarm(COLD) == Alarm(State.SUPPRESSED)
    assert watch.alarm(AlarmKey("", "clock")) == Alarm(State.NORMAL)
    watch.vessels_are(NOON, states_with(STATION, "tray"))
    feed(watch, "water", [19.0])
    assert watch.alarm(COLD).run == 1


def test_a_deed_of_the_second_in_which_an_alarm_began_has_seen_it_and_one_of_another_vessel_has_not() -> None:
    watch = watching("tray", "jar")
    feed(watch, "water", [17.0] * 13)
    assert watch.somebody_was_there(NOON + 4000, "tray", NOON + 299) == []
    assert told(watch.somebody_was_there(NOON + 4000, "tray", NOON + 300)) == [
        ("tray", "cold", "acknowledged")
    ]
    assert watch.alarm(AlarmKey("jar", "cold")).state is State.UNACKNOWLEDGED
    assert told(watch.acknowledge(NOON + 4001)) == [("jar", "cold", "acknowledged")]


def test_a_shelved_alarm_is_taken_back_to_where_it_would_have_stood() -> None:
    watch = watching()
    feed(watch, "water", [19.0] * 13)
    assert told(watch.put_aside(NOON + 4000, COLD, State.SHELVED)) == [("tray", "cold", "shelved")]
    assert told(watch.put_aside(NOON + 5000, COLD, None)) == [("tray", "cold", "normal")]
    assert told(feed(watch, "water", [19.0], NOON + 5100)) == [("tray", "cold", "unacknowledged")]


def test_a_judgement_on_what_is_believed_is_a_sample_of_its_hour() -> None:
    watch = watching()
    swing = AlarmKey("tray", "swing")
    raised = watch.judged(NOON, swing, Judgement(True, 9.0))
    assert raised == [Change(NOON, swing, State.UNACKNOWLEDGED, 9.0, NOON, True)]
    assert told(watch.judged(NOON + 3600, swing, Judgement(False, 5.0))) == [
        ("tray", "swing", "returned to normal unacknowledged")
    ]
