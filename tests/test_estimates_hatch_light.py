"""Whether cysts have had their light: ten minutes of it, by spells between readings."""

import pytest

from daemon.estimates.hatch.light import Light

SET = 1_800_000_000
HOUR = 3600


def light(*readings: tuple[int, bool]) -> Light:
    """Readings so many seconds after `set`."""
    found = Light()
    for after, lit in readings:
        found.feed(SET + after, lit=lit)
    return found


def dark(found: Light, after: int, told: bool | None = None) -> bool:
    return found.dark(SET, SET + after, told)


def test_with_nothing_told_and_no_probe_nothing_is_doubted() -> None:
    assert not dark(Light(), 60)
    assert not dark(Light(), 60, told=True)


# [P]: `light=no` without a probe is dark for a night.
@pytest.mark.parametrize(("after", "waits"), [(0, True), (12 * HOUR - 1, True), (12 * HOUR, False)])
def test_told_no_light_they_wait_for_twelve_hours(after: int, waits: bool) -> None:
    assert dark(Light(), after, told=False) is waits


def test_a_lit_probe_is_light_at_once_and_enough_after_ten_minutes() -> None:
    lit = [(60 * minute, True) for minute in range(11)]
    found = light(*lit, (660, False), (720, False))
    assert not dark(found, 300)
    assert not dark(found, 720), "they had eleven minutes"
    short = light(*lit[:10], (599, False), (659, False))
    assert dark(short, 659), "they had 599 seconds"
    just = light(*lit[:10], (600, False), (660, False))
    assert not dark(just, 660)


def test_light_before_they_were_set_does_not_count_and_dark_before_is_dark() -> None:
    early = light((-3000, True), (-1500, True), (-100, True), (400, False))
    assert dark(early, 500), "400 s since they were set"
    assert not dark(light((-3000, True), (-100, True), (600, False)), 700)
    assert dark(light((-60, False)), 30)


# A reading is held for half an hour; silence says nothing.
@pytest.mark.parametrize(("after", "waits"), [(1800, True), (1801, False)])
def test_a_dark_reading_is_held_for_half_an_hour(after: int, waits: bool) -> None:
    assert dark(light((0, False)), after) is waits
    assert dark(light((0, False)), after, told=False)


def test_readings_further_apart_are_two_spells_and_the_time_between_was_not_seen() -> None:
    near = light((0, True), (1800, True))
    assert not dark(near, 1800 + 1801)
    far = light((0, False), (1801, False))
    assert not dark(far, 1801 - 0) or dark(far, 1801)
    silent = light((0, False), (5000, True))
    assert not dark(silent, 3000), "nobody knows"
    assert dark(silent, 3000, told=False)


def test_what_was_read_later_is_not_known_yet() -> None:
    found = light((0, False), (600, True), (1200, True))
    assert dark(found, 599)
    assert not dark(found, 600)


def test_of_two_readings_of_one_second_a_lit_one_counts() -> None:
    for pair in ((True, False), (False, True)):
        found = Light()
        for lit in pair:
            found.feed(SET, lit=lit)
        assert not dark(found, 0)


def test_spells_that_were_over_are_dropped_and_the_last_is_kept() -> None:
    found = light((-9000, True), (-8000, False), (-50, True), (10, False))
    twin = found.copy()
    found.forget(SET)
    assert [spell[0] - SET for spell in found._spells] == [10]
    assert len(twin._spells) == 4
    alone = light((-9000, True))
    alone.forget(SET)
    assert len(alone._spells) == 1
    under_way = light((-900, True), (-10, True), (0, True), (20, False))
    under_way.forget(SET)
    assert [spell[0] - SET for spell in under_way._spells] == [-900, 20]
