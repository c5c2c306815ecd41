"""A random history by its seed."""

import random
from dataclasses import dataclass

from daemon.config import parse_station
from daemon.station import Station
from sensors.reading import Measure, Quality, Reading, judged
from tests.kit.histories.history import History
from tests.kit.histories.people import Hands, plans, requests
from tests.kit.histories.physics import Cup, Probe, Room
from tests.kit.histories.stations import drawn_station

HOUR_S = 3600


def drawn_history(seed: int) -> History:
    """The history of a seed: the same one at every call."""
    rng = random.Random(f"history {seed}")
    drawn = drawn_station(rng)
    station = parse_station(drawn.text, "station.toml")
    world = _World(rng, station, drawn.begins, drawn.ends)
    readings = tuple(world.readings())
    asked = requests(rng, station, drawn.begins, drawn.ends)
    entries = sorted([*world.hands.in_order(), *asked], key=lambda entry: entry.at)
    down = _post_down(rng, drawn.begins, drawn.ends)
    return History(f"seed {seed}", drawn.text, station, readings, tuple(entries), down)


def _post_down(rng: random.Random, begins: int, ends: int) -> tuple[tuple[int, int], ...]:
    if rng.random() > 0.08:
        return ()
    began = rng.randrange(begins, ends)
    return ((began, began + rng.randrange(HOUR_S, 40 * HOUR_S)),)


@dataclass
class _Off:
    """When the station has no power: minutes to days, in one history of three."""

    spans: tuple[tuple[int, int], ...]

    def __contains__(self, at: int) -> bool:
        return any(began <= at < ended for began, ended in self.spans)


def _offs(rng: random.Random, begins: int, ends: int) -> _Off:
    spans = []
    for _ in range(rng.choices((0, 1, 2), (66, 26, 8))[0]):
        began = rng.randrange(begins + HOUR_S, ends)
        spans.append(
            (began, began + round(rng.choice((0.2, 1.0, 6.0, 30.0)) * rng.uniform(0.5, 1.8) * HOUR_S))
        )
    return _Off(tuple(spans))


class _World:
    """Room, cups, probes and hands of a drawn station, step by step."""

    def __init__(self, rng: random.Random, station: Station, begins: int, ends: int) -> None:
        self._rng, self._station, self._begins, self._ends = rng, station, begins, ends
        self._room = Room(rng, station.timezone, begins, ends)
        self._cups = {vessel.id: Cup(rng, vessel, begins, ends) for vessel in station.vessels}
        self._probes = {
            plan.id: Probe(rng, begins, ends, plan.measures is Measure.WATER_C) for plan in station.probes
        }
        self._off = _offs(rng, begins, ends)
        self.hands = Hands(rng, self._cups)

    def readings(self) -> list[Reading]:
        """All that is read, while the people do what they had planned."""
        coming = plans(self._rng, self._station, self._begins, self._ends)
        read: list[Reading] = []
        step_s = self._station.sample_every_s
        for at in range(self._begins, self._ends, step_s):
            self._room.live(at, step_s)
            for cup in self._cups.values():
                cup.live(at, step_s, self._room)
            while coming and coming[0].at <= at:
                self.hands.do(coming.pop(0))
            if at not in self._off:
                read += [self._read(at, probe_id) for probe_id in self._probes]
        return read

    def _read(self, at: int, probe_id: str) -> Reading:
        plan = self._station.probe(probe_id)
        assert plan is not None
        owner = next((v.id for v in self._station.vessels if probe_id in v.probes), None)
        true = self._true(plan.measures, self._cups[owner]) if owner else self._room.air_c
        probe = self._probes[probe_id]
        value, fault = probe.reads(at, true, self._room.air_c)
        if value is None:
            return Reading(at, probe_id, None, Quality(fault))
        return judged(at, probe_id, plan.measures, self._rounded(plan.measures, value + probe.offset))

    def _true(self, measures: Measure, cup: Cup) -> float:
        match measures:
            case Measure.WATER_C:
                return cup.water_c
            case Measure.ROOM_C:
                return self._room.air_c
            case Measure.ROOM_RH_PCT:
                return self._room.humid_pct
            case Measure.LIGHT_LUX:
                return cup.lux
            case Measure.LIGHT_FRACTION:
                return min(1.0, cup.lux / 4000.0)
            case _:
                return float(cup.content.loss_ml > (cup.vessel.float_ml or cup.vessel.low_ml))

    def _rounded(self, measures: Measure, value: float) -> float:
        """As such a probe gives it: in sixteenths of a degree, whole lux, yes or no."""
        match measures:
            case Measure.WATER_C:
                return round((value + self._rng.gauss(0.0, 0.03)) * 16.0) / 16.0
            case Measure.ROOM_C:
                return round(value + self._rng.gauss(0.0, 0.02), 2)
            case Measure.ROOM_RH_PCT:
                return round(value, 1)
            case Measure.LIGHT_LUX:
                return float(max(0, round(value)))
            case Measure.LIGHT_FRACTION:
                return round(min(1.0, max(0.0, value)), 3)
            case _:
                return float(value >= 0.5)
