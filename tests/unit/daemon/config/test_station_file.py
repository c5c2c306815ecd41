"""The station file: read with its defaults, or refused with every fault, a line each."""

import tomllib
from datetime import date, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.config import parse_station, read_station
from daemon.config.drivers import DRIVERS, PROBE_KEYS, driver_keys
from daemon.config.indicator import INDICATOR_KEYS
from daemon.config.page import PAGE_KEYS
from daemon.config.station_file import LOT_KEYS, STATION_KEYS, TABLES, VESSEL_KEYS
from daemon.config.ways_out import POST_KEYS
from daemon.errors import InputError
from daemon.station import DailyHours, DaySpan, LotPlan, Post, PostServer, ProbePlan, Station, WeeklyHours
from sensors.reading import Measure
from tests.kit.checkout import REFERENCE

WATER = (
    '[[probe]]\nid = "tray-water"\nmeasures = "water_c"\ndriver = "ds18b20"\naddress = "28-0316a2795f1c"\n'
)
STATION = '[station]\nname = "Room 12"\ntimezone = "Europe/Lisbon"\n'
VESSEL = (
    '[[vessel]]\nid = "tray-a"\nmark_ml = 250.0\nsurface_cm2 = 38.5\nlow_ml = 40\nprobes = ["tray-water"]\n'
)
POST = '[post]\nsmtp_host = "localhost"\nfrom = "cups@school.example"\nto = ["teacher@school.example"]\n'
LEAST = STATION + WATER + VESSEL


def faults_of(text):
    with pytest.raises(InputError) as refusal:
        parse_station(text, "station.toml")
    assert refusal.value.exit_code == 2
    return list(refusal.value.faults)


def the_fault(text):
    (fault,) = faults_of(text)
    return fault


def probe(measures, driver, *keys, name="extra"):
    lines = [f'id = "{name}"', f'measures = "{measures}"', f'driver = "{driver}"', *keys]
    return "[[probe]]\n" + "\n".join(lines) + "\n"


def test_the_least_station_has_the_documented_defaults():
    station = parse_station(LEAST, "station.toml")
    assert (station.attended, station.away) == ((), ())
    assert (station.sample_every_s, station.temperature_unit, station.language) == (60, "C", "en")
    assert station.probes == (
        ProbePlan("tray-water", Measure.WATER_C, "ds18b20", {"address": "28-0316a2795f1c"}),
    )
    vessel = station.vessels[0]
    assert (vessel.count, vessel.kind, vessel.brim_ml, vessel.rim_above_water_cm) == (1, "cup", 0.0, 1.0)
    assert (vessel.cold_c, vessel.hot_c, vessel.lamp) == (20.0, 30.0, ())
    assert (vessel.heater_c, vessel.air_l_per_min) == (None, None)
    assert (vessel.low_light_lux, vessel.low_light_fraction) == (200.0, 0.2)


def test_post_that_is_absent_keeps_the_times_and_has_no_server():
    quiet = DailyHours(time(20), time(7))
    assert parse_station(LEAST, "station.toml").post == Post(None, time(20), time(7, 15), quiet)


def test_post_with_server_and_addresses_alone_has_the_defaults():
    server = PostServer("localhost", 465, "tls", None, "cups@school.example", ("teacher@school.example",), ())
    assert parse_station(LEAST + POST, "station.toml").post.server == server


@pytest.mark.parametrize(("security", "port"), [("tls", 465), ("starttls", 587), ("plain-on-loopback", 25)])
def test_the_port_follows_the_security(security, port):
    post = parse_station(LEAST + POST + f'security = "{security}"\n', "station.toml").post
    assert post.server is not None
    assert post.server.smtp_port == port


def test_the_example_is_a_station_and_holds_every_key():
    text = (REFERENCE / "station.example.toml").read_text(encoding="utf-8")
    station = read_station(REFERENCE / "station.example.toml")
    assert isinstance(station, Station)
    raw = tomllib.loads(text)
    assert set(raw) == set(TABLES)
    assert set(raw["station"]) == set(STATION_KEYS)
    assert set(raw["post"]) == set(POST_KEYS)
    assert set(raw["page"]) == set(PAGE_KEYS)
    assert {key for lot in raw["lot"] for key in lot} == set(LOT_KEYS)
    # A plain LED goes in the place of a coloured one: it stands there as a comment.
    assert set(raw["indicator"]) | {"led"} == set(INDICATOR_KEYS)
    assert "\n# led = " in text
    assert {key for vessel in raw["vessel"] for key in vessel} == set(VESSEL_KEYS)
    assert {entry["driver"] for entry in raw["probe"]} == set(DRIVERS)
    told = {(entry["driver"], key) for entry in raw["probe"] for key in entry}
    kernel_offsets = {("iio", "offset_c"), ("hwmon", "offset_c")}  # as with ds18b20
    assert {(d, key) for d in DRIVERS for key in driver_keys(d, None)} - told == kernel_offsets


def test_the_reference_page_holds_every_key_of_every_table():
    page = (REFERENCE / "station.md").read_text(encoding="utf-8")
    sections = {part.partition("\n")[0]: part for part in page.split("\n## ")[1:]}
    tables = {
        "`[station]`": STATION_KEYS,
        "`[[probe]]`": PROBE_KEYS,
        "`[[vessel]]`": VESSEL_KEYS,
        "`[[lot]]`": LOT_KEYS,
        "`[post]`": POST_KEYS,
        "`[page]`": PAGE_KEYS,
        "`[indicator]`": INDICATOR_KEYS,
    }
    for heading, keys in tables.items():
        assert [key for key in keys if f"\n| `{key}` |" not in sections[heading]] == []
    rows = sections["`[[probe]]`"].split("\n| `")
    for driver in DRIVERS:
        (block,) = (row for row in rows if row.startswith(f"{driver}` | ") and row.count("|") >= 5)
        assert [key for key in driver_keys(driver, None) if f"| `{key}` |" not in block] == []


def test_lots_are_read_with_their_defaults_and_a_day_in_either_form():
    told = '[[lot]]\nid = "blue tin"\n[[lot]]\nid = "red"\nopened = 2027-01-04\n[[lot]]\nid = "x"\n'
    lots = parse_station(LEAST + told + 'opened = "2027-01-05"\n', "station.toml").lots
    assert lots == (
        LotPlan("blue tin", "unknown", None),
        LotPlan("red", "unknown", date(2027, 1, 4)),
        LotPlan("x", "unknown", date(2027, 1, 5)),
    )
    more = '[[lot]]\nid = "y"\nstored = "cool and dry"\nmass_g = 50\ncysts_per_g = 250000\n'
    assert parse_station(LEAST + more, "station.toml").lots == (
        LotPlan("y", "unknown", None, "cool and dry", 50.0, 250_000.0),
    )
    assert parse_station(LEAST, "station.toml").lots == ()


@pytest.mark.parametrize(
    ("lot", "fault"),
    [
        ('id = "a"\nstrain = "unknow"', "lot[1].strain: found 'unknow' (did you mean unknown?); allowed: "),
        ('id = "a"\nopened = "4.1.2027"', "lot[1].opened: found '4.1.2027'; allowed: a day as YYYY-MM-DD"),
        ('id = "a"\nopened = 2027-01-04T08:00:00Z', "lot[1].opened: found "),
        ('id = "a"\nopened = 1927-01-04', "lot[1].opened: found "),
        (
            'id = "a"\nstored = "frige"',
            "lot[1].stored: found 'frige' (did you mean fridge?); allowed: freezer, ",
        ),
        ('id = "a"\nmass_g = 0', "lot[1].mass_g: found 0; allowed: a number from 0.1 to 100000 g"),
        (
            'id = "a"\ncysts_per_g = 250',
            "lot[1].cysts_per_g: found 250; allowed: a number from 100000 to 500000 cysts/g",
        ),
        ('id = "a"\nopened = 20270104', "lot[1].opened: found 20270104; allowed: a day as YYYY-MM-DD"),
        ("strain = 'unknown'", "lot[1].id: found nothing; allowed: this key must be given"),
        ('id = "a"\n[[lot]]\nid = "a"', "lot[2].id: found 'a', the id of lot[1]; allowed: an id of its own"),
        ('id = "a"\ngrams = 2', "lot[1].grams: found an unknown key; allowed: id, strain, opened"),
    ],
)
def test_a_doubtful_lot_is_refused_in_one_line(lot, fault):
    assert the_fault(LEAST + "[[lot]]\n" + lot + "\n").startswith(f"station.toml: {fault}")


def test_a_lot_in_single_brackets_is_refused():
    assert the_fault(LEAST + '[lot]\nid = "a"\n').startswith("station.toml: lot: found ")


def test_a_tape_is_looked_for_beside_the_station_file():
    text = STATION + probe("water_c", "tape", 'file = "night.csv"', name="tray-water") + VESSEL
    assert parse_station(text, "/srv/room/station.toml").probes[0].keys == {"file": "/srv/room/night.csv"}
    assert parse_station(text.replace("night", "/a/night"), "station.toml").probes[0].keys == {
        "file": "/a/night.csv"
    }


@pytest.mark.parametrize(
    ("told", "weekdays", "hours"),
    [
        ("Mon-Fri 08:00-15:30", {0, 1, 2, 3, 4}, (time(8), time(15, 30))),
        ("Sat 09:00-12:00", {5}, (time(9), time(12))),
        ("Mon,Wed 08:00-12:00", {0, 2}, (time(8), time(12))),
        ("mon-tue,FRI 22:00-06:00", {0, 1, 4}, (time(22), time(6))),
        ("Sat-Mon 00:00-24:00", {5, 6, 0}, (time(0), time(0))),
    ],
)
def test_weekly_hours_are_read(told, weekdays, hours):
    station = parse_station(
        LEAST.replace("[[probe]]", f'attended = ["{told}"]\n[[probe]]', 1), "station.toml"
    )
    assert station.attended == (WeeklyHours(frozenset(weekdays), DailyHours(*hours)),)


def test_away_days_are_read_as_intervals_and_as_single_days():
    text = LEAST.replace("[[probe]]", 'away = ["2027-02-15/2027-02-19", "2027-03-01"]\n[[probe]]', 1)
    assert parse_station(text, "station.toml").away == (
        DaySpan(date(2027, 2, 15), date(2027, 2, 19)),
        DaySpan(date(2027, 3, 1), date(2027, 3, 1)),
    )


def test_the_rim_is_above_the_brim_when_nobody_measured_it():
    vessel = parse_station(LEAST + "brim_ml = 77\n", "station.toml").vessels[0]
    assert vessel.rim_above_water_cm == 2.0


def test_quiet_may_be_none():
    assert parse_station(LEAST + POST + 'quiet = ""\n', "station.toml").post.quiet is None


def test_a_fault_says_file_key_found_and_allowed():
    text = LEAST.replace("250.0", "-5")
    assert the_fault(text) == "station.toml: vessel[1].mark_ml: found -5; allowed: a number from 1 to 100000"


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (("250.0", "true"), "vessel[1].mark_ml: found true;"),
        (("250.0", "nan"), "vessel[1].mark_ml: found nan;"),
        (("250.0", "inf"), "vessel[1].mark_ml: found inf;"),
        (("250.0", '"250"'), "vessel[1].mark_ml: found '250';"),
        (("250.0", "1" * 4000), "vessel[1].mark_ml: found a number of more than 18 digits;"),
        (("250.0", "[250]"), "vessel[1].mark_ml: found a list of 1;"),
        (
            ("38.5", "3850"),
            "vessel[1].surface_cm2: found 3850.0; allowed: 1.667 to 1250 cm² for a mark of 250 ml",
        ),
        (("low_ml = 40", "low_ml = 250"), "vessel[1].low_ml: found 250.0; allowed: less than mark_ml (250)"),
        (("low_ml = 40\n", ""), "vessel[1].low_ml: found nothing; allowed: this key must be given"),
        (
            ("low_ml = 40", "low_ml = 40\nbrim_ml = 300"),
            "vessel[1].brim_ml: found 300.0; allowed: up to mark_ml",
        ),
        (
            ("low_ml = 40", "low_ml = 40\nbrim_ml = 60\nrim_above_water_cm = 1"),
            "vessel[1].brim_ml: found 60.0; allowed: up to rim_above_water_cm times surface_cm2 (38.5)",
        ),
        (
            ("low_ml = 40", "low_ml = 40\ncount = 2.5"),
            "vessel[1].count: found 2.5; allowed: a whole number from 1 to 500",
        ),
        (("low_ml = 40", "low_ml = 40\ncount = true"), "vessel[1].count: found true; allowed: a whole"),
        (
            ("low_ml = 40", "low_ml = 40\ncold_c = 68"),
            "vessel[1].cold_c: found 68; allowed: a number from 0 to 40 °C",
        ),
        (
            ("low_ml = 40", "low_ml = 40\ncold_c = 31"),
            "vessel[1].cold_c: found 31.0; allowed: less than hot_c (30 °C)",
        ),
        (
            ("low_ml = 40", "low_ml = 40\nheater_c = 81"),
            "vessel[1].heater_c: found 81; allowed: a number from 15 to 35 °C",
        ),
        (
            ("low_ml = 40", "low_ml = 40\nheater_c = 20"),
            "vessel[1].heater_c: found 20.0; allowed: more than cold_c (20 °C) and less than hot_c (30 °C)",
        ),
        (("low_ml = 40", "low_ml = 40\nheater_c = 30"), "vessel[1].heater_c: found 30.0; allowed: more"),
        (
            ("low_ml = 40", "low_ml = 40\nair_l_per_min = -1"),
            "vessel[1].air_l_per_min: found -1; allowed: a number from 0 to 20 L/min",
        ),
        (("low_ml = 40", 'low_ml = 40\nkind = "cups"'), "vessel[1].kind: found 'cups' (did you mean cup?);"),
        (
            ("low_ml = 40", 'low_ml = 40\nlamp = "18:00-07:00"'),
            "vessel[1].lamp: found '18:00-07:00'; allowed: a list of",
        ),
        (
            ("low_ml = 40", 'low_ml = 40\nlamp = ["8-9"]'),
            "vessel[1].lamp[1]: found '8-9'; allowed: local hours",
        ),
        (("low_ml = 40", 'low_ml = 40\nlamp = ["08:00-08:00"]'), "vessel[1].lamp[1]: found '08:00-08:00';"),
        (
            ("low_ml = 40", 'low_ml = 40\nlamp = ["08:00-09:00", "08:00-09:00"]'),
            "vessel[1].lamp[2]: found '08:00-09:00' again; allowed: every entry once",
        ),
        (
            ('["tray-water"]', '["tray-watr"]'),
            "vessel[1].probes[1]: found 'tray-watr'; allowed: the id of a [[probe]]: tray-water",
        ),
        (('["tray-water"]', "[]"), "vessel[1].probes: found an empty list;"),
        (("ds18b20", "ds18b21"), "probe[1].driver: found 'ds18b21' (did you mean ds18b20?);"),
        (("28-0316", "28-031"), "probe[1].address: found '28-031a2795f1c'; allowed: 28-"),
        (('"water_c"', '"water_f"'), "probe[1].measures: found 'water_f' (did you mean water_c?);"),
        (("Room 12", "Room\\n12"), "station.name: found 'Room\\n12'; allowed: one line of text"),
        (
            ("Europe/Lisbon", "Europe/Lisbn"),
            "station.timezone: found 'Europe/Lisbn' (did you mean Europe/Lisbon?);",
        ),
        (("Europe/Lisbon", "Europe"), "station.timezone: found 'Europe'"),
        (
            ("Europe/Lisbon", "../../etc/passwd"),
            "station.timezone: found '../../etc/passwd'; allowed: a time zone's",
        ),
        (("[[vessel]]", "[vessel]"), "vessel: found a table; allowed: tables under [[vessel]]"),
        (("[station]", "[sation]"), "sation: found an unknown key (did you mean station?);"),
    ],
)
def test_a_doubtful_value_is_refused_with_its_key(change, fault):
    assert LEAST.count(change[0]) >= 1
    assert f"station.toml: {fault}" in "\n".join(faults_of(LEAST.replace(*change, 1)))


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ('attended = ["Mon-Fri"]', "station.attended[1]: found 'Mon-Fri'"),
        ('attended = ["Fry 08:00-09:00"]', "station.attended[1]: found 'Fry 08:00-09:00'"),
        ('attended = ["Mon 08:00-25:00"]', "station.attended[1]: found 'Mon 08:00-25:00'"),
        ('away = ["2027-02-19/2027-02-15"]', "station.away[1]: found '2027-02-19/2027-02-15'"),
        ('away = ["2027-02-30"]', "station.away[1]: found '2027-02-30'"),
        ('away = ["2027-02-15/2029-02-15"]', "station.away[1]: found '2027-02-15/2029-02-15'"),
        ("away = [2027-02-15]", "station.away[1]: found the unquoted date or time 2027-02-15"),
        ("sample_every_s = 1", "station.sample_every_s: found 1; allowed: a whole number from 5 to 3600 s"),
        ("sample_every_s = 60.0", "station.sample_every_s: found 60.0"),
        ('language = "german"', "station.language: found 'german'; allowed: en or de"),
        ('temperature_unit = "K"', "station.temperature_unit: found 'K'; allowed: C or F"),
        ('nmae = "x"', "station.nmae: found an unknown key (did you mean name?)"),
    ],
)
def test_a_doubtful_line_of_the_station_is_refused(line, found):
    assert the_fault(LEAST.replace("[[probe]]", line + "\n[[probe]]", 1)).startswith(f"station.toml: {found}")


@pytest.mark.parametrize(
    ("extra", "found"),
    [
        (
            probe("light_lux", "ds18b20", 'address = "28-000000000001"'),
            "measures: found 'light_lux' with driver ds18b20; allowed: water_c, room_c",
        ),
        (
            probe("light_lux", "mcp3008", "channel = 0"),
            "measures: found 'light_lux' with driver mcp3008; allowed: light_fraction",
        ),
        (probe("light_fraction", "mcp3008", "channel = 8"), "channel: found 8;"),
        (probe("light_fraction", "mcp3008", "channel = true"), "channel: found true;"),
        (
            probe("light_fraction", "mcp3008", "chanel = 1", "channel = 1"),
            "chanel: found an unknown key (did you mean channel?)",
        ),
        (probe("light_fraction", "photocell", "pin = 28"), "pin: found 28;"),
        (
            probe("light_fraction", "mcp3008", "channel = 0", "dark = 0.1"),
            "lit: found nothing; allowed: a number, as dark is told too",
        ),
        (
            probe("light_fraction", "photocell", "pin = 27", "dark = 0.5", "lit = 0.49"),
            "lit: found 0.49; allowed: at least 0.02 above or below dark (0.5)",
        ),
        (
            probe("light_fraction", "mcp3008", "channel = 0", "dark = 0.1", "lit = 71"),
            "lit: found 71; allowed: a number from 0 to 1",
        ),
        (
            probe("light_lux", "iio", 'device = "bh1750"', 'channel = "in_temp"'),
            "channel: found 'in_temp' for light_lux; allowed: in_illuminance,",
        ),
        (
            probe("room_c", "hwmon", 'device = "sht3x"', 'channel = "humidity1"'),
            "channel: found 'humidity1' for room_c; allowed: temp,",
        ),
        (
            probe("room_rh_pct", "hwmon", 'device = "sht3x"', "offset_c = 1"),
            "offset_c: found an unknown key",
        ),
        (probe("float_low", "float"), "pin: found nothing"),
        (probe("float_low", "float", "pin = 17", 'low_when = "shut"'), "low_when: found 'shut'"),
        (probe("room_c", "tape", 'file = ""'), "file: found ''"),
        (probe("room_c", "rehearsal", 'story = "a/b"'), "story: found 'a/b'"),
        (probe("room_c", "rehearsal", name="tray-water"), "id: found 'tray-water', the id of probe[1]"),
        (probe("room_c", "rehearsal", name="room air"), "id: found 'room air'"),
    ],
)
def test_a_doubtful_probe_is_refused(extra, found):
    assert the_fault(STATION + WATER + extra + VESSEL).startswith(f"station.toml: probe[2].{found}")


@pytest.mark.parametrize(
    "pair",
    [
        WATER.replace("tray-water", "again"),
        probe("float_low", "float", "pin = 17") + probe("light_fraction", "photocell", "pin = 17", name="b"),
        probe("light_fraction", "mcp3008", "channel = 1")
        + probe("light_fraction", "mcp3008", "channel = 1", "device = 0", name="b"),
        probe("room_c", "hwmon", 'device = "x"') + probe("room_c", "hwmon", 'device = "x"', name="b"),
    ],
)
def test_two_probes_on_the_same_hardware_are_refused(pair):
    assert the_fault(STATION + WATER + pair + VESSEL).endswith(" has already; allowed: every device once")


def test_probes_on_different_channels_of_a_device_are_two_devices():
    both = probe("room_c", "hwmon", 'device = "x"') + probe("room_rh_pct", "hwmon", 'device = "x"', name="b")
    assert len(parse_station(STATION + WATER + both + VESSEL, "station.toml").probes) == 3


def test_a_vessel_needs_water_and_one_probe_for_each_measure():
    air = probe("room_c", "rehearsal", name="a") + probe("room_c", "rehearsal", name="b")
    faults = faults_of(STATION + WATER + air + VESSEL.replace('"tray-water"', '"a", "b"'))
    assert faults == [
        f"station.toml: vessel[1].probes: found {fault}"
        for fault in (
            "a and b, which both measure room_c; allowed: one probe for each measure",
            "no probe that measures water_c; allowed: one that does",
        )
    ]


def test_two_vessels_of_one_name_are_refused():
    assert the_fault(LEAST + VESSEL).startswith(
        "station.toml: vessel[2].id: found 'tray-a', the id of vessel[1]"
    )


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        ('security = "none"', "security: found 'none'"),
        ("smtp_port = 0", "smtp_port: found 0"),
        ("smtp_port = 587", "smtp_port: found 587 with security 'tls'"),
        ('security = "starttls"\nsmtp_port = 465', "smtp_port: found 465 with security 'starttls'"),
        ('backup_to = ["nobody"]', "backup_to[1]: found 'nobody'"),
        ('nightly_at = "8 pm"', "nightly_at: found '8 pm'"),
        ('morning_at = "02:30"', "morning_at: found '02:30'"),
        ('quiet = "00:00-24:00"', "quiet: found '00:00-24:00'"),
        ('nightly = "20:00"', "nightly: found '20:00'; allowed: true or false"),
        ('nighty_at = "20:00"', "nighty_at: found an unknown key (did you mean nightly_at?)"),
    ],
)
def test_a_doubtful_line_of_the_post_is_refused(lines, found):
    assert the_fault(LEAST + POST + lines + "\n").startswith(f"station.toml: post.{found}")


def test_times_are_told_without_a_server_for_letters_that_go_by_no_mail():
    read = parse_station(LEAST + '[post]\nquiet = "22:00-06:00"\nnightly = false\n', "station.toml").post
    assert (read.server, read.nightly, read.quiet.begins) == (None, False, time(22, 0))
    assert the_fault(LEAST + '[post]\nquiet = "noon"\n').startswith("station.toml: post.quiet: found 'noon'")


@pytest.mark.parametrize("lines", ["", 'quiet = "22:00-06:00"\nsmtp_port = 587\n', 'nighty_at = "20:00"\n'])
def test_a_table_that_may_mean_mail_must_name_its_server(lines):
    keys = {fault.split(": ")[1] for fault in faults_of(LEAST + "[post]\n" + lines)}
    assert {"post.smtp_host", "post.from", "post.to"} <= keys


@pytest.mark.parametrize("host", ["mail.school.example", "192.0.2.1", "10.0.0.1", "2001:db8::1"])
def test_plain_post_leaves_this_machine_never(host):
    plain = LEAST + POST.replace("localhost", host) + 'security = "plain-on-loopback"\n'
    assert the_fault(plain).startswith(f"station.toml: post.smtp_host: found '{host}'; allowed: localhost")


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "127.8.8.8", "::1"])
def test_plain_post_on_this_machine_is_allowed(host):
    parse_station(
        LEAST + POST.replace("localhost", host) + 'security = "plain-on-loopback"\n', "station.toml"
    )


@pytest.mark.parametrize(
    "host", ["", "mail.school.example:465", "300.1.1.1", "-mail.example", "a b", "smtp://mail"]
)
def test_a_host_that_cannot_be_is_refused(host):
    assert the_fault(LEAST + POST.replace("localhost", host)).startswith(
        "station.toml: post.smtp_host: found"
    )


@pytest.mark.parametrize(
    "address",
    [
        "teacher",
        "@school.example",
        "a@b@c",
        "Room <a@b.example>",
        "a@b.example\\nBcc: c@d.example",
        "é@b.example",
        "a@b..c",
    ],
)
def test_an_address_that_cannot_be_is_refused(address):
    fault = the_fault(LEAST + POST.replace("teacher@school.example", address))
    assert fault.startswith("station.toml: post.to[1]: found")


@pytest.mark.parametrize("key", ["password", "smtp_password", "passwd", "user_pass", "secret", "api_token"])
def test_a_password_is_refused_unseen_with_the_place_where_it_belongs(key):
    fault = the_fault(LEAST + POST + f'{key} = "hunter-green-42"\n')
    assert fault.startswith(
        f"station.toml: post.{key}: found a key for a secret; allowed: no password in this file"
    )
    assert "smtp-password" in fault
    assert "NAUPLIAD_SMTP_PASSWORD_FILE" in fault
    assert "hunter" not in fault


def test_a_password_in_the_hosts_name_is_not_shown():
    fault = the_fault(LEAST + POST.replace("localhost", "me:hunter-green@mail.example"))
    assert "hunter" not in fault


def test_all_faults_are_told_together():
    text = (LEAST + POST).replace("250.0", "-5").replace('tray-water"]', 'water"]').replace("28-", "29-")
    text = text.replace("Room 12", "").replace("localhost", "mail server") + "[extra]\n"
    keys = [fault.split(": ")[1] for fault in faults_of(text)]
    assert keys == [
        "extra",
        "station.name",
        "probe[1].address",
        "vessel[1].mark_ml",
        "vessel[1].probes[1]",
        "post.smtp_host",
    ]


def test_an_empty_file_says_what_is_needed():
    keys = [fault.split(": ")[1] for fault in faults_of("")]
    assert keys == ["station.name", "station.timezone", "probe", "vessel"]


def test_a_slip_of_syntax_keeps_its_line_and_column():
    assert "line 2, column 8" in the_fault("[station]\nname = Room 12\n")


@pytest.mark.parametrize(
    ("raw", "found"),
    [
        (b"\xef\xbb\xbf" + LEAST.encode(), ":1: found a byte order mark"),
        (LEAST.replace("Room", "Ro\0om").encode(), ":2: found a NUL"),
        (LEAST.replace("Room", "Ró").encode("latin-1"), ":2: found the byte 0xf3"),
        (b"#" * 1_000_001, ": found more than 1000000 bytes"),
        (b"a = " + b"[" * 5000, ": found"),
        (b"a = " + b"1" * 9000, ": found"),
    ],
)
def test_a_file_that_is_no_text_is_one_clear_line(tmp_path, raw, found):
    path = tmp_path / "station.toml"
    path.write_bytes(raw)
    with pytest.raises(InputError) as refusal:
        read_station(path)
    (fault,) = refusal.value.faults
    assert fault.startswith(f"{path}{found}")
    assert "; allowed: " in fault
    assert "\n" not in fault


def test_a_missing_file_and_a_folder_are_one_clear_line(tmp_path):
    for path, found in [(tmp_path / "station.toml", "no such file"), (tmp_path, "a folder")]:
        with pytest.raises(InputError) as refusal:
            read_station(path)
        assert refusal.value.faults == (f"{path}: found {found}; allowed: the path of a readable file",)


KEYS = [
    *STATION_KEYS,
    *VESSEL_KEYS,
    *POST_KEYS,
    *PROBE_KEYS,
    "address",
    "channel",
    "file",
    "strange",
    '"\\n"',
]
VALUES = [
    *(
        "1",
        "-1",
        "1e400",
        "nan",
        "true",
        "[]",
        "{}",
        "[[]]",
        "[{}]",
        '""',
        "[1, true]",
        "2027-02-15",
        "12:00:00",
    ),
    *(
        '"Mon 08:00-09:00"',
        '"18:00-07:00"',
        '["2027-02-15/9999-12-31"]',
        '"mcp3008"',
        '"water_c"',
        '"tray-water"',
    ),
    "0x" + "f" * 5000,
]
pieces = st.one_of(
    st.sampled_from(
        [*(f"[{t}]" for t in TABLES), *(f"[[{t}]]" for t in TABLES), STATION, WATER, VESSEL, POST]
    ),
    st.tuples(st.sampled_from(KEYS), st.one_of(st.sampled_from(VALUES), st.text(max_size=10).map(repr))).map(
        " = ".join
    ),
    st.text(max_size=15),
)


def faults_if_any(text):
    try:
        parse_station(text, "station.toml")
    except InputError as refusal:
        return refusal.faults
    return ()


@settings(max_examples=500, deadline=None)
@given(st.lists(pieces, max_size=12).map("\n".join))
def test_no_text_makes_the_parser_fail_otherwise_than_by_refusal(text):
    assert all("\n" not in fault and fault.startswith("station.toml") for fault in faults_if_any(text))


@settings(max_examples=300, deadline=None)
@given(
    st.sampled_from(KEYS),
    st.one_of(st.sampled_from(VALUES), st.text(max_size=10).map(repr)),
    st.integers(0, 3),
)
def test_a_strange_value_of_any_key_is_refused_or_read(key, value, table):
    parts = [STATION, WATER, VESSEL, POST]
    parts[table] = (
        "".join(line for line in parts[table].splitlines(True) if not line.startswith(f"{key} ="))
        + f"{key} = {value}\n"
    )
    assert all("\n" not in fault for fault in faults_if_any("".join(parts)))
