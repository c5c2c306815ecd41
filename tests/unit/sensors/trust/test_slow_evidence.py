"""Water or air by the half hour, on vessels, rooms and thermometers that know nothing of the judge's models.

The figures of many weeks stand in docs/explanation/trust.md (tests/bench/slow_trust.py); these are a few.
"""

import math
from collections.abc import Callable

import pytest

from sensors.reading import Measure, Quality, Reading
from sensors.trust.judge import Judge, Watched, as_read, revised
from tests.kit.air_and_water import KINDS, Course
from tests.kit.trust_trials import SAMPLINGS_S, judged, out_and_back

HOUR, DAY = 3600, 86_400
BEGAN = 1_800_000_000 // DAY * DAY
GOOD, IN_AIR = Quality.GOOD, Quality.IN_AIR


def evening(at: int) -> bool:
    """The hours of a lamp that burns from 18:00 to 07:00."""
    return not 7 <= at % DAY / HOUR < 18


class Cup:
    """A lidded cup that follows a room of 20 ± 1.5 K, 1.9 h behind, and a lamp that lifts it by 3.5 K."""

    def __init__(self, every_s: int, room: Callable[[float], float] | None = None) -> None:
        plans = [Watched("cup", Measure.WATER_C, 250.0, "air", lit=evening), Watched("air", Measure.ROOM_C)]
        self.plans, self.trust, self.every_s, self.at = plans, Judge(plans, every_s), every_s, BEGAN
        self.room = room or (lambda hours: 20.0 + 1.5 * math.cos(math.pi * (hours - 6.0) / 12.0))
        self.water_c = self.room(0.0)
        self.stored: list[Reading] = []
        self.doubts: set[str | None] = set()

    def hours(
        self, count: float, *, in_air: bool = False, lamp_k: float = 3.5, room_read: bool = True
    ) -> None:
        """Let hours pass; `in_air` the probe says just what the room's says."""
        for _ in range(round(count * HOUR / self.every_s)):
            self.at += self.every_s
            room_c = self.room((self.at - BEGAN) / HOUR)
            rests_c = room_c + (lamp_k if evening(self.at) else 0.0)
            self.water_c += (rests_c - self.water_c) * (1.0 - math.exp(-self.every_s / 6840.0))
            beat = [Reading(self.at, "cup", round((room_c if in_air else self.water_c) * 16) / 16, GOOD)]
            beat += [Reading(self.at, "air", round(room_c, 2), GOOD)] if room_read else []
            found = self.trust.judge(beat)
            if found.revisions:
                self.stored = list(revised(self.stored, found.revisions))
            self.stored += found.readings
            self.doubts.add(self.trust.doubts.get("cup"))

    def qualities(self, hours: float) -> list[Quality]:
        """What the readings of the last hours are known as now."""
        since = self.at - hours * HOUR
        return [r.quality for r in self.stored if r.probe == "cup" and r.at > since]


@pytest.mark.parametrize("every_s", SAMPLINGS_S)
def test_a_dry_probe_beside_its_cup_is_known_by_the_next_morning_and_from_when_it_slipped(
    every_s: int,
) -> None:
    cup = Cup(every_s)
    cup.hours(52)
    assert set(cup.qualities(52)) == {GOOD}
    assert cup.doubts == {None}
    cup.hours(20, in_air=True)
    assert set(cup.qualities(19)) == {IN_AIR}
    cup.hours(100, in_air=True)  # over days on end
    assert set(cup.qualities(100)) == {IN_AIR}


@pytest.mark.parametrize("every_s", SAMPLINGS_S)
def test_put_back_without_a_warm_hand_it_is_believed_before_the_next_morning(every_s: int) -> None:
    cup = Cup(every_s)
    cup.hours(52)
    cup.hours(28, in_air=True)
    cup.hours(16)
    assert cup.stored[-2].quality is GOOD
    assert set(cup.qualities(1)) == {GOOD}


def test_a_lamp_that_fails_is_no_probe_in_the_air() -> None:
    cup = Cup(600)
    cup.hours(52)
    cup.hours(72, lamp_k=0.0)
    assert set(cup.qualities(124)) == {GOOD}


def test_without_a_room_probe_nothing_is_said() -> None:
    cup = Cup(600)
    cup.hours(52, room_read=False)
    cup.hours(72, in_air=True, room_read=False)
    assert set(cup.qualities(124)) == {GOOD}
    assert cup.doubts == {None}


@pytest.mark.parametrize("slips_h", [54, 60, 62])
def test_a_cup_as_warm_as_an_even_room_for_six_hours_under_its_lamp_is_doubted(slips_h: int) -> None:
    cup = Cup(600, lambda _hours: 20.0)
    cup.hours(slips_h, lamp_k=1.6)
    assert cup.doubts == {None}
    cup.hours(24, in_air=True)
    assert "it has been as warm as the room for six hours under the lamp; maybe it hangs in air" in cup.doubts


def test_a_cup_that_its_lamp_never_warmed_is_not_doubted_for_being_as_warm_as_the_room() -> None:
    cup = Cup(600)
    cup.hours(96, lamp_k=0.0)
    assert cup.doubts == {None}


def test_judged_anew_from_four_days_before_it_comes_to_the_same() -> None:
    cup = Cup(600)
    cup.hours(150)
    for _ in range(6):
        cup.hours(4, in_air=True)
        anew = Judge(cup.plans, 600)
        anew.judge([as_read(r) for r in cup.stored if r.at > BEGAN + 50 * HOUR])
        assert anew.why("cup") == cup.trust.why("cup")
        assert anew.doubts == cup.trust.doubts
    assert cup.stored[-2].quality is IN_AIR


@pytest.mark.parametrize("kind", KINDS)
def test_plain_days_of_any_vessel_bring_no_doubt(kind: str) -> None:
    for seed in range(2):
        assert judged(Course(kind, 50 + seed, days=4), 600).false_h == ()


def test_a_strong_heater_that_warms_a_cone_and_holds_it_is_no_fall() -> None:
    assert judged(Course("cone", 4016, days=1), 60).false_h == ()


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_plain_weeks_of_any_vessel_bring_hardly_a_doubt(kind: str) -> None:
    weeks = [judged(Course(kind, seed), SAMPLINGS_S[seed % 4]) for seed in range(500, 560)]
    assert sum(1 for week in weeks if week.false_h) <= 3  # the page says how many of 200


@pytest.mark.parametrize("kind", KINDS)
def test_most_probes_that_slip_out_of_any_vessel_are_told_of_within_a_day(kind: str) -> None:
    found = [judged(out_and_back(kind, seed), 600) for seed in range(4)]
    told = [f for f in found if f.doubted_h and f.course.out_h and f.doubted_h - f.course.out_h[0] <= 24]
    assert len(told) >= 3
