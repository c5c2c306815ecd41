"""What a night's record shows: how long it was too cold, and what is a gap and what is not."""

from reports import night as facts
from reports.chart.finding import warmth
from reports.records import Point, Span
from tests.kit.report_samples import BEGAN, ENDED, at_hour, night, series, vessel

SPAN = Span(BEGAN, ENDED)


def test_hours_too_cold_and_too_hot_are_counted_by_the_readings_while_it_was_watched():
    """15 hours of 24 at 10.8 °C, below a limit of 20 °C."""
    one = vessel(water_c=series(lambda h: 10.8 if 2 <= h < 17 else 24.0))
    beyond = facts.beyond(one, SPAN)
    assert (beyond.cold.total_seconds() / 3600, beyond.hot.total_seconds()) == (15.0, 0.0)
    (finding,) = warmth([one], night(one))
    assert finding.replace("\u00a0", " ") == "15 h too cold, coldest 10.8 °C"
    assert facts.beyond(vessel(water_c=one.water_c, watched=False), SPAN).cold.total_seconds() == 0
    late = vessel(water_c=one.water_c, watched_from=at_hour(10))
    assert facts.beyond(late, SPAN).cold.total_seconds() / 3600 == 7.0


THINNED = tuple(Point(at_hour(h), 24.0) for h in range(-24, 0))
DENSE = series(lambda _: 24.0, every_min=1)


def test_a_thinned_store_shows_no_gaps_nor_does_the_change_to_a_reading_a_minute():
    two_days = Span(at_hour(-24), ENDED)
    assert facts.gaps(THINNED, Span(at_hour(-24), at_hour(-1))) == []
    assert facts.gaps((*THINNED, *DENSE), two_days) == []


def test_a_real_gap_shows_in_either_part_of_a_store_that_was_thinned():
    holed = (
        *THINNED[:6],
        *THINNED[12:],
        *(point for point in DENSE if not at_hour(5) < point.at < at_hour(6)),
    )
    assert facts.gaps(holed, Span(at_hour(-24), ENDED)) == [
        (facts.moment_utc(at_hour(-19)), facts.moment_utc(at_hour(-12))),
        (facts.moment_utc(at_hour(5)), facts.moment_utc(at_hour(6))),
    ]


def test_a_reading_an_hour_speaks_for_its_hour():
    hourly = vessel(light=series(lambda _: 800.0, every_min=60), water_c=series(lambda _: 15.0, every_min=60))
    seen = facts.lamp_seen(hourly, SPAN)
    assert (seen.lit.total_seconds() / 3600, seen.unseen.total_seconds()) == (13.0, 0.0)
    assert facts.beyond(hourly, SPAN).cold.total_seconds() / 3600 == 24.0
