"""A table as bytes: RFC 4180, written as its rows come."""

import csv
import hashlib
from collections.abc import Iterator
from io import BytesIO, StringIO

from hypothesis import given
from hypothesis import strategies as st

from daemon.export.csv_file import write_csv

CELLS = st.text(alphabet="a,;\"'\r\n\t=ä🦐 ", max_size=8) | st.text(max_size=8)


@given(st.lists(st.lists(CELLS, min_size=2, max_size=2), max_size=8))
def test_what_is_written_reads_back_and_is_counted(rows: list[list[str]]) -> None:
    file = BytesIO()
    written = write_csv(file, ["a", "b"], rows)
    raw = file.getvalue()
    assert list(csv.reader(StringIO(raw.decode(), newline=""), strict=True)) == [["a", "b"], *rows]
    assert (written.rows, written.bytes) == (len(rows), len(raw))
    assert written.sha256 == hashlib.sha256(raw).hexdigest()


def test_a_row_is_written_before_the_next_is_asked_for() -> None:
    """So months need no more memory than minutes: tests/bench/export.py measures that."""
    file = BytesIO()

    def rows() -> Iterator[list[str]]:
        for number in range(100):
            assert file.getvalue().count(b"\r\n") == 1 + number
            yield [str(number)]

    assert write_csv(file, ["number"], rows()).rows == 100


def test_a_field_is_quoted_only_where_rfc_4180_asks_for_it() -> None:
    # Section 2, rules 5 to 7: line breaks, double quotes and commas; a quote is doubled.
    file = BytesIO()
    write_csv(file, ["a", "b"], [["one, two", 'say "three"'], ["four", "five\r\nsix"]])
    assert file.getvalue() == b'a,b\r\n"one, two","say ""three"""\r\nfour,"five\r\nsix"\r\n'


def test_half_a_letter_is_no_reason_to_lose_a_table() -> None:
    file = BytesIO()
    write_csv(file, ["a"], [["\ud83e"]])
    assert file.getvalue() == b"a\r\n?\r\n"
