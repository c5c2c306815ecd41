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
