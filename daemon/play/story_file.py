"""A story file, read: every table checked, every fault named, the station through its own parser."""

from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any

from daemon.config import parse_station
from daemon.config.checks import ABSENT, Key, fault, number, one_of, read_table, text, unknown_key, whole
from daemon.errors import InputError
from daemon.input.file import read_text, shown
from daemon.input.toml import read_toml
from daemon.letter_kinds import LETTER_KINDS
from daemon.play.story import Call, Limits, Story
from daemon.play.story_event import EventReading, StoryEvent
from daemon.play.story_values import file_name, moment, paragraph, physics_keys, span, station_text
from daemon.play.world.cup import CupPhysics
from daemon.play.world.cysts import CystPhysics
from daemon.play.world.person import PersonPhysics
from daemon.play.world.probe import Instrument, usual_instrument
from daemon.play.world.room import RoomPhysics
from daemon.play.world.sky import SkyPhysics
from daemon.play.world.vessel import VesselPhysics
from daemon.seconds import DAY_S
from daemon.station import Station

_ENDING = ".toml"
_LONGEST_DAYS = 60
_MOST_ENTRIES = 1000
_TABLES = (
    "story",
    "station",
    "sky",
    "room",
    "person",
    "cup",
    "cysts",
    "probe",
    "event",
    "must",
    "must_not",
    "limits",
)
_STORY = {
    "title": Key(text(120)),
    "tell": Key(paragraph),
    "seed": Key(whole(0, 2**53)),
    "begins": Key(moment),
    "ends": Key(moment),
}
_STATION = {"text": Key(station_text, ABSENT), "file": Key(file_name, ABSENT)}
_MUST_NOT = {"kind": Key(one_of(*LETTER_KINDS)), "between": Key(span, ABSENT)}
_MUST = _MUST_NOT | {
    "at_least": Key(whole(0, 1000), 1),
    "at_most": Key(whole(0, 1000), ABSENT),
    "too_late_at": Key(moment, ABSENT),
}
_LIMITS = {
    "unplanned_at_most": Key(whole(0, 1000), ABSENT),
    "planned_at_most": Key(whole(0, 1000), ABSENT),
}
_INSTRUMENT = {
    "noise": Key(number(0, 1000), ABSENT),
    "offset": Key(number(-1000, 1000), ABSENT),
    "crc_share": Key(number(0, 1), ABSENT),
}


def story_names() -> tuple[str, ...]:
    """The stories that come with the program."""
    found = (entry.name for entry in resources.files("daemon.play").joinpath("stories").iterdir())
    return tuple(sorted(name.removesuffix(_ENDING) for name in found if name.endswith(_ENDING)))


def read_story(name_or_path: str) -> Story:
    """The story of that name, or of the file at that path (it ends in `.toml`).

    Raises InputError with every fault at once, each with the file, the key's path, what was found and
    what is allowed.
    """
    path = Path(name_or_path)
    if path.suffix != _ENDING:
        if name_or_path not in story_names():
            allowed = f"{', '.join(story_names())}, or the path of a {_ENDING} file"
            raise InputError(f"story: found {shown(name_or_path)}; allowed: {allowed}")
        path = Path(str(resources.files("daemon.play").joinpath("stories", name_or_path + _ENDING)))
        return parse_story(read_text(path), path.name, path.parent)
    return parse_story(read_text(path), str(path), path.parent)


def parse_story(raw: str, name: str, folder: Path) -> Story:
    """The story in a file's text. `name` stands in messages, `folder` is where a station file lies.

    Raises InputError with every fault that was found, a line each.
    """
    return _Reading(read_toml(raw, name), name, folder).story()


class _Reading:
    """One file being read: its tables, the faults so far, and those of the station file, named already."""

    def __init__(self, tables: dict[str, Any], name: str, folder: Path) -> None:
        self._tables = tables
        self._name = name
        self._folder = folder
        self._faults = [unknown_key(key, _TABLES) for key in tables if key not in _TABLES]
        self._station_faults: tuple[str, ...] = ()

    def story(self) -> Story:
        head = self._table("story", _STORY)
        times = self._times(head)
        station_text, station = self._station()
        sky, room = self._physics("sky", SkyPhysics), self._physics("room", RoomPhysics)
        person = self._physics("person", PersonPhysics)
        vessels = tuple(v.id for v in station.vessels) if station else None
        cups = self._by_name("cup", physics_keys(CupPhysics), vessels)
        cysts = self._by_name("cysts", physics_keys(CystPhysics), vessels)
        probes = tuple(p.id for p in station.probes) if station else None
        instruments = self._by_name("probe", _INSTRUMENT, probes)
        events = self._events(vessels, probes, times)
        calls = (*self._calls("must", times), *self._calls("must_not", times))
        limits = Limits(**self._table("limits", _LIMITS))
        if self._faults or self._station_faults or station is None:
            raise InputError(*self._station_faults, *(f"{self._name}: {line}" for line in self._faults))
        physics = {
            v.id: VesselPhysics(CupPhysics(**cups.get(v.id, {})), CystPhysics(**cysts.get(v.id, {})))
            for v in station.vessels
        }
        return Story(
            **head,
            name=Path(self._name).stem,
            station=station,
            station_text=station_text,
            sky=SkyPhysics(**sky),
            room=RoomPhysics(**room),
            person=PersonPhysics(**person),
            vessels=physics,
            instruments=_instruments(station, instruments),
            events=events,
            calls=calls,
            limits=limits,
        )

    def _table(self, table: str, keys: Mapping[str, Key]) -> dict[str, Any]:
        return read_table(self._tables.get(table, {}), keys, table, self._faults)

    def _physics(self, table: str, record: type[Any]) -> dict[str, Any]:
        return self._table(table, physics_keys(record))

    def _times(self, head: Mapping[str, Any]) -> tuple[int, int] | None:
        if not {"begins", "ends"} <= head.keys():
            return None
        begins, ends = head["begins"], head["ends"]
        if not 0 < ends - begins <= _LONGEST_DAYS * DAY_S:
            found = f"{(ends - begins) / 3600:.1f} hours after begins"
            self._faults.append(fault("story.ends", found, f"after begins, up to {_LONGEST_DAYS} days later"))
            return None
        return begins, ends

    def _station(self) -> tuple[str, Station | None]:
        """The station file's text and the station, None where it has faults."""
        values = self._table("station", _STATION)
        if len(values) != 1:
            if not any(line.startswith("station") for line in self._faults):
                found = "both" if values else "neither"
                self._faults.append(fault("station", found, "either text or file"))
            return "", None
        try:
            if "file" in values:
                path = self._folder / values["file"]
                station_text, name = read_text(path), str(path)
            else:
                station_text, name = values["text"], f"{self._name} [station] text"
            return station_text, parse_station(station_text, name)
        except InputError as error:
            self._station_faults = error.faults
            return "", None

    def _by_name(
        self, table: str, keys: Mapping[str, Key], names: tuple[str, ...] | None
    ) -> dict[str, dict[str, Any]]:
        """The tables `[table.NAME]`; names the station has not are faults (if it could be read)."""
        by_name = self._tables.get(table, {})
        if not isinstance(by_name, dict):
            self._faults.append(fault(table, shown(by_name), f"tables [{table}.NAME]"))
            return {}
        if names is not None:
            self._faults += [unknown_key(name, names, table) for name in by_name if name not in names]
        return {
            name: read_table(raw, keys, f"{table}.{name}" if name.isprintable() else table, self._faults)
            for name, raw in by_name.items()
            if names is None or name in names
        }

    def _entries(self, table: str) -> list[Any]:
        entries = self._tables.get(table, [])
        if isinstance(entries, list) and len(entries) <= _MOST_ENTRIES:
            return entries
        self._faults.append(fault(table, shown(entries), f"up to {_MOST_ENTRIES} tables [[{table}]]"))
        return []

    def _events(
        self, vessels: tuple[str, ...] | None, probes: tuple[str, ...] | None, times: tuple[int, int] | None
    ) -> tuple[StoryEvent, ...]:
        read = EventReading(vessels, probes, times, self._faults)
        entries = enumerate(self._entries("event"), start=1)
        found = (read.event(raw, f"event[{n}]") for n, raw in entries)
        events = sorted((event for event in found if event is not None), key=lambda event: event.at)
        starts = {event.at for event in events if event.do == "station-on"}
        for event in events:
            if event.do == "clock-wrong" and event.at not in starts:
                allowed = "the time of a station-on: a clock is wrong from a start on"
                self._faults.append(fault("event clock-wrong", "a time of its own", allowed))
        return tuple(events)

    def _calls(self, table: str, times: tuple[int, int] | None) -> list[Call]:
        calls = []
        for place, raw in enumerate(self._entries(table), start=1):
            keys = _MUST if table == "must" else _MUST_NOT
            values = read_table(raw, keys, f"{table}[{place}]", self._faults)
            begins, ends = values.get("between") or times or (0, 0)
            if "kind" in values:
                most = values.get("at_most") if table == "must" else 0
                late_at = values.get("too_late_at")
                calls.append(Call(values["kind"], begins, ends, values.get("at_least", 0), most, late_at))
                if late_at is not None and late_at < begins:
                    where, allowed = f"{table}[{place}].too_late_at", "a time after between begins"
                    self._faults.append(fault(where, "a time before between begins", allowed))
        return calls


def _instruments(station: Station, given: Mapping[str, Mapping[str, float]]) -> dict[str, Instrument]:
    return {p.id: replace(usual_instrument(p.measures), **given.get(p.id, {})) for p in station.probes}
