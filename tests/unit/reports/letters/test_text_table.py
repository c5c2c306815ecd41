"""Tables in plain text: nothing is lost, nothing is too wide, and a program reads them back."""

import re
from string import ascii_letters, ascii_lowercase, digits

from hypothesis import given
from hypothesis import strategies as st

from reports.letters.text_table import set_out
from tests.kit.text_table import table_in

# Words of letters and digits, so that no cell looks like the rule under the head.
_WORD = st.text(ascii_letters + digits + "°%.", min_size=1, max_size=9)
_CELL = st.lists(_WORD, max_size=6).map(" ".join)
_NAME = st.lists(st.text(ascii_lowercase, min_size=1, max_size=9), min_size=1, max_size=4).map(" ".join)


@st.composite
def tables(draw):
    columns = draw(st.integers(2, 5))
    cells = st.lists(_CELL, min_size=columns, max_size=columns)
    rows = draw(st.lists(st.tuples(_NAME, cells), min_size=2, max_size=6))
    return [[name, *rest[1:]] for name, rest in rows]


@given(tables(), st.integers(64, 90))
def test_every_cell_can_be_read_back(rows, width):
    """But for the spaces, where a word had to be broken."""
    read = table_in(set_out(rows[0], rows[1:], width))
    assert [[cell.replace(" ", "") for cell in row] for row in read] == [
        [cell.replace(" ", "") for cell in row] for row in rows
    ]


@given(tables(), st.integers(64, 90))
def test_no_line_is_wider_than_asked(rows, width):
    assert max(map(len, set_out(rows[0], rows[1:], width))) <= width


def test_columns_stand_under_each_other():
    lines = set_out(["Vessel", "Water"], [["cup-1 to cup-6", "17.4 °C"], ["jar", "21.0 °C"]], 72)
    assert lines == [
        "Vessel          Water",
        "--------------  -------",
        "cup-1 to cup-6  17.4 °C",
        "jar             21.0 °C",
    ]


def test_a_row_that_goes_on_is_indented():
    lines = set_out(["Vessel", "Alarm"], [["tray by the window", "too cold since today at 03:10"]], 24)
    assert all(re.match(r"\s{2}", line) for line in lines[3:])
    assert max(map(len, lines)) <= 24
