"""Nauplii every day: cones set in attended hours so that each harvest falls at its hour."""

from collections import defaultdict
from datetime import time
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.config import parse_station
from daemon.hours import is_attended, local_time
from daemon.planning.cone import ConeHatch
from daemon.planning.cone_days import CLEANING_S, DAYS, cones_of, daily_harvests, daily_rhythm
from daemon.planning.hatched_by import start_of
from daemon.science.strains import STRAINS, UNKNOWN, Strain
from daemon.seconds import HOUR_S
from tests.kit.recordings import unix
from tests.kit.station import SCHOOL_HOURS, station_text

ALWAYS = parse_station(station_text(attended=[]), "station.toml")
SCHOOL = parse_station(station_text(attended=SCHOOL_HOURS, zone="Europe/Lisbon"), "station.toml")
MONDAY = unix("2027-01-11T07:00:00+00:00")
clocks = st.builds(time, st.integers(0, 23), st.sampled_from([0, 30]))
warmths = st.sampled_from([18.0, 20.5, 23.0, 25.0, 27.0, 28.5, 31.0])


@cache
def hatch_of(water_c: float, strain: Strain = UNKNOWN) -> ConeHatch:
    """Made once: a chance that was asked for is kept."""
    return ConeHatch(water_c, 25.0, start_of(strain))


@settings(max_examples=30, deadline=None)
@given(warmths, clocks, st.sampled_from(list(STRAINS.values())), st.integers(0, 14 * 24))
def test_where_somebody_is_always_there_a_harvest_covers_each_day(water_c, clock, strain, later) -> None:  # type: ignore[no-untyped-def]
    hatch = hatch_of(water_c, strain)
    found = daily_harvests(hatch, ALWAYS, clock, MONDAY + later * HOUR_S)
    assert len(found) == DAYS
    assert all(one.set_at is not None for one in found)
    days = [one.day.toordinal() for one in found]
    assert days == list(range(days[0], days[0] + DAYS))
    rhythm = daily_rhythm(hatch)
    assert {(one.at - (one.set_at or 0)) / HOUR_S for one in found[1:]} == {rhythm.after_h}
    assert cones_of(found) == rhythm.cones


@settings(max_examples=30, deadline=None)
@given(warmths, clocks, st.integers(0, 14 * 24 * 2))
def test_a_cone_is_set_and_drawn_off_only_while_somebody_is_there_and_holds_one_batch(
    water_c: float, clock: time, later: int
) -> None:
    now = MONDAY + later * 1800
    found = daily_harvests(hatch_of(water_c), SCHOOL, clock, now)
    busy = defaultdict(list)
    for one in found:
        assert local_time(one.at, SCHOOL.timezone).time() == clock
        if one.set_at is None:
            continue
        assert now <= one.set_at < one.at
        assert is_attended(SCHOOL, one.at)
        assert is_attended(SCHOOL, one.set_at)
        busy[one.cone].append((one.set_at, one.at + CLEANING_S))
    for spans in busy.values():
        spans.sort()
        assert all(earlier[1] <= later[0] for earlier, later in pairwise(spans))


def test_a_week_at_school_has_no_harvest_on_the_weekend_and_none_that_would_be_set_then() -> None:
    found = daily_harvests(hatch_of(27.0), SCHOOL, time(8, 30), MONDAY)
    told = {f"{one.day:%a}": (one.attended, one.set_at is not None) for one in found}
    assert told["Sat"] == told["Sun"] == (False, False)
    assert told["Mon"] == (True, False)  # it would have to be set on Sunday
    assert [told[day] for day in ("Tue", "Wed", "Thu", "Fri")] == [(True, True)] * 4


def test_nobody_there_at_the_hour_means_no_harvest_at_all() -> None:
    assert daily_harvests(hatch_of(27.0), SCHOOL, time(3, 0), MONDAY) == []


@pytest.mark.parametrize(("water_c", "cones"), [(27.0, 1), (20.0, 2), (16.0, 4)])
def test_the_colder_the_more_cones(water_c: float, cones: int) -> None:
    """A cone is busy from its setting to an hour after its harvest."""
    assert daily_rhythm(hatch_of(water_c)).cones == pytest.approx(cones, abs=1)
    rhythm = daily_rhythm(hatch_of(water_c))
    assert (rhythm.cones - 1) * 24.0 < rhythm.after_h + 1.0 <= rhythm.cones * 24.0


def test_the_hours_chosen_meet_the_window_more_often_than_a_day_or_two_days() -> None:
    """Common practice sets a cone a day before it is needed [P]."""
    for water_c in (18.0, 20.0, 23.0, 27.0):
        hatch = hatch_of(water_c)
        assert daily_rhythm(hatch).chance >= max(hatch.chance_open(24.0), hatch.chance_open(48.0))
