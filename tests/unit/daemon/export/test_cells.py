"""What stands in a table's cell."""

import re
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.export.cells import BothClocks, guarded, number
from tests.kit.data_package import unguarded

HOSTILE = st.text(alphabet="=+-@＝＋－＠'\";, \t\r\nab", max_size=12) | st.text()


@given(HOSTILE)
def test_guarded_text_reads_back_to_the_letter(text: str) -> None:
    assert unguarded(guarded(text)) == text


@given(HOSTILE)
def test_no_cell_that_begins_in_guarded_text_is_a_formula(text: str) -> None:
    # The signs: OWASP, "CSV Injection" [M]. A spreadsheet program may drop blanks before them.
    for cell in re.split(r"[;\t\r\n]", guarded(text)):
        assert not re.match(r" *[=+\-@＝＋－＠]", cell)


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("milky; =HYPERLINK(1)", "milky;' =HYPERLINK(1)"),
        ("'=1", "''=1"),
        ("a=b", "a=b"),
        ("20-25 °C", "20-25 °C"),
        ("'tis", "'tis"),
        ("", ""),
    ],
)
def test_only_what_would_begin_a_formula_gets_an_apostrophe(text: str, cell: str) -> None:
    assert guarded(text) == cell


@given(st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**15), 10**15).map(float))
def test_a_number_reads_back_as_the_very_same(value: float) -> None:
    assert float(number(value)) == value


def test_what_is_no_number_is_written_as_table_schema_has_it() -> None:
    # Table Schema v1, "number": NaN, INF, -INF [M].
    written = [number(value) for value in (None, float("nan"), float("inf"), float("-inf"), 24.0)]
    assert written == ["", "NaN", "INF", "-INF", "24"]


@given(st.integers(-8_589_934_592, 8_589_934_592), st.sampled_from(["Europe/Lisbon", "Pacific/Chatham"]))
def test_both_clocks_name_the_same_moment(at: int, zone: str) -> None:
    utc, local = BothClocks(ZoneInfo(zone)).cells(at)
    assert utc.endswith("Z")
    assert datetime.fromisoformat(utc).timestamp() == datetime.fromisoformat(local).timestamp() == at


def test_an_hour_that_comes_twice_is_told_apart_by_its_offset() -> None:
    # Portugal put its clocks back on 25 October 2026 at 01:00 UTC (EU directive 2000/84/EC: last Sunday).
    clock = BothClocks(ZoneInfo("Europe/Lisbon"))
    once, again = (
        clock.cells(datetime.fromisoformat(at).timestamp())[1]
        for at in ("2026-10-25T00:30:00+00:00", "2026-10-25T01:30:00+00:00")
    )
    assert (once, again) == ("2026-10-25T01:30:00+01:00", "2026-10-25T01:30:00+00:00")


@pytest.mark.parametrize("at", [None, 1e300, float("nan")])
def test_what_no_calendar_holds_is_an_empty_cell(at: float | None) -> None:
    assert BothClocks(ZoneInfo("UTC")).cells(at) == ("", "")
