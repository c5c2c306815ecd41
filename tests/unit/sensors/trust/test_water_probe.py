"""One thermometer on trial: the figures of docs/explanation/trust.md, each from both of its sides.

A cup of 250 mL, a reading a minute where nothing else is said: full sunlight heats it by 0.478 K a minute
(test_trust.py, by hand), so with 0.25 K for steps and noise 0.728 K a minute is believed, 1.206 in two.
"""

import math
from collections.abc import Iterable

import pytest

from sensors.reading import Measure, Quality, Reading
from sensors.trust.judge import Judge, Watched, revised

BEGAN = 1_800_000_000
GOOD, JUMP, STUCK, IN_AIR = Quality.GOOD, Quality.JUMP, Quality.STUCK, Quality.IN_AIR


class Trial:
    """A cup's thermometer, and what is known of each of its readings by now."""

    def __init__(self, every_s: int = 60, *, room: bool = False, neighbours: tuple[str, ...] = ()) -> None:
        plans = [Watched("cup", Measure.WATER_C, 250.0, "air" if room else None, neighbours)]
        plans += [Watched(other, Measure.WATER_C, 250.0) for other in neighbours]
        self.trust = Judge([*plans, Watched("air", Measure.ROOM_C)], every_s)
        self.every_s, self.at = every_s, BEGAN
        self.known: list[Reading] = []

    def read(self, water_c: float, *others: tuple[str, float], after_s: int | None = None) -> Quality:
        """The quality of one more reading when it comes; `others` are readings of the same second."""
        self.at += self.every_s if after_s is None else after_s
        beat = [Reading(self.at, probe, value, GOOD) for probe, value in (("cup", water_c), *others)]
        found = self.trust.judge(beat)
        self.known = [*revised(self.known, found.revisions), found.readings[0]]
        return found.readings[0].quality

    def reads(self, values: Iterable[float], *others: tuple[str, float]) -> list[Quality]:
        return [self.read(value, *others) for value in values]

    def last(self, count: int) -> list[Quality]:
        """The qualities of the last readings as they are known now."""
        return [reading.quality for reading in self.known[-count:]]

    @property
    def doubt(self) -> str | None:
        return self.trust.doubts.get("cup")


def zigzag(count: int, about_c: float = 20.0) -> list[float]:
    """Readings of a probe that neither rests nor moves."""
    return [about_c + 0.0625 * (place // 2 % 2) for place in range(count)]


# Heated ---


@pytest.mark.parametrize(("heater_c", "quality"), [(27.0, GOOD), (None, IN_AIR)])
def test_fresh_brine_that_a_known_heater_warms_is_water_and_no_probe_that_dries(
    heater_c: float | None, quality: Quality
) -> None:
    # 50 W in 2 L: 0.36 K a minute, from the tap's 21 °C up to 27; before that the cone stood emptied.
    judge = Judge([Watched("cone", Measure.WATER_C, 2000.0, heater_c=heater_c)], 60)
    course = [27.0] * 60 + [20.9] * 20 + [21.0 + 0.36 * minute for minute in range(17)] + [27.0, 27.1] * 20
    steps = [round(water_c / 0.0625) * 0.0625 for water_c in course]
    for minute, water_c in enumerate(steps):
        newest = judge.judge([Reading(BEGAN + 60 * minute, "cone", water_c, GOOD)])
    assert newest.readings[-1].quality is quality


def test_a_probe_that_leaves_heated_water_is_not_believed() -> None:
    judge = Judge([Watched("cone", Measure.WATER_C, 2000.0, heater_c=27.0)], 60)
    # A bare capsule with a lag of two minutes, wet at first: towards 16 °C, then up to the room's 20.
    falls = [16.0 + 11.0 * math.exp(-minute / 2.0) for minute in range(1, 10)]
    dries = [20.0 - (20.0 - falls[-1]) * math.exp(-minute / 4.0) for minute in range(1, 30)]
    for minute, water_c in enumerate([27.0] * 60 + falls + dries):
        newest = judge.judge([Reading(BEGAN + 60 * minute, "cone", round(water_c / 0.0625) * 0.0625, GOOD)])
    assert newest.readings[-1].quality is not GOOD


# Jump ---


@pytest.mark.parametrize(
    ("step_k", "after_s", "quality"),
    [
        (0.72, 60, GOOD),
        (0.74, 60, JUMP),
        (-0.72, 60, GOOD),
        (-0.74, 60, JUMP),
        (1.20, 120, GOOD),
        (1.21, 120, JUMP),
    ],
)
def test_water_changes_no_faster_than_the_sun_heats_it(step_k: float, after_s: int, quality: Quality) -> None:
    trial = Trial()
    trial.reads([20.0] * 5)
    assert trial.read(20.0 + step_k, after_s=after_s) is quality


def test_the_limit_counts_from_the_last_believed_reading_and_not_from_a_failed_one() -> None:
    trial = Trial()
    trial.reads([20.0] * 5)
    trial.trust.judge([Reading(trial.at + 60, "cup", None, Quality.ABSENT)])
    assert trial.read(21.20, after_s=120) is GOOD


def test_what_lay_between_two_plain_readings_was_no_water_for_three_minutes() -> None:
    for wild, believed in ((1, GOOD), (3, GOOD), (4, JUMP)):
        trial = Trial()
        trial.reads([20.0] * 5)
        assert trial.reads([26.0] * wild) == [JUMP] * wild
        assert trial.read(20.0) is believed
        assert trial.last(wild + 1)[:wild] == [JUMP] * wild


def test_a_reading_hardly_off_is_believed_when_the_next_stays_with_it() -> None:
    trial = Trial()
    trial.reads([20.0] * 5)
    assert trial.reads([20.75, 20.72]) == [JUMP, GOOD]
    assert trial.last(2) == [GOOD, GOOD]


def test_a_pour_is_believed_from_the_start_after_ten_minutes_of_calm() -> None:
    trial = Trial()
    trial.reads(zigzag(60, 24.0))
    told = trial.reads([21.0 + 3.0 * (1 - math.exp(-minute / 72)) for minute in range(20)])
    believed = told.index(GOOD)
    assert 10 <= believed <= 14
    assert trial.last(20) == [GOOD] * 20


# Seldom read: "there, only range, jump and stuck are judged", and what stays is believed.
def test_seldom_read_a_jump_is_believed_when_three_more_readings_go_on_from_it() -> None:
    trial = Trial(300)
    trial.reads([20.0] * 5)
    assert trial.read(22.6) is GOOD  # 5 minutes: 2.39 and 0.25
    assert trial.reads([27.0, 27.0, 27.0]) == [JUMP] * 3
    assert trial.read(27.0) is GOOD
    assert trial.last(4) == [GOOD] * 4


def test_seldom_read_three_that_do_not_go_on_from_each_other_are_not_believed() -> None:
    trial = Trial(300)
    trial.reads([20.0] * 5)
    assert trial.reads([27.0, 27.0, 27.0, 32.0, 32.0, 32.0]) == [JUMP] * 6
    assert trial.read(32.0) is GOOD


@pytest.mark.parametrize(("every_s", "known"), [(120, True), (121, False)])
def test_shapes_are_judged_up_to_two_minutes_between_readings(every_s: int, known: bool) -> None:
    trial = Trial(every_s, room=True)
    trial.reads(zigzag(30, 24.0), ("air", 20.0))
    trial.reads([20.0 + 4.0 * math.exp(-step * every_s / 150) for step in range(40)], ("air", 20.0))
    assert (IN_AIR in trial.last(40)) is known


# Silence ---


@pytest.mark.parametrize(("silent_s", "quality"), [(1800, JUMP), (1801, GOOD)])
def test_after_half_an_hour_of_silence_a_jump_is_not_held_against_it(silent_s: int, quality: Quality) -> None:
    trial = Trial()
    trial.reads([10.0] * 5)
    assert trial.read(40.0) is JUMP
    assert trial.read(40.0, after_s=silent_s) is quality


# Found so: a jar filled anew with cold water while its probe was unplugged for 40 minutes was never believed.
def test_what_was_poured_while_a_probe_was_silent_is_believed() -> None:
    trial = Trial()
    trial.reads([26.0] * 5)
    assert trial.read(6.0, after_s=2400) is GOOD  # 19.4 K by sunlight
    assert trial.reads([6.0] * 60) == [GOOD] * 60


@pytest.mark.parametrize(("silent_s", "quality"), [(3 * 1200, JUMP), (3 * 1200 + 1, GOOD)])
def test_seldom_read_silence_is_three_readings_that_did_not_come(silent_s: int, quality: Quality) -> None:
    trial = Trial(1200)
    trial.reads([-4.0] * 5)
    assert trial.read(59.0) is JUMP
    assert trial.read(59.0, after_s=silent_s) is quality


# Stuck ---


def stuck(every_s: int = 60) -> Trial:
    """A probe that has been found to be stuck: for some hours at 21 °C in a room that cools."""
    trial = Trial(every_s, room=True)
    for step in range(180):
        trial.read(21.0, ("air", 21.0 - step / 40))
    assert trial.known[-1].quality is STUCK
    return trial


def test_a_stuck_probe_is_believed_ten_minutes_after_it_moved() -> None:
    trial = stuck()
    told = trial.reads([18.0 - 0.0625 * minute for minute in range(12)], ("air", 16.5))
    assert told == [STUCK] * 10 + [GOOD] * 2


def test_a_stuck_probe_that_moved_once_is_believed_ten_minutes_later_though_it_stands() -> None:
    trial = stuck()
    assert trial.reads([20.0] * 11, ("air", 16.5)) == [STUCK] * 10 + [GOOD]


@pytest.mark.parametrize(("after_s", "quality"), [(3599, GOOD), (3600, STUCK)])
def test_a_stuck_probe_that_moved_once_and_stood_for_an_hour_before_it_was_asked_again_is_still_stuck(
    after_s: int, quality: Quality
) -> None:
    trial = stuck(1200)
    assert trial.read(20.0, ("air", 16.5)) is STUCK
    assert trial.read(20.0, ("air", 16.5), after_s=after_s) is quality


def test_a_value_of_a_day_is_doubted_and_no_longer_once_it_moves() -> None:
    trial = Trial()
    trial.reads([21.0] * 24 * 60)
    assert trial.doubt is None
    trial.read(21.0)
    assert trial.doubt == "it has shown the same value for more than a day; maybe it is stuck"
    trial.read(21.0625)
    assert trial.doubt is None


# In air ---


def fallen(every_s: int = 60) -> Trial:
    """A wet probe that fell out of water of 24 °C into a room of 20 °C half an hour ago."""
    trial = Trial(every_s, room=True)
    trial.reads(zigzag(90, 24.0), ("air", 20.0))
    dip = [17.5 + 6.5 * math.exp(-minute / 2) for minute in range(8)]
    dry = [20.0 - 2.4 * math.exp(-minute / 2) for minute in range(22)]
    trial.reads(dip + dry, ("air", 20.0))
    assert trial.last(30)[1:] == [IN_AIR] * 29
    return trial


def test_a_probe_back_in_the_water_is_believed_after_twenty_minutes_of_calm() -> None:
    trial = fallen()
    told = trial.reads(zigzag(30, 24.0), ("air", 20.0))
    assert told in ([IN_AIR] * 20 + [GOOD] * 10, [IN_AIR] * 21 + [GOOD] * 9)


def test_a_probe_moved_again_within_its_twenty_minutes_begins_them_anew() -> None:
    trial = fallen()
    told = trial.reads([*zigzag(12, 24.0), *[28.0] * 6, *zigzag(30, 24.0)], ("air", 20.0))
    assert told.index(GOOD) - 18 in (20, 21)


def test_a_probe_back_in_the_water_that_flutters_is_not_believed() -> None:
    trial = fallen()
    told = trial.reads([24.0 + 0.125 * (minute % 2) for minute in range(60)], ("air", 20.0))
    assert told == [IN_AIR] * 60


def test_a_probe_in_air_whose_room_is_not_read_is_believed_after_a_day_without_any_quick_change() -> None:
    trial = fallen()
    fell_quietly_at = trial.at - 60 * 12  # the last quick change of the drying
    told = trial.reads(zigzag(24 * 60, 20.0))
    good_at = [reading.at for reading in trial.known if reading.good and reading.at > trial.at - 86_400]
    assert told[-1] is GOOD
    assert abs(good_at[0] - 86_400 - fell_quietly_at) < 12 * 60


def test_a_probe_in_air_that_stays_as_warm_as_the_room_is_never_believed_for_being_quiet() -> None:
    trial = fallen()
    assert set(trial.reads(zigzag(26 * 60, 20.0), ("air", 20.0))) == {IN_AIR}


# "Where air and water happen to be equally warm, it takes until the room has moved for an hour or more."
def test_a_probe_put_back_into_water_as_warm_as_the_air_is_believed_when_the_room_has_turned() -> None:
    trial, water_c = fallen(), 20.0
    told = []
    for minute in range(240):
        room_c = 20.0 + 3.0 * math.sin(2 * math.pi * minute / 120)
        water_c += (room_c - water_c) / 72
        told.append(trial.read(round(water_c * 16) / 16, ("air", room_c)))
    assert 40 < told.index(GOOD) < 180
    assert set(told[told.index(GOOD) :]) == {GOOD}


def test_a_probe_left_in_air_that_turns_with_the_room_is_not_believed() -> None:
    trial = fallen()
    for minute in range(240):
        room_c = 20.0 + 3.0 * math.sin(2 * math.pi * minute / 120)
        assert trial.read(round(room_c * 16) / 16, ("air", room_c)) is IN_AIR


def test_a_doubt_that_it_hangs_in_air_lasts_a_day() -> None:
    trial = Trial()
    trial.reads(zigzag(90, 21.3))
    trial.reads([20.0 + 1.3 * math.exp(-minute / 2) for minute in range(10)])
    doubted = [trial.doubt is not None for _ in trial_minutes(trial, 26 * 60)]
    assert doubted[-1] is False
    assert doubted.index(True) in range(50, 60)
    assert abs(len(doubted) - 1 - doubted[::-1].index(True) - 24 * 60) < 15


def trial_minutes(trial: Trial, minutes: int) -> Iterable[int]:
    for place, value in enumerate(zigzag(minutes, 20.0)):
        trial.read(value)
        yield place


# Readings as they come ---


def test_a_reading_no_later_than_the_last_is_held_against_the_range_only() -> None:
    trial = Trial()
    trial.reads([20.0] * 5)
    assert trial.read(50.0, after_s=0) is GOOD
    assert trial.read(70.0, after_s=-600) is Quality.RANGE
    assert trial.read(20.0, after_s=660) is GOOD


@pytest.mark.parametrize(
    ("water_c", "quality"), [(-5.0, GOOD), (-5.01, Quality.RANGE), (60.0, GOOD), (60.1, Quality.RANGE)]
)
def test_water_is_between_five_below_zero_and_sixty(water_c: float, quality: Quality) -> None:
    assert Trial().read(water_c) is quality


# The room's air counts for ten minutes, or for two readings where these are further apart.
@pytest.mark.parametrize(("every_s", "held_s"), [(60, 600), (1200, 2400)])
def test_the_rooms_air_counts_for_ten_minutes_or_two_readings(every_s: int, held_s: int) -> None:
    for late_s, known in ((0, True), (1, False)):
        trial = Trial(every_s, room=True)
        trial.read(21.0, ("air", 21.0))
        for _ in range(10):
            trial.trust.judge([Reading(trial.at + 1, "air", 11.0, GOOD)])
            trial.read(21.0, after_s=held_s + 1 + late_s)
        assert (trial.last(1) == [STUCK]) is known
