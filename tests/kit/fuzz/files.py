"""The readers of files, as targets: what they take, how they refuse, and that what was taken can be used."""

import csv
import json
import re
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from xml.etree.ElementTree import fromstring

from daemon.care.deed import Deed
from daemon.care.log import HEADER, format_detail, format_number, read_care_log
from daemon.care.plausibility import questions
from daemon.cli.experiments.result import as_fields
from daemon.clock_keeper import Keeper, kept_by
from daemon.config import read_station
from daemon.planning.experiment.counts_file import read_counts
from daemon.planning.experiment.result import result_of
from daemon.play.story import check
from daemon.play.story_file import read_story
from daemon.play.tape import TapeProbe, read_tape
from daemon.post.kept_address import address_of
from daemon.post.kept_password import FILE_NAME as KEPT_FILE
from daemon.post.kept_password import KeptPassword, MailAccount, read_kept
from daemon.post.kept_password import written as password_file
from daemon.post.secrets import SMTP_PASSWORD, WEBHOOK_URL, read_secret
from daemon.station import Station
from daemon.store import backup, broken_file
from daemon.store import runs as run_store
from daemon.store.file import FILE_NAME, WritingStore, open_for_reading
from reports.experiment.dot_plot import dot_plot
from reports.experiment.in_language import LANGUAGES, written
from sensors.reading import BELIEVABLE
from tests.kit.checkout import REFERENCE
from tests.kit.fuzz.spoiled import Target, spoiled, taken
from tests.kit.recordings import STORY
from tests.kit.station import station, station_text

_TOKEN = "hush-hush-9"
_PASSWORD = "swim-7-little shrimp"
_KEPT = password_file(
    [KeptPassword(MailAccount("mail.school.example", 465, "tls", "cups"), _PASSWORD)]
).decode()
NOON = int(datetime(2027, 2, 12, 12, tzinfo=UTC).timestamp())
# From 1970 to 2199, as every time that a person writes.
TIMES = range(int(datetime(2200, 1, 1, tzinfo=UTC).timestamp()))
STATIONS = (REFERENCE.joinpath("station.example.toml").read_text("utf-8"), station_text())
STORIES = (
    *re.findall(r"```toml\n(.*?)```", REFERENCE.joinpath("story.md").read_text("utf-8"), re.DOTALL)[:1],
    STORY.format(station=station_text(driver="rehearsal")),
)
TAPE = """time,probe,value,fault
2027-02-12T15:30:00+00:00,cup-water,24.50,
2027-02-12T15:30:00+00:00,room-air,21,
2027-02-12t15:31:00.25Z,cup-water,,crc
2027-02-12 15:32:00-01:00,"cup-water",+2.45e1,
2027-02-12T16:33:00Z,room-air,-.5,
2027-02-12T16:33:00Z,cup-water,85,
"""
CARE = """time,vessel,deed,amount,unit,detail
2027-02-11T09:00:00+00:00,cup,set,0.05,g,lot=blue tin;salt_g_per_l=25;volume_ml=250;light=yes
2027-02-12T08:30:00+00:00,cup,top-up,31.5,ml,to=mark
2027-02-12T08:31:00+01:00,cup,brine,10,ml,salt_g_per_l=30
2027-02-12T09:30:00Z,cup,cover,1,,
2027-02-12T10:30:00Z,cup,salinity,26.5,g_per_kg,with=hydrometer
2027-02-12T10:31:00Z,cup,count,40,animals,volume_ml=2;of_cysts=120
2027-02-12T15:10:00+00:00,cup,note,,,"text=a little milky; no=smell, ""fresh"", all"
2027-02-12T15:20:00+00:00,cup,end,,,
"""
COUNTS = (
    "level,cup,of,hatched\n10,A1,50,31\n10,A2,50,36\n30,B1,50,38\n30,B2,48,41\n60.5,C1,50,12\n60.5,C2,52,20\n",
    """level,cup,of,hatched,hours,water_c
cold,1,50,3,24,18
warm,1,50,40,24,26.5
cold,1,50,39,47,18
warm,1,50,41,47,26
cold,2,50,3,24,18
warm,2,50,40,24,26.5
cold,2,50,39,47,
warm,2,50,41,47,26
""",
    "level,cup,of,hatched,hours\na,1,1,1,24\na,2,1,0,24\nb,1,1,0,24\nb,2,1,0,24\n",
)


def file_targets(folder: Path) -> list[Target]:
    """Those that read a file of their own below `folder`."""
    room = station()
    return [
        Target("station file", spoiled(STATIONS), _of_file(folder / "station.toml", read_station)),
        Target("story", spoiled(STORIES), _of_file(folder / "story.toml", _story), 0.5),
        Target("tape", spoiled([TAPE]), _of_file(folder / "tape.csv", partial(_tape, room))),
        Target("care log", spoiled([CARE]), _of_file(folder / "care.csv", partial(_care_log, room))),
        Target("counts", spoiled(COUNTS), _of_file(folder / "counts.csv", _counts)),
        Target("kept password", spoiled([_KEPT]), partial(_kept_password, folder)),
        Target("password file", spoiled(["swim-7-little shrimp\n", "", "tab\t"]), partial(_secret, folder)),
        Target("address file", spoiled([f"https://hooks.example/{_TOKEN}\n"]), partial(_address, folder)),
        Target("battery clock", spoiled(["1803124800\n", "-1\n"]), partial(_battery_clock, folder)),
        Target("backup", spoiled([_store(folder / "made")]), partial(_backup, folder / "backups"), 0.2),
    ]


def _of_file(path: Path, read: Callable[[Path], object]) -> Callable[[bytes], bool]:
    def meet(raw: bytes) -> bool:
        path.write_bytes(raw)
        return taken(lambda: read(path))

    return meet


def _story(path: Path) -> None:
    story = read_story(str(path))
    check(story, [])


def _tape(room: Station, path: Path) -> None:
    tape = read_tape(path, room)
    times = [reading.at for reading in tape.readings]
    assert times == sorted(times)
    assert times[0] in TIMES
    assert times[-1] in TIMES
    for plan in room.probes:
        probe = TapeProbe(plan.id, plan.measures, tape)
        for reading in (probe.read(NOON), probe.read(NOON + tape.ended - tape.began)):
            low, high = BELIEVABLE[plan.measures]
            assert not reading.good or (reading.value is not None and low <= reading.value <= high)


def _care_log(room: Station, path: Path) -> None:
    deeds = read_care_log(path, room)
    for deed in deeds:
        assert deed.at in TIMES
        questions(deed, NOON, deeds, room.timezone)
    again = path.with_name("again.csv")
    _write_log(again, deeds)
    assert read_care_log(again, room) == deeds


def _write_log(path: Path, deeds: list[Deed]) -> None:
    """The log as `naupliad care list` tells it, in the columns of the file."""
    with path.open("w", encoding="utf-8", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(HEADER)
        for deed in deeds:
            when = datetime.fromtimestamp(deed.at, UTC).isoformat()
            amount = "" if deed.amount is None else format_number(deed.amount)
            rows.writerow((when, deed.vessel, deed.deed, amount, deed.unit, format_detail(deed)))


def _counts(path: Path) -> None:
    """What was taken can be judged, written of in every language, drawn and printed as JSON."""
    found = result_of(read_counts(path))
    assert all(0.0 <= level.low <= level.share <= level.high <= 1.0 for level in found.levels)
    for language in LANGUAGES:
        fields = written(language, as_fields, found)
        assert fields["sentence"].isprintable()
        json.dumps(fields, allow_nan=False)
        fromstring(written(language, dot_plot, found))


def _secret(folder: Path, raw: bytes) -> bool:
    path = folder / "password"
    path.write_bytes(raw)

    def read() -> None:
        secret = read_secret(SMTP_PASSWORD, {SMTP_PASSWORD.variable: str(path)})
        assert secret
        assert secret.isascii()
        assert secret.isprintable()
        assert raw.startswith(secret.encode())

    return taken(read, never_told=raw.strip().decode("ascii", "replace"))


def _kept_password(folder: Path, raw: bytes) -> bool:
    (folder / KEPT_FILE).write_bytes(raw)

    def read() -> None:
        kept = read_kept(folder)
        assert kept
        for one in kept:
            assert one.password
            assert one.password.isascii()
            assert one.password.isprintable()

    return taken(read, never_told=_PASSWORD)


def _address(folder: Path, raw: bytes) -> bool:
    path = folder / "address"
    path.write_bytes(raw)

    def read() -> None:
        address = address_of(None, WEBHOOK_URL, {WEBHOOK_URL.variable: str(path)})
        assert address
        assert address.encrypted or address.host in ("localhost", "127.0.0.1", "::1")
        assert address.path.startswith(("/", "?"))

    return taken(read, never_told=_TOKEN)


def _battery_clock(folder: Path, raw: bytes) -> bool:
    clock = folder / "sys" / "class" / "rtc" / "rtc0"
    clock.mkdir(parents=True, exist_ok=True)
    (clock / "since_epoch").write_bytes(raw)
    keeper = kept_by(folder, 1_803_124_800, lambda: None)
    assert keeper in (Keeper.BATTERY, Keeper.HOST)
    return keeper is Keeper.BATTERY


def _store(folder: Path) -> bytes:
    """A small store as one file, without a log."""
    folder.mkdir()
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        run_store.keep_station_file(connection, NOON, station_text())
    store.close()
    return (folder / FILE_NAME).read_bytes()


def _backup(folder: Path, raw: bytes) -> bool:
    """A spoiled copy is whole or has a fault of one line, as a backup, as a store and to who opens it."""
    folder.mkdir(exist_ok=True)
    path, store = folder / "station-2027-02-12.db", folder / FILE_NAME
    path.write_bytes(raw)
    store.write_bytes(raw)
    faults = (backup.fault_of(path), broken_file.look_at(store).broken)
    assert all(fault is None or fault.isprintable() for fault in faults), faults
    assert backup.newest_good(folder) == (path if faults[0] is None else None)

    def opened() -> None:
        with closing(open_for_reading(folder)) as connection:
            run_store.station_file(connection)

    return taken(opened) and faults[0] is None
