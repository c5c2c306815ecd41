"""A station file for the next class: days that are over go, all else stays as somebody wrote it."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.config import parse_station
from daemon.config.next_text import next_text, with_comments
from daemon.errors import InputError
from tests.kit.checkout import ROOT
from tests.kit.station import station_text

EXAMPLE = (ROOT / "docs" / "reference" / "station.example.toml").read_text("utf-8")
TODAY = date(2027, 2, 17)


def test_only_days_that_are_over_go_and_comments_and_tins_stay() -> None:
    before = EXAMPLE.replace(
        '["2027-02-15/2027-02-19"]', '["2026-12-21/2027-01-03", "2027-02-15/2027-02-19"]'
    )
    found = next_text(before, "station.toml", TODAY)
    assert found.over == ("2026-12-21/2027-01-03",)
    assert found.to_come == ("2027-02-15/2027-02-19",)  # it is not over before its last day is
    assert found.text == EXAMPLE


def test_a_list_over_several_lines_keeps_the_comments_of_what_stays() -> None:
    away = '[\n  "2026-12-21/2027-01-03", # winter\n  "2027-03-25/2027-04-09", # spring\n]'
    found = next_text(EXAMPLE.replace('["2027-02-15/2027-02-19"]', away), "station.toml", TODAY)
    assert found.over == ("2026-12-21/2027-01-03",)
    assert '"2027-03-25/2027-04-09"' in found.text
    assert "# spring" in found.text
    assert parse_station(found.text, "new").away[0].first == date(2027, 3, 25)


def test_a_file_without_days_away_is_the_same_text() -> None:
    assert next_text(station_text(), "station.toml", TODAY).text == station_text()


def test_what_is_no_station_file_is_refused_with_its_name() -> None:
    with pytest.raises(InputError, match=r"^old\.toml: "):
        next_text("[station]\nname = 3", "old.toml", TODAY)


def test_lines_above_are_comments_and_change_nothing() -> None:
    text = with_comments(EXAMPLE, ["one", "", 'two = "three"'])
    assert parse_station(text, "new") == parse_station(EXAMPLE, "new")
    assert text.endswith(EXAMPLE)


DAYS = st.dates(date(2026, 9, 1), date(2027, 9, 1))


@given(spans=st.lists(st.tuples(DAYS, st.integers(0, 20)), max_size=6, unique=True), today=DAYS)
def test_of_any_days_away_those_stay_that_are_not_over(spans: list[tuple[date, int]], today: date) -> None:
    told = [(first, first + timedelta(days=more)) for first, more in spans]
    away = ", ".join(f'"{first}/{last}"' for first, last in told)
    found = next_text(EXAMPLE.replace('"2027-02-15/2027-02-19"', away), "station.toml", today)
    kept = [(span.first, span.last) for span in parse_station(found.text, "new").away]
    assert sorted(kept) == sorted(span for span in told if span[1] >= today)
    assert len(found.over) + len(found.to_come) == len(told)
    before, after = parse_station(EXAMPLE, "new"), parse_station(found.text, "new")
    assert (after.vessels, after.probes, after.lots) == (before.vessels, before.probes, before.lots)
