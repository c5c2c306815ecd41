"""What people do in a history, drawn beforehand: deeds of every kind at odd times, and what they ask for."""

import random
from bisect import insort
from collections.abc import Iterator
from dataclasses import dataclass, replace

from daemon.care.deed import Deed
from daemon.hours import is_attended
from daemon.station import Station, Vessel
from tests.kit.histories.acts import ACTS
from tests.kit.histories.history import Entry, Withdrawn
from tests.kit.histories.physics import Cup

HOUR_S = 3600
CONDITIONS = ("cold", "hot", "lamp", "probe", "water", "cold-ahead", "lamp-stays-on")


@dataclass(frozen=True, slots=True, order=True)
class Plan:
    """Something that somebody will do to a vessel."""

    at: int
    vessel: str
    what: str


def plans(rng: random.Random, station: Station, begins: int, ends: int) -> list[Plan]:
    """For each vessel: when it is set, what is done then, and when it ends, if it does."""
    made: list[Plan] = []
    for vessel in station.vessels:
        if rng.random() < 0.15:
            continue  # no batch at all
        at = _moment(rng, station, begins, begins + min(ends - begins, round(1.2 * 86_400)))
        for then, what in _of_batch(rng, station, vessel, at, ends):
            insort(made, Plan(then, vessel.id, what))
    return made


def _of_batch(
    rng: random.Random, station: Station, vessel: Vessel, at: int, ends: int
) -> Iterator[tuple[int, str]]:
    yield at, "set"
    deeds = rng.choices(
        ("mark", "above", "plain", "brine", "remove", "harvest", "most", "half", "end", "second"),
        (30, 8, 8, 6, 5, 8, 8 if vessel.kind == "cone" else 3, 5, 6, 2),
        k=rng.randrange(0, 2 + (ends - at) // 86_400 * 2),
    )
    looks = rng.choices(
        ("first", "none yet", "half out", "all out", "count", "salinity", "feed", "cover", "stir", "note"),
        k=rng.randrange(0, 5),
    )
    for what in (*deeds, *looks):
        if (then := _moment(rng, station, at, ends)) > at:
            yield then, what


def _moment(rng: random.Random, station: Station, begins: int, ends: int) -> int:
    """A minute in which somebody is in the room, four times in five; any second else."""
    moments = [rng.randrange(begins, max(ends, begins + 1)) for _ in range(40)]
    if rng.random() < 0.2:
        return moments[0]
    there = next((at for at in moments if is_attended(station, at)), moments[0])
    return max(begins, there - there % 60)


class Hands:
    """Do what was planned, to the true water, and say so to the daemon: sometimes late, sometimes wrongly."""

    def __init__(self, rng: random.Random, cups: dict[str, Cup]) -> None:
        self._rng, self._cups = rng, cups
        self.entries: list[Entry] = []

    def do(self, plan: Plan) -> None:
        """Do it now; nothing where it cannot be done."""
        cup = self._cups[plan.vessel]
        made = ACTS[plan.what](self._rng, cup.vessel, cup.content)
        if made is None:
            return
        deed = replace(made, at=plan.at, vessel=plan.vessel)
        late_s = self._rng.randrange(600, 20 * HOUR_S) if self._rng.random() < 0.06 else 0
        self._add(plan.at + late_s, deed)
        if self._rng.random() < 0.04:
            self._take_back(plan.at + late_s, deed)
        if plan.what == "most" and self._rng.random() < 0.4:
            self._add(plan.at + late_s + 60, Deed(plan.at + 60, plan.vessel, "end"))
            cup.content.holds = False

    def _add(self, at: int, deed: Deed) -> None:
        self.entries.append(Entry(at, deed))

    def _take_back(self, at: int, deed: Deed) -> None:
        instead = None
        if deed.amount and self._rng.random() < 0.5:
            instead = replace(deed, amount=round(deed.amount * 0.8, 2))
        self.entries.append(Entry(at + self._rng.randrange(60, 10 * HOUR_S), _Later(deed, instead)))

    def in_order(self) -> list[Entry]:
        """All entries as the daemon hears them; deeds taken back by their place among those before."""
        self.entries.sort(key=lambda entry: entry.at)
        told: list[Deed] = []
        ordered = []
        for entry in self.entries:
            if isinstance(entry.what, Deed):
                told.append(entry.what)
            if isinstance(entry.what, _Later):
                taken = Withdrawn(told.index(entry.what.deed), entry.what.instead)
                entry = replace(entry, what=taken)
            ordered.append(entry)
        return ordered


@dataclass(frozen=True, slots=True)
class _Later:
    deed: Deed
    instead: Deed | None


def requests(rng: random.Random, station: Station, begins: int, ends: int) -> list[Entry]:
    """Alarms put aside and taken back, and quiet times: in one history of four."""
    if rng.random() > 0.25:
        return []
    at = rng.randrange(begins + HOUR_S, ends)
    until = at + rng.randrange(2, 60) * HOUR_S
    vessel = rng.choice(station.vessels).id
    which = {"vessel": vessel, "condition": rng.choice(CONDITIONS)}
    asked = rng.choice(
        (
            {"ask": "shelve", **which, "until": until},
            {"ask": "shelve", **which, "until": until},
            {"ask": "out-of-service", **which},
            {"ask": "quiet", "until": until},
            {"ask": "acknowledge"},
        )
    )
    entries = [Entry(at, asked)]
    if asked["ask"] == "out-of-service" and rng.random() < 0.5:
        entries.append(Entry(until, {"ask": "take-back", **which}))
    if asked["ask"] == "quiet" and rng.random() < 0.3:
        entries.append(Entry((at + until) // 2, {"ask": "loud"}))
    return entries
