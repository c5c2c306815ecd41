"""The desks of a station on a real store and real beliefs, fed by hand: what is judged and held each hour."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from daemon.alarms.conditions import AlarmKey
from daemon.assembly import assemble
from daemon.care.deed import Deed
from daemon.letters.batch_letters import BatchLetters
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from daemon.watching.hourly_judge import HourlyJudge
from daemon.watching.snapshot.snapshots import Snapshots
from sensors.reading import Quality, Reading
from tests.kit.station import SCHOOL_HOURS, probe, station, vessel

LISBON = ZoneInfo("Europe/Lisbon")
HOUR = 3600
PROBES = ("water", "light")


def tray_station(*vessels: str, attended: Iterable[str] = SCHOOL_HOURS, **keys: object) -> Station:
    """A station that reads every ten minutes, for a tray or these vessels; `keys` are more of each."""
    told = {"cold_c": 18.0, "hot_c": 30.0, "lamp": ["18:00-07:00"], **keys}
    return station(
        probe("water"),
        probe("light", "light_lux"),
        *(vessel(name, "water", "light", **told) for name in vessels or ("tray",)),
        name="Room 7",
        attended=attended,
        every_s=600,
    )


def moment(day: int, clock: str) -> int:
    """A moment of January 2027; the 11th, 18th and 25th are Mondays."""
    return int(datetime.fromisoformat(f"2027-01-{day:02d}T{clock}").replace(tzinfo=LISBON).timestamp())


@dataclass
class Desks:
    """A station's desks; `free_bytes` and `clock_set` are what the Pi says.

    Where `kept`, they go on from the snapshot that lies in the folder.
    """

    station: Station
    folder: Path
    began: int
    free_bytes: int = 20_000_000_000
    clock_set: bool = True
    kept: bool = False
    at: int = field(init=False)

    def __post_init__(self) -> None:
        self.store = WritingStore(self.folder, durable=False)
        connection = self.store.connection
        found = Snapshots(self.folder, self.station).found(connection, self.began) if self.kept else None
        assert (found is None) is not self.kept
        desks = assemble(self.station, connection, self.began, found)
        self.beliefs, self.alarms, self.care = desks.beliefs, desks.alarms, desks.care
        self.requests = desks.requests
        self.judge = HourlyJudge(
            self.station,
            connection,
            self.beliefs,
            self.alarms.watch,
            lambda: self.free_bytes,
            lambda: self.clock_set,
        )
        self.batch_letters = BatchLetters(self.station, connection, self.beliefs)
        self.at = self.began

    def tell(
        self, deed: str, amount: float | None = None, *, vessel: str = "tray", **detail: float | str
    ) -> None:
        """Somebody does something now."""
        if deed == "set":
            detail = {"salt_g_per_l": 25.0, **detail}
        self.care.record(Deed(self.at, vessel, deed, amount, detail), self.at)

    def live(
        self,
        until: int,
        water_c: Callable[[int], float],
        lux: Callable[[int], float] = lambda _at: 300.0,
        *,
        quality: Quality = Quality.GOOD,
    ) -> None:
        """Readings every ten minutes up to `until`, judged; each hour what is judged by the hour."""
        while self.at < until:
            self.at += self.station.sample_every_s
            told = zip(PROBES, (water_c(self.at), lux(self.at)), strict=True)
            readings = [Reading(self.at, probe, value, quality) for probe, value in told]
            reading_store.add(self.store.connection, readings)
            self.beliefs.feed(readings)
            self.alarms.judge(readings)
            if self.at % HOUR == 0:
                self.beliefs.write(self.beliefs.running(), self.at)
                self.alarms.take(self.judge.judge(self.at))
                self.batch_letters.look(self.at)

    def stands(self, condition: str, vessel: str = "tray") -> bool:
        """Whether an alarm stands."""
        return self.alarms.watch.alarm(AlarmKey(vessel, condition)).active

    def letters(self, kind: str) -> list[LetterRow]:
        """What was held of a kind."""
        rows = letter_store.in_state(self.store.connection, "held", "queued", "sent", "merged")
        return [row for row in rows if row.kind == kind]
