"""Cysts need light in their first hours: what is believed of a hatch that may not have had it."""

import pytest

from daemon.care.deed import Deed
from daemon.estimates.hatch.light import Light
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from tests.kit.station import tray

TUESDAY = 1_800_316_800  # 2027-01-19 00:00 UTC
HOUR, MINUTE = 3600, 60
CUP = tray()


def half(light: str | None, lux: float | None = None, lit_from_h: float = 99.0, hours: int = 36) -> Estimate:
    """When half is hatched, hours after `set`, with the lamp going on after some hours."""
    belief = VesselBelief(CUP, 600)
    belief.feed_deed(Deed(TUESDAY, "cup", "set", 0.5, {} if light is None else {"light": light}))
    for at in range(TUESDAY, TUESDAY + hours * HOUR + 1, 600):
        belief.feed_reading(at, "water_c", 25.0)
        if lux is not None:
            belief.feed_reading(at, "light_lux", 2000.0 if at >= TUESDAY + lit_from_h * HOUR else lux)
    found = belief.estimates(TUESDAY + hours * HOUR)["hatch_t50"]
    return Estimate(*((q - TUESDAY) / HOUR for q in (found.p10, found.p50, found.p90)))


def test_set_without_light_may_come_later_and_no_earlier() -> None:
    lit, unlit = half("yes"), half("no")
    assert half(None) == lit
    assert unlit.p10 >= lit.p10
    assert unlit.p90 > lit.p90 + 3.0


def test_a_light_probe_knows_better_than_the_night_that_is_assumed() -> None:
    # New 2002, FAO 428 [R]: light in the first hours; ten minutes were enough (Sorgeloos & Persoone [R]).
    at_once, in_the_evening = half("no", 5.0, 0.0), half("no", 5.0, 8.0)
    assert at_once.p90 == pytest.approx(half("yes").p90, abs=1.0)
    assert at_once.p90 < in_the_evening.p90 < half("no").p90 + 6.0


def test_cysts_that_nobody_lit_wait_in_the_dark() -> None:
    # Van der Linden et al. 1989 [R]: a dark cyst stays triggerable for 20 days and more.
    dark = half(None, 5.0, hours=60)
    assert dark.p90 > 60.0
    assert dark.p10 < 30.0  # and some lots do without


def test_light_told_is_believed_against_a_dark_probe() -> None:
    assert half("yes", 5.0) == half("yes")


def test_ten_minutes_of_light_are_enough_and_a_flicker_is_not() -> None:
    light = Light()
    for minute, lit in ((0, False), (30, True), (31, False), (60, True), (72, False), (100, False)):
        light.feed(TUESDAY + minute * MINUTE, lit=lit)
    assert light.dark(TUESDAY, TUESDAY + 40 * MINUTE, None)
    assert not light.dark(TUESDAY, TUESDAY + 90 * MINUTE, None)
    assert light.dark(
        TUESDAY + 73 * MINUTE, TUESDAY + 90 * MINUTE, None
    )  # the lamp went off before the cysts came


def test_a_probe_that_fell_silent_says_nothing() -> None:
    light = Light()
    light.feed(TUESDAY, lit=False)
    assert not light.dark(TUESDAY, TUESDAY + 3 * HOUR, None)
    assert light.dark(TUESDAY, TUESDAY + 3 * HOUR, given=False)


def test_of_two_light_probes_in_one_second_the_order_does_not_matter() -> None:
    one, other = Light(), Light()
    for minute in range(30):
        for light, order in ((one, (True, False)), (other, (False, True))):
            for lit in order if minute < 15 else (False, False):
                light.feed(TUESDAY + minute * MINUTE, lit=lit)
    for minute in range(60):
        asked = TUESDAY, TUESDAY + minute * MINUTE, None
        assert one.dark(*asked) == other.dark(*asked)


# Spells between readings ---


def read(*readings: tuple[int, bool]) -> Light:
    """Readings so many seconds after `set`."""
    found = Light()
    for after, lit in readings:
        found.feed(TUESDAY + after, lit=lit)
    return found


def dark(found: Light, after: int, given: bool | None = None) -> bool:
    return found.dark(TUESDAY, TUESDAY + after, given)


def test_with_nothing_told_and_no_probe_nothing_is_doubted() -> None:
    assert not dark(Light(), 60)
    assert not dark(Light(), 60, given=True)


# [P]: `light=no` without a probe is dark for a night.
@pytest.mark.parametrize(("after", "waits"), [(0, True), (12 * HOUR - 1, True), (12 * HOUR, False)])
def test_told_no_light_they_wait_for_twelve_hours(after: int, waits: bool) -> None:
    assert dark(Light(), after, given=False) is waits


def test_a_lit_probe_is_light_at_once_and_enough_after_ten_minutes() -> None:
    lit = [(60 * minute, True) for minute in range(11)]
    found = read(*lit, (660, False), (720, False))
    assert not dark(found, 300)
    assert not dark(found, 720), "they had eleven minutes"
    short = read(*lit[:10], (599, False), (659, False))
    assert dark(short, 659), "they had 599 seconds"
    just = read(*lit[:10], (600, False), (660, False))
    assert not dark(just, 660)


def test_light_before_they_were_set_does_not_count_and_dark_before_is_dark() -> None:
    early = read((-3000, True), (-1500, True), (-100, True), (400, False))
    assert dark(early, 500), "400 s since they were set"
    assert not dark(read((-3000, True), (-100, True), (600, False)), 700)
    assert dark(read((-60, False)), 30)


# A reading is held for half an hour; silence says nothing.
@pytest.mark.parametrize(("after", "waits"), [(1800, True), (1801, False)])
def test_a_dark_reading_is_held_for_half_an_hour(after: int, waits: bool) -> None:
    assert dark(read((0, False)), after) is waits
    assert dark(read((0, False)), after, given=False)


def test_readings_further_apart_are_two_spells_and_the_time_between_was_not_seen() -> None:
    near = read((0, True), (1800, True))
    assert not dark(near, 1800 + 1801)
    far = read((0, False), (1802, False))
    assert not dark(far, 1801)
    assert dark(far, 1802)
    silent = read((0, False), (5000, True))
    assert not dark(silent, 3000), "nobody knows"
    assert dark(silent, 3000, given=False)


def test_what_was_read_later_is_not_known_yet() -> None:
    found = read((0, False), (600, True), (1200, True))
    assert dark(found, 599)
    assert not dark(found, 600)


def test_of_two_readings_of_one_second_a_lit_one_counts() -> None:
    for pair in ((True, False), (False, True)):
        found = Light()
        for lit in pair:
            found.feed(TUESDAY, lit=lit)
        assert not dark(found, 0)


def test_spells_that_were_over_are_dropped_and_the_last_is_kept() -> None:
    found = read((-9000, True), (-8000, False), (-50, True), (10, False))
    twin = found.copy()
    found.forget(TUESDAY)
    assert [spell[0] - TUESDAY for spell in found._spells] == [10]
    assert len(twin._spells) == 4
    alone = read((-9000, True))
    alone.forget(TUESDAY)
    assert len(alone._spells) == 1
    under_way = read((-900, True), (-10, True), (0, True), (20, False))
    under_way.forget(TUESDAY)
    assert [spell[0] - TUESDAY for spell in under_way._spells] == [-900, 20]
