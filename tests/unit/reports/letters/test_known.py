"""What is known of vessels: a list where they are alike, a table where not, names drawn together."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reports.letters.blocks import Facts, Table
from reports.letters.known import Fact, Known, fact, known, listed
from tests.kit.invariants.letter import Block, is_about

COLD, WARM = fact("Water", "17.4 °C"), fact("Water", "21.0 °C")
LIMIT = Fact("Limit", "18.0 °C")


def test_one_vessel_is_told_of_in_a_list():
    assert known([Known("tray (24 cups)", (COLD, LIMIT))], "Vessel") == [
        Facts("tray (24 cups)", ("Water: 17.4 °C.", "Limit: 18.0 °C."))
    ]


def test_like_vessels_are_told_of_in_one_list():
    (block,) = known([Known(f"cup-{n}", (COLD,)) for n in range(1, 7)], "Vessel")
    assert block == Facts("cup-1 to cup-6", ("Water: 17.4 °C.",))


def test_others_have_a_row_for_each_group():
    ones = [Known("cup-1", (COLD, LIMIT)), Known("cup-2", (COLD, LIMIT)), Known("jar", (WARM, LIMIT))]
    (table,) = known(ones, "Vessel")
    assert table == Table(("Vessel", "Water"), (("cup-1 and cup-2", "17.4 °C"), ("jar", "21.0 °C")))


def test_what_is_not_known_of_one_is_a_dash():
    ones = [Known("cup", (COLD,)), Known("jar", (WARM, fact("Hatched", "40 %")))]
    (table,) = known(ones, "Vessel")
    assert table.rows == (("cup", "17.4 °C", "–"), ("jar", "21.0 °C", "40 %"))


def test_a_fact_without_a_value_stands_in_tables_only():
    alarm = Fact("Alarm", None, "too cold")
    assert known([Known("cup", (alarm, COLD))], "Vessel") == [Facts("cup", ("Water: 17.4 °C.",))]
    (table,) = known([Known("cup", (alarm, COLD)), Known("jar", (WARM,))], "Vessel")
    assert table.head == ("Vessel", "Alarm", "Water")


def test_two_facts_may_share_a_column():
    ones = [
        Known("cup", (Fact("Batch", "none", "none", "Hatched"),)),
        Known("jar", (fact("Hatched", "4 %"),)),
    ]
    (table,) = known(ones, "Vessel")
    assert table.head == ("Vessel", "Hatched")


def test_nothing_known_of_nothing_is_no_block():
    assert known([], "Vessel") == []


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["cup"], "cup"),
        (["cup-1", "cup-2"], "cup-1 and cup-2"),
        (["cup-1", "cup-2", "cup-3", "jar"], "cup-1 to cup-3 and jar"),
        (["cup-1", "cup-3", "cup-4"], "cup-1, cup-3 and cup-4"),
        (["cup-9", "cup-10", "cup-11", "cup-13"], "cup-9 to cup-11 and cup-13"),
        (["a1", "b2", "c3"], "a1, b2 and c3"),
    ],
)
def test_names_that_count_on_are_drawn_together(names, said):
    assert listed(names) == said


@given(st.sets(st.sampled_from([f"cup-{n}" for n in range(1, 30)] + ["jar", "cone"]), min_size=1))
def test_who_is_named_can_be_read_back(names):
    title = listed(
        sorted(names, key=lambda one: (one.split("-")[0], int(one.split("-")[1]) if "-" in one else 0))
    )
    block = Block(title, ("x",), "")
    everyone = [f"cup-{n}" for n in range(31)] + ["jar", "cone"]
    assert {one for one in everyone if is_about(block, one)} == names
