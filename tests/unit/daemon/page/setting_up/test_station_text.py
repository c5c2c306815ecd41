"""A station file edited as a text: what is not touched stays, what is put in is read back."""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.page.setting_up.station_text import NAME, StationText, faults_of

EXAMPLE = (Path(__file__).parents[5] / "docs/reference/station.example.toml").read_text(encoding="utf-8")
VALUES = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(2**53), 2**53),
    st.booleans(),
    st.text(st.characters(codec="utf-8"), max_size=20),
    st.lists(st.text(st.characters(codec="utf-8"), max_size=10), max_size=3),
)
KEYS = st.from_regex(r"[a-z_]{1,12}", fullmatch=True)
EDITS = st.lists(
    st.one_of(
        st.tuples(
            st.just("put"), st.sampled_from(["station", "post", "page"]), st.dictionaries(KEYS, VALUES)
        ),
        st.tuples(st.just("add"), st.sampled_from(["probe", "vessel", "lot"]), st.dictionaries(KEYS, VALUES)),
        st.tuples(st.just("drop"), st.sampled_from(["probe", "vessel", "lot"]), st.integers(0, 3)),
    ),
    max_size=8,
)


def done(model: dict[str, Any], text: StationText, edits: list[tuple[str, str, Any]]) -> None:
    """The same edits on the text, and on plain tables by other code."""
    for what, name, given_ in edits:
        if what == "put":
            text.put(name, given_)
            if given_ or model.get(name):
                model.setdefault(name, {}).update(given_)
        elif what == "add":
            text.put_entry(name, len(text.entries(name)), given_)
            model.setdefault(name, []).append(dict(given_))
        elif given_ < len(model.get(name, [])):
            text.drop_entry(name, given_)
            del model[name][given_]
            if not model[name]:
                del model[name]


SOME = EXAMPLE.partition('[[probe]]\nid = "tray-light"')[0]


@settings(max_examples=40)
@given(st.sampled_from(["", SOME, 'vessel = [{id = "a"}, {id = "b"}]\nlot = []\n']), EDITS)
def test_whatever_is_put_in_is_read_back_and_nothing_else_changes(
    begun: str, edits: list[tuple[str, str, Any]]
) -> None:
    text = StationText(begun)
    model = tomllib.loads(begun)
    done(model, text, edits)
    assert {k: v for k, v in tomllib.loads(text.text).items() if v or k == "lot"} == {
        k: v for k, v in model.items() if v or k == "lot"
    }


def test_a_text_that_nobody_edits_is_the_same_to_the_last_byte() -> None:
    assert StationText(EXAMPLE).text == EXAMPLE


def test_comments_order_and_other_tables_stay_as_somebody_wrote_them() -> None:
    text = StationText(EXAMPLE)
    text.put("station", {"name": "Room 13"})
    text.put_entry("vessel", 0, {"mark_ml": 260.0})
    before = EXAMPLE.replace('"Room 12"', '"Room 13"').replace("mark_ml = 250.0", "mark_ml = 260.0", 1)
    assert text.text == before


def test_a_value_that_is_the_same_is_not_written_anew() -> None:
    text = StationText('[station]\nname = "Room" # by hand\nsample_every_s = 6_0\n')
    text.put("station", {"name": "Room", "sample_every_s": 60})
    assert text.text == '[station]\nname = "Room" # by hand\nsample_every_s = 6_0\n'


def test_none_takes_a_key_away_and_of_nothing_no_table_is_made() -> None:
    text = StationText('[post]\nnightly = false\nsmtp_host = "a.example"\n')
    text.put("post", {"smtp_host": None, "to": None})
    text.put("page", {"listen": None})
    assert text.text == "[post]\nnightly = false\n"


def test_what_stands_where_a_table_belongs_is_replaced_by_one() -> None:
    text = StationText('station = "Room"\nvessel = 7\n')
    text.put("station", {"name": "Room"})
    text.put_entry("vessel", 0, {"id": "cup"})
    assert tomllib.loads(text.text) == {"station": {"name": "Room"}, "vessel": [{"id": "cup"}]}


@pytest.mark.parametrize("place", [1, 7])
def test_a_place_behind_the_next_is_none(place: int) -> None:
    with pytest.raises(IndexError):
        StationText("").put_entry("vessel", place, {"id": "cup"})
    with pytest.raises(IndexError):
        StationText('[[vessel]]\nid = "cup"\n').drop_entry("vessel", place)


def test_what_is_no_toml_is_refused_in_the_words_of_the_files_own_check() -> None:
    with pytest.raises(InputError) as refused:
        StationText("x = [")
    with pytest.raises(InputError) as known:
        parse_station("x = [", NAME)
    assert str(refused.value) == str(known.value)


def test_each_fault_names_its_key_and_keeps_the_words_of_the_check() -> None:
    text = StationText(EXAMPLE)
    text.put_entry("vessel", 1, {"low_ml": "a lot"})
    text.put("station", {"name": None})
    assert faults_of(text.text) == [
        ("station.name", "found nothing; allowed: this key must be given"),
        ("vessel[2].low_ml", "found 'a lot'; allowed: a number from 0.1 to 100000"),
    ]
    assert faults_of(EXAMPLE) == []
    assert faults_of("x = [")[0][0] == ""
