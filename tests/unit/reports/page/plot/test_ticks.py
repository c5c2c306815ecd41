"""What a chart names below it, narrow and wide; positions by real seconds, labels by the local clock."""

from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from reports.language import spoken
from reports.page.plot.span import plot_span
from reports.page.plot.ticks import NARROW_PX, WIDE_PX, Tick, day_ticks, hour_ticks
from tests.kit import plot_samples
from tests.kit.report_samples import at_hour, night

LETTER_PX = (
    6.0  # of 12 px: the mean of digits and small letters in DejaVu Sans is 6.6 px, in Liberation 5.9 px [M]
)


def shown(ticks: tuple[Tick, ...], width: str) -> list[tuple[float, str]]:
    return sorted((tick.share, tick.label) for tick in ticks if tick.only in ("", width))


@pytest.mark.parametrize("record", [plot_samples.into_summer_time(), plot_samples.into_winter_time()])
def test_every_hour_stands_where_it_is_by_real_seconds_also_when_the_clocks_change(record) -> None:
    span = plot_span(record, now=False)
    for share, label in shown(hour_ticks(span), "w"):
        at_s = span.began.timestamp() + share * (span.edge - span.began).total_seconds()
        assert f"{datetime.fromtimestamp(round(at_s), plot_samples.ZONE):%H:%M}" == label


@pytest.mark.parametrize("zone", ["Asia/Kolkata", "Pacific/Auckland", "America/St_Johns"])
def test_the_hours_are_round_ones_of_the_local_clock(zone: str) -> None:
    began = datetime(2027, 1, 15, 20, tzinfo=ZoneInfo(zone))
    ticks = hour_ticks(plot_span(plot_samples.of_days(1, began), now=False))
    assert [label for _, label in shown(ticks, "n")] == ["00:00", "06:00", "12:00", "18:00"]


def test_a_skipped_hour_is_not_named_and_one_that_comes_twice_is_named_twice() -> None:
    """Lisbon, 2027: 01:00 to 02:00 on 28 March, 02:00 to 01:00 on 31 October (EU directive 2000/84/EC)."""
    spring, autumn = (
        [label for _, label in shown(hour_ticks(plot_span(hours, now=False)), "w")]
        for hours in (_six_hours(3, 27), _six_hours(10, 30))
    )
    assert spring == ["23:00", "00:00", "02:00", "03:00", "04:00"]
    assert autumn == ["23:00", "00:00", "01:00", "01:00", "02:00"]


def _six_hours(month: int, day: int):
    began = datetime(2027, month, day, 22, 30, tzinfo=plot_samples.ZONE)
    return plot_samples.of_days(0.23, began)


def test_a_day_is_as_wide_as_it_is_long() -> None:
    span = plot_span(plot_samples.of_days(3, datetime(2027, 3, 27, 0, tzinfo=plot_samples.ZONE)), now=False)
    shares = [share for share, _ in shown(day_ticks(span), "w")]
    assert [round(72 * (after - before)) for before, after in pairwise(shares)] == [24, 23]


@pytest.mark.parametrize("days", [0.1, 0.5, 1, 2, 3, 7, 14, 60, 400])
@pytest.mark.parametrize(("width", "wide_px"), [("n", NARROW_PX), ("w", WIDE_PX)])
@pytest.mark.parametrize("language", ["en", "de"])
def test_no_label_runs_into_the_next_or_out_of_the_plot(
    days: float, width: str, wide_px: float, language: str
) -> None:
    began = datetime(2027, 1, 15, 10, 17, tzinfo=plot_samples.ZONE)
    record = night(span=type(night().span)(began, at_hour(24 * days, began)))
    with spoken(language):
        span = plot_span(record, now=days < 4)
        hours, dates = shown(hour_ticks(span), width), shown(day_ticks(span), width)
    assert dates, "the days are always named"
    for ticks, middle in ((hours, 0.5), (dates, 0.0)):
        edges = [
            (share * wide_px - middle * wide, share * wide_px + (1 - middle) * wide)
            for share, wide in ((share, len(label) * LETTER_PX) for share, label in ticks)
        ]
        assert all(before[1] + 4 <= after[0] for before, after in pairwise(edges)), ticks
        assert all(began >= -1 and ended <= wide_px + 1 for began, ended in edges), ticks


def test_what_is_to_come_is_shown_of_the_present_only_and_not_where_it_would_be_a_sliver() -> None:
    record = plot_samples.a_day()
    assert plot_span(record, now=True).edge - plot_span(record, now=True).ended == timedelta(hours=16)
    assert plot_span(record, now=False).edge == plot_span(record, now=False).ended
    months = plot_span(plot_samples.two_months(), now=True)
    assert months.edge == months.ended
