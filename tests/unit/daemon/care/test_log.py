"""The care log: read and checked, written back, and the contract's table of deeds held word for word."""

import re
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.care.deed import KINDS, Deed
from daemon.care.log import deed_from_fields, format_detail, format_number, read_care_log
from daemon.errors import InputError
from tests.kit.checkout import REFERENCE
from tests.kit.refusals import faults_told, reader_of
from tests.kit.station import probe, station, vessel

HEADER = "time,vessel,deed,amount,unit,detail\n"
ROOM = station(probe("tray-water"), vessel("tray-a", "tray-water", count=24, brim_ml=30.0))
NOON = int(datetime(2027, 2, 12, 12, tzinfo=UTC).timestamp())
STAMP = "2027-02-12T12:00:00+00:00"


@pytest.fixture
def log_of(tmp_path):
    return reader_of(tmp_path / "care.csv", lambda path: read_care_log(path, ROOM))


@pytest.fixture
def faults_of(log_of, tmp_path):
    return faults_told(tmp_path, log_of)


def deed(kind, amount="", unit="", detail=""):
    return deed_from_fields(NOON, "tray-a", kind, amount, unit, detail, ROOM)


def refused(kind, amount="", unit="", detail=""):
    with pytest.raises(InputError) as refusal:
        deed(kind, amount, unit, detail)
    return list(refusal.value.faults)


# The rows of the contract's table, one of each sort.
EVERY_DEED = [
    ("set", "0.05", "g", "lot=blue tin;salt_g_per_l=25;volume_ml=250;light=yes", 0.05),
    ("set", "0.05", "g", "light=no", 0.05),
    ("top-up", "31.5", "ml", "to=mark", 31.5),
    ("top-up", "20", "ml", "", 20.0),
    ("top-up", "60", "ml", "above_ml=20", 60.0),
    ("brine", "50", "ml", "salt_g_per_l=25", 50.0),
    ("remove", "10", "ml", "", 10.0),
    ("cover", "1", "", "", 1.0),
    ("cover", "0", "", "", 0.0),
    ("stir", "", "", "", None),
    ("feed", "0.01", "g", "food=yeast", 0.01),
    ("feed", "0.01", "g", "food=spirulina", 0.01),
    ("first-swimmer", "", "", "", None),
    ("hatched", "0.4", "fraction", "", 0.4),
    ("count", "43", "animals", "volume_ml=5;of_cysts=100", 43.0),
    ("salinity", "26.5", "g_per_kg", "with=refractometer", 26.5),
    ("salinity", "1.018", "sg", "with=hydrometer;water_c=24;scale_c=25", 1.018),
    ("harvest", "200", "ml", "", 200.0),
    ("note", "", "", "text=smells of a=b; pond, 2 °C", None),
    ("end", "", "", "", None),
]


@pytest.mark.parametrize(("kind", "amount", "unit", "detail", "value"), EVERY_DEED)
def test_every_deed_of_the_table_is_read_and_written_back(kind, amount, unit, detail, value):
    read = deed(kind, amount, unit, detail)
    assert (read.at, read.vessel, read.deed, read.amount) == (NOON, "tray-a", kind, value)
    assert format_detail(read) == detail
    assert read.unit == unit


def test_the_table_holds_every_kind_of_deed():
    assert {row[0] for row in EVERY_DEED} == set(KINDS)


def test_numbers_of_the_detail_are_floats_and_words_are_text():
    assert dict(deed(*EVERY_DEED[0][:4]).detail) == {
        "lot": "blue tin",
        "salt_g_per_l": 25.0,
        "volume_ml": 250.0,
        "light": "yes",
    }
    assert deed(*EVERY_DEED[0][:4]).number("salt_g_per_l") == 25.0
    assert deed(*EVERY_DEED[0][:4]).number("lot") is None


def test_a_note_keeps_equals_signs_and_semicolons():
    assert deed("note", detail="text=a=b; c=d").detail == {"text": "a=b; c=d"}


def test_blanks_around_pairs_and_a_last_semicolon_are_nothing():
    assert deed("top-up", "40", "ml", " to = mark ; above_ml = 0 ;").detail == {"to": "mark", "above_ml": 0.0}


@pytest.mark.parametrize(
    ("kind", "amount", "unit", "detail", "fault"),
    [
        ("top-up", "", "ml", "to=mark", "amount: found ''; allowed: a plain number"),
        ("top-up", "-1", "ml", "", "amount: found '-1'; allowed: 0 to 500 ml"),
        ("top-up", "960", "ml", "", "amount: found '960'; allowed: 0 to 500 ml (of one cup"),
        ("top-up", "40", "g", "", "unit: found 'g'; allowed: ml"),
        ("top-up", "40", "", "", "unit: found ''; allowed: ml"),
        ("top-up", "40", "ml", "to=brim", "detail to: found 'brim'; allowed: mark"),
        ("top-up", "40", "ml", "above_ml=900", "detail above_ml: found '900'; allowed: 0 to 500 ml"),
        ("top-up", "40", "ml", "above_ml=", "detail above_ml: found ''; allowed: a plain number"),
        ("top-up", "40", "ml", "mark", "detail: found 'mark'; allowed: key=value pairs"),
        ("top-up", "40", "ml", "to=mark;to=mark", "detail: found to twice"),
        ("top-up", "40", "ml", "too=mark", "detail: found 'too' (did you mean to?); allowed: above_ml, to"),
        ("set", "nan", "g", "", "amount: found 'nan'"),
        ("set", "26", "g", "", "amount: found '26'; allowed: 0 to 25 g"),
        (
            "set",
            "1",
            "g",
            "salt_g_per_l=2500",
            "detail salt_g_per_l: found '2500'; allowed: 0 to 300 g_per_l",
        ),
        ("set", "1", "g", "light=maybe", "detail light: found 'maybe'; allowed: no, yes"),
        ("set", "1", "g", "lot=", "detail lot: found ''"),
        ("hatched", "40", "fraction", "", "amount: found '40'; allowed: 0 to 1 fraction"),
        ("salinity", "1025", "g_per_kg", "", "amount: found '1025'; allowed: 0 to 200 g_per_kg"),
        ("cover", "0.5", "", "", "amount: found '0.5'; allowed: 1 (put on) or 0 (taken off)"),
        ("cover", "", "", "", "amount: found ''"),
        ("feed", "", "g", "food=yeast", "amount: found ''"),
        ("feed", "1", "g", "food=flour", "detail food: found 'flour'; allowed: other, spirulina, yeast"),
        ("stir", "1", "", "", "amount: found '1'; allowed: no amount for stir"),
        ("stir", "", "ml", "", "unit: found 'ml'; allowed: no unit for stir"),
        ("stir", "", "", "hard=yes", "detail: found 'hard'; allowed: no detail for stir"),
        ("note", "", "", "", "detail: found no text"),
        ("note", "", "", "text=two\nlines", "detail text: found 'two\\nlines'; allowed: one line"),
        (
            "count",
            "10",
            "animals",
            "of_cysts=0",
            "detail of_cysts: found '0'; allowed: 1 to 100000000 cysts",
        ),
        ("topup", "40", "ml", "", "deed: found 'topup' (did you mean top-up?); allowed: set, top-up"),
    ],
)
def test_a_wrong_entry_is_refused_with_what_is_allowed(kind, amount, unit, detail, fault):
    (told,) = refused(kind, amount, unit, detail)
    assert told.startswith(fault)


def test_an_unknown_vessel_is_refused_with_the_vessels_there_are():
    with pytest.raises(
        InputError, match=r"vessel: found 'tray-b' \(did you mean tray-a\?\); allowed: tray-a"
    ):
        deed_from_fields(NOON, "tray-b", "stir", None, "", "", ROOM)


def test_all_faults_of_an_entry_are_told_together():
    assert len(refused("feed", "much", "ml", "food=flour;when=now")) == 4


def test_a_log_is_sorted_by_time_and_keeps_the_order_of_one_time(log_of):
    deeds = log_of(
        HEADER
        + f"{STAMP},tray-a,top-up,40,ml,to=mark\n"
        + f"{STAMP},tray-a,stir,,,\n"
        + '2027-02-12T09:00:00+00:00,tray-a,note,,,"text=milky, a little"\n'
    )
    assert [entry.deed for entry in deeds] == ["note", "top-up", "stir"]
    assert deeds[0] == Deed(NOON - 3 * 3600, "tray-a", "note", None, {"text": "milky, a little"})


def test_the_reference_page_holds_a_log_and_every_key_of_every_deed(log_of):
    page = (REFERENCE / "care-log.md").read_text(encoding="utf-8")
    deeds = log_of(page.partition("```text\n")[2].partition("```")[0])
    assert [entry.deed for entry in deeds] == ["set", "top-up", "note"]
    rows = {row.split("`")[1]: row for row in page.splitlines() if row.startswith("| `")}
    assert set(rows) == set(KINDS)
    for name, kind in KINDS.items():
        choices = [word for allowed in kind.words.values() for word in allowed or ()]
        told = [*kind.numbers, *kind.words, *choices, *kind.other_units, *([kind.unit] if kind.unit else [])]
        assert [word for word in told if not re.search(rf"[`=]{word}[`=]", rows[name])] == []


def test_a_log_without_deeds_is_a_log(log_of):
    assert log_of(HEADER) == []


def test_water_after_the_end_of_a_batch_is_still_water(log_of):
    text = f"{HEADER}{STAMP},tray-a,end,,,\n{STAMP},tray-a,top-up,40,ml,to=mark\n"
    assert [entry.deed for entry in log_of(text)] == ["end", "top-up"]


def test_faults_of_a_log_carry_file_and_line(faults_of):
    faults = faults_of(
        HEADER
        + "yesterday,tray-b,stir,,,\n"
        + f"{STAMP},tray-a,stir,,,\n"
        + f"{STAMP},tray-a,feed,1,g\n"
        + f"{STAMP},tray-a,hatched,4,fraction,\n"
    )
    assert [fault.partition(" found")[0] for fault in faults] == [
        "care.csv:2: time:",
        "care.csv:2: vessel:",
        "care.csv:4:",
        "care.csv:5: amount:",
    ]


@pytest.mark.parametrize("text", ["", "time,vessel\n", HEADER.encode() + b"\xff\n", HEADER + '"open\n'])
def test_a_file_that_is_no_care_log_is_refused_in_one_line(faults_of, text):
    (fault,) = faults_of(text)
    assert "; allowed: " in fault


numbers = st.floats(0, 500, allow_subnormal=False).map(lambda value: value + 0.0)
words = st.text(st.characters(exclude_categories=["C", "Z"], exclude_characters=";"), min_size=1, max_size=80)


@given(numbers, numbers.filter(lambda value: value <= 300), words, st.sampled_from(["yes", "no"]))
def test_a_detail_is_read_back_as_it_was_written(volume_ml, salt, lot, light):
    told = Deed(
        NOON,
        "tray-a",
        "set",
        0.05,
        {"volume_ml": volume_ml, "salt_g_per_l": salt, "lot": lot, "light": light},
    )
    assert deed("set", "0.05", "g", format_detail(told)) == told


@given(numbers)
def test_an_amount_is_read_back_as_it_was_written(amount):
    assert deed("top-up", format_number(amount), "ml").amount == amount


fields = st.one_of(
    st.sampled_from([STAMP, "tray-a", "1", "g", "ml", "", "to=mark", "text=", *KINDS]), st.text(max_size=20)
)
entries = st.tuples(st.just(STAMP), st.just("tray-a"), st.sampled_from([*KINDS]), fields, fields, fields).map(
    ",".join
)
lines = st.lists(st.one_of(entries, st.lists(fields, max_size=7).map(",".join)), max_size=6).map("\n".join)


def outcome(read, raw):
    """What was read and the faults it was refused for: one of the two."""
    try:
        return read(raw), ()
    except InputError as refusal:
        return None, refusal.faults


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.one_of(st.binary(max_size=200), lines.map(lambda t: (HEADER + t).encode())))
def test_no_bytes_make_the_reader_fail_otherwise_than_by_refusal(log_of, raw):
    deeds, faults = outcome(log_of, raw)
    assert (deeds is None) == bool(faults)
    assert all("\n" not in fault for fault in faults)
    assert all(entry.deed in KINDS for entry in deeds or [])
