"""Recorded readings: read whole or refused with their lines; played at their own times."""

import tracemalloc
from datetime import UTC, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.play.tape import HOLD_S, Tape, TapeBench, TapeProbe, read_tape
from sensors.reading import Measure, Quality, Reading
from tests.kit.checkout import REFERENCE
from tests.kit.refusals import faults_told, reader_of
from tests.kit.station import probe, station, vessel

HEADER = "time,probe,value,fault\n"
PROBES = {
    "tray-water": Measure.WATER_C,
    "tray-light": Measure.LIGHT_LUX,
    "room-air": Measure.ROOM_C,
    "tray-float": Measure.FLOAT_LOW,
}
ROOM = station(
    *(probe(name, measures, "tape", file="tape.csv") for name, measures in PROBES.items()),
    vessel("tray", "tray-water"),
)
NOON = int(datetime(2027, 2, 12, 12, tzinfo=UTC).timestamp())
ROW = "2027-02-12T12:00:00+00:00,tray-water,24.5,\n"


@pytest.fixture
def tape_of(tmp_path):
    return reader_of(tmp_path / "tape.csv", lambda path: read_tape(path, ROOM))


@pytest.fixture
def faults_of(tape_of, tmp_path):
    return faults_told(tmp_path, tape_of)


def test_rows_become_readings_with_their_quality(tape_of):
    tape = tape_of(
        HEADER
        + ROW
        + "2027-02-12T12:00:00Z,tray-light,812.5,\n"
        + "2027-02-12T13:01:00+01:00,tray-water,,crc\n"
        + "2027-02-12T12:02:00.750Z,tray-water,85,\n"
    )
    assert tape.readings == (
        Reading(NOON, "tray-water", 24.5, Quality.GOOD),
        Reading(NOON, "tray-light", 812.5, Quality.GOOD),
        Reading(NOON + 60, "tray-water", None, Quality.CRC),
        Reading(NOON + 120, "tray-water", 85.0, Quality.RANGE),
    )
    assert (tape.began, tape.ended) == (NOON, NOON + 120)


@pytest.mark.parametrize("fault", ["absent", "crc", "reset", "range"])
def test_every_fault_of_the_format_is_kept(tape_of, fault):
    assert tape_of(f"{HEADER}2027-02-12T12:00:00Z,tray-water,,{fault}\n").readings[0].quality == fault


def test_a_byte_order_mark_windows_line_ends_and_trailing_empty_lines_are_accepted(tape_of):
    text = (HEADER + ROW + "\n\n").replace("\n", "\r\n").encode()
    assert tape_of(b"\xef\xbb\xbf" + text) == tape_of(HEADER + ROW)
    assert tape_of(HEADER + ROW.rstrip("\n")) == tape_of(HEADER + ROW)


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("", 1, "found an empty file"),
        (HEADER, 2, "found no rows"),
        ("time,probe,fault,value\n" + ROW, 1, "found the header 'time,probe,fault,value'"),
        ("\n" + HEADER + ROW, 1, "found the header ''"),
        (HEADER + ROW + "2027-02-12T12:01:00Z,tray-water,24\0.5,\n", 3, "found a NUL byte"),
        ((HEADER + "2027-02-12T12:01:00Z,tray-water,24°,\n").encode("latin-1"), 2, "found the byte 0xb0"),
        (HEADER + ROW + '2027-02-12T12:01:00Z,"tray-water,1,\n', 3, "found a row that is no CSV"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,warm,\n", 2, "value: found 'warm'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,nan,\n", 2, "value: found 'nan'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,-inf,\n", 2, "value: found '-inf'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,1e999,\n", 2, "value: found '1e999'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,1_0,\n", 2, "value: found '1_0'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,٢٤,\n", 2, "value: found '٢٤'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,21,5,\n", 2, "found 5 columns"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water\n", 2, "found 2 columns"),
        (HEADER + "2027-02-12T12:00:00,tray-water,24,\n", 2, "time: found '2027-02-12T12:00:00'"),
        (HEADER + "2027-02-30T12:00:00Z,tray-water,24,\n", 2, "time: found '2027-02-30T12:00:00Z'"),
        (HEADER + "9999-12-31T23:59:59Z,tray-water,24,\n", 2, "time: found '9999-12-31T23:59:59Z'"),
        (HEADER + ROW + "2027-02-12T11:59:59Z,tray-light,1,\n", 3, "time: found 2027-02-12T11:59:59Z after"),
        (HEADER + ROW + "2027-02-12T13:00:00+01:00,tray-water,24,\n", 3, "found a second row of tray-water"),
        (HEADER + "2027-02-12T12:00:00Z,tray-wter,24,\n", 2, "probe: found 'tray-wter'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,,late\n", 2, "fault: found 'late'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,,jump\n", 2, "fault: found 'jump'"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,24,crc\n", 2, "value: found the value '24' beside"),
        (HEADER + "2027-02-12T12:00:00Z,tray-water,,\n", 2, "found neither a value nor a fault"),
        (HEADER + f"2027-02-12T12:00:00Z,{'w' * 3000},24,\n", 2, "probe: found 3000 characters"),
        (HEADER + f"2027-02-12T12:00:00Z,{'w' * 30000},24,\n", 2, "found a line of more than"),
        (HEADER + "\n" + ROW, 2, "found an empty line"),
    ],
)
def test_a_wrong_tape_is_refused_with_its_line(faults_of, text, line, found):
    (fault,) = faults_of(text)
    assert fault.startswith(f"tape.csv:{line}: ")
    assert found in fault
    assert "; allowed: " in fault
    assert "\n" not in fault


def test_a_file_that_is_not_there_and_a_folder_are_one_clear_line(tmp_path):
    for path, found in [(tmp_path / "none.csv", "no such file"), (tmp_path, "a folder")]:
        with pytest.raises(InputError) as refusal:
            read_tape(path, ROOM)
        assert refusal.value.faults == (f"{path}: found {found}; allowed: the path of a readable file",)


def test_ten_faults_are_told_together_and_the_rest_are_counted(faults_of):
    faults = faults_of(HEADER + "2027-02-12T12:00:00Z,tray-water,warm,\nshort\n" * 8)
    assert len(faults) == 11
    assert faults[0].startswith("tape.csv:2: value:")
    assert faults[1].startswith("tape.csv:3: found 1 columns")
    assert faults[10] == "and 6 more"


def test_stretches_without_rows_of_any_probe_are_when_the_station_was_off():
    at = [0, 60, 60, 120, 4000, 4060, 9000]
    tape = Tape(tuple(Reading(NOON + s, "tray-water", 24.0, Quality.GOOD) for s in at))
    assert tape.off_stretches(600) == [(NOON + 120, NOON + 4000), (NOON + 4060, NOON + 9000)]
    assert tape.off_stretches(3880) == [(NOON + 4060, NOON + 9000)]


def test_the_example_of_the_reference_page_is_a_tape(tape_of):
    page = (REFERENCE / "tape.md").read_text(encoding="utf-8")
    tape = tape_of(page.partition("```text\n")[2].partition("```")[0])
    assert [(reading.probe, reading.value) for reading in tape.readings] == [
        ("tray-water", 24.5),
        ("tray-light", 812.0),
        ("tray-water", None),
    ]


@given(st.lists(st.integers(0, 5000), min_size=1).map(sorted), st.lists(st.integers(-100, 6000)).map(sorted))
def test_a_bench_gives_every_row_once_at_the_first_beat_that_reaches_it(row_times, beats):
    tape = Tape(tuple(Reading(at, "tray-water", 24.0, Quality.GOOD) for at in row_times))
    bench = TapeBench(tape)
    before = None
    for beat in beats:
        wanted = [at for at in row_times if at <= beat and (before is None or at > before)]
        assert [reading.at for reading in bench.sample(beat)] == wanted
        before = beat
    bench.close()


def played(probe, *seconds):
    return [(r.value, r.quality.value) for r in (probe.read(1_900_000_000 + s) for s in seconds)]


def test_a_probe_plays_its_rows_from_its_first_read_on_and_is_absent_after_the_last(tape_of):
    tape = tape_of(
        HEADER
        + ROW
        + "2027-02-12T12:01:00Z,tray-water,24.6,\n2027-02-12T12:01:00Z,room-air,20,\n"
        + "2027-02-12T12:02:00Z,tray-water,,crc\n2027-02-12T12:03:00Z,tray-water,24.8,\n"
    )
    water = TapeProbe("tray-water", Measure.WATER_C, tape)
    assert (water.id, water.measures) == ("tray-water", Measure.WATER_C)
    assert played(water, 0, 30, 60, 125, 180, 181) == [
        (24.5, "good"),
        (24.5, "good"),
        (24.6, "good"),
        (None, "crc"),
        (24.8, "good"),
        (None, "absent"),
    ]
    air = TapeProbe("room-air", Measure.ROOM_C, tape)
    assert played(air, 0, 60) == [(None, "absent"), (20.0, "good")]
    light = TapeProbe("tray-light", Measure.LIGHT_LUX, tape)
    assert played(light, 0) == [(None, "absent")]


def test_a_probe_is_absent_where_its_tape_was_off():
    rows = (
        Reading(NOON, "tray-water", 24.0, Quality.GOOD),
        Reading(NOON + 5000, "tray-water", 21.0, Quality.GOOD),
    )
    probe = TapeProbe("tray-water", Measure.WATER_C, Tape(rows))
    assert played(probe, 0, HOLD_S, HOLD_S + 1, 5000) == [
        (24.0, "good"),
        (24.0, "good"),
        (None, "absent"),
        (21.0, "good"),
    ]
    assert probe.read(1_900_000_000).at == 1_900_000_000


def long_tape(minutes):
    stamps = (datetime.fromtimestamp(NOON + 60 * minute, UTC).isoformat() for minute in range(minutes))
    return HEADER + "".join(f"{stamp},{probe},0.5,\n" for stamp in stamps for probe in PROBES)


def test_seventy_two_hours_of_four_probes_stay_light(tmp_path):
    path = tmp_path / "tape.csv"
    path.write_text(long_tape(72 * 60))
    tracemalloc.start()
    try:
        tape = read_tape(path, ROOM)
        kept, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(tape.readings) == 72 * 60 * 4
    # A Pi Zero 2 has 512 MB; a tape may take about one hundredth, also while it is read.
    assert kept < 4_000_000
    assert most < 5_000_000


fields = st.one_of(
    st.sampled_from(
        ["2027-02-12T12:00:00Z", "1970-01-01T00:00:00+23:59", "tray-water", "room-air", "24.5", "crc"]
    ),
    st.text(max_size=20),
)
rows = st.lists(st.lists(fields, max_size=6).map(",".join), max_size=8).map("\n".join)
anything = st.one_of(
    st.binary(max_size=200), rows.map(lambda text: (HEADER + text).encode("utf-8", "surrogatepass"))
)


def outcome(read, raw):
    """What was read and the faults it was refused for: one of the two."""
    try:
        return read(raw), ()
    except InputError as refusal:
        return None, refusal.faults


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(anything)
def test_no_bytes_make_the_reader_fail_otherwise_than_by_refusal(tape_of, raw):
    tape, faults = outcome(tape_of, raw)
    assert (tape is None) == bool(faults)
    assert all("\n" not in fault for fault in faults)
    times = [] if tape is None else [reading.at for reading in tape.readings]
    assert times == sorted(times)
