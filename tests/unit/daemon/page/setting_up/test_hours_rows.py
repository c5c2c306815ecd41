"""Hours and days as rows of a form: what was written is what is shown, and is written again."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from daemon.config.hours_syntax import WEEKDAYS, away, daily, weekly
from daemon.page.setting_up.hours_rows import (
    DaysRow,
    HoursRow,
    daily_rows,
    daily_typed,
    days_rows,
    days_typed,
    faults_by_place,
    weekly_rows,
    weekly_typed,
)

CLOCKS = st.builds("{:02}:{:02}".format, st.integers(0, 23), st.integers(0, 59))
ENDS = st.one_of(CLOCKS, st.just("24:00"))
HOURS = st.tuples(CLOCKS, ENDS).filter(lambda ends: ends[0] != ends[1]).map("-".join)
DAYS = st.sets(st.integers(0, 6), min_size=1).map(
    lambda days: ",".join(WEEKDAYS[day].capitalize() for day in sorted(days))
)
SPANS = st.builds(
    lambda first, length: f"{first.isoformat()}/{(first + timedelta(days=length)).isoformat()}",
    st.dates(date(2000, 1, 1), date(2190, 1, 1)),
    st.integers(0, 100),
)


def sent(name: str, rows: list[HoursRow]) -> MultiDict[str, str]:
    """The form as a browser sends it: its clock knows no 24:00."""
    form: MultiDict[str, str] = MultiDict()
    for place, row in enumerate(rows, start=1):
        form[f"{name}-from-{place}"] = row.begins
        form[f"{name}-to-{place}"] = row.ends
        for day in row.days:
            form.add(f"{name}-day", f"{place}.{day}")
    return form


@given(st.lists(st.builds("{} {}".format, DAYS, HOURS), max_size=6))
def test_weekly_hours_that_go_through_the_form_mean_the_same(values: list[str]) -> None:
    form = sent("attended", weekly_rows(values, {}))
    again = weekly_typed(form, form.getlist("attended-day"), "attended")
    assert [weekly(value) for value in again] == [weekly(value) for value in values]


@given(st.lists(HOURS, max_size=6))
def test_daily_hours_that_go_through_the_form_mean_the_same(values: list[str]) -> None:
    again = daily_typed(sent("lamp", daily_rows(values, {})), "lamp")
    assert [daily(value) for value in again] == [daily(value) for value in values]


@given(st.lists(SPANS, max_size=6))
def test_days_that_go_through_the_form_mean_the_same(values: list[str]) -> None:
    form = {
        f"away-{end}-{place}": getattr(row, end)
        for place, row in enumerate(days_rows(values, {}), start=1)
        for end in ("first", "last")
    }
    assert [away(value) for value in days_typed(form, "away")] == [away(value) for value in values]


def test_what_was_written_wrong_stays_as_it_was_with_its_fault_beside_it() -> None:
    rows = weekly_rows(["Mon 25:00-26:00", "Tue 08:00-12:00"], {1: "found that"})
    assert rows[0] == HoursRow("25:00", "26:00", frozenset({0}), "found that")
    form = sent("attended", rows)
    assert weekly_typed(form, form.getlist("attended-day"), "attended") == [
        "Mon 25:00-26:00",
        "Tue 08:00-12:00",
    ]
    assert days_rows(["2027-02-31"], {1: "no day"})[0] == DaysRow("2027-02-31", "2027-02-31", "no day")


def test_a_row_that_is_half_filled_in_is_not_lost() -> None:
    form = MultiDict({"attended-from-1": "08:00", "attended-day": "2.4"})
    assert weekly_typed(form, form.getlist("attended-day"), "attended") == ["08:00-", "Fri"]
    assert days_typed({"away-last-1": "2027-02-19"}, "away") == ["/2027-02-19"]


def test_an_end_at_midnight_is_the_days_end_and_days_in_a_row_are_written_short() -> None:
    form = sent("attended", [HoursRow("18:00", "00:00", frozenset({0, 1, 2, 4, 5}))])
    assert weekly_typed(form, form.getlist("attended-day"), "attended") == ["Mon-Wed,Fri,Sat 18:00-24:00"]


def test_there_is_always_an_empty_row_to_fill_in() -> None:
    assert weekly_rows(None, {})[-1] == daily_rows("no list", {})[-1] == HoursRow()
    assert days_rows(["2027-02-15"], {})[-1] == DaysRow()


def test_a_fault_of_the_whole_list_stands_at_its_first_row() -> None:
    faults = [("station.away[2]", "second"), ("station.away", "all"), ("station.awayness", "other")]
    assert faults_by_place(faults, "station.away") == {2: "second", 1: "all"}
