"""What people do at a cup of `other_physics`, what they tell of it, and what probes say. Test-only.

Scatter, from common practice where no source is named: 0.8 mm of level at a filling (handbook, 1 mm), jugs
2–5 % off, in four classrooms of ten read to 5 mL, else to 1 mL; salt 3 % off; a DS18B20 that is off by
0.2 °C (sd; its data sheet: 0.5 °C at most) in steps of 1/16 °C; a humidity probe by 2 %; now and then an
hour without readings; one top-up in twenty is never noted.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, field

from daemon.care.deed import Deed
from tests.kit.other_physics import DAY, HOUR, Cup, Lot, Room, Size, saturated_pa

FILL_SD_CM = 0.08
FORGOTTEN = 0.05
GAP_PER_H = 1.0 / 72.0


@dataclass(frozen=True, slots=True)
class Act:
    """Something people do at a moment: `set`, `top-up`, `look`, `end`."""

    at: int
    what: str


class Probes:
    """The water probe and the room's; an hour without readings now and then."""

    def __init__(self, seed: int) -> None:
        self._rng = random.Random(f"probes {seed}")
        self._water_off_c, self._room_off_c = self._rng.gauss(0.0, 0.2), self._rng.gauss(0.0, 0.2)
        self._humidity_off_pct = self._rng.gauss(0.0, 2.0)
        self._silences, self._silent_until = random.Random(f"silences {seed}"), 0

    def read(self, at: int, cup: Cup, room: Room) -> dict[str, float]:
        """Good readings of this moment, by measure."""
        if at % HOUR == 0 and self._silences.random() < GAP_PER_H:
            self._silent_until = at + int(self._silences.uniform(0.5, 1.5) * HOUR)
        water_c = cup.water_c + self._water_off_c + self._rng.gauss(0.0, 0.03)
        humidity = 100.0 * room.vapour_pa / saturated_pa(room.air_c) + self._humidity_off_pct
        if at < self._silent_until:
            return {}
        return {
            "water_c": round(water_c * 16.0) / 16.0,
            "room_c": round(room.air_c + self._room_off_c, 2),
            "room_rh_pct": round(min(100.0, max(1.0, humidity)), 1),
        }


class People:
    """The hands and eyes of one classroom. What they tell goes to `tell`."""

    def __init__(
        self,
        seed: str,
        cup: Cup,
        size: Size,
        fills: int,
        tell: Callable[[Deed], None],
        *,
        only_first: bool = False,
    ) -> None:
        """With `only_first` they note the first swimmers and nothing else.

        Three in four of them do not call it the first with over a quarter out, and note nothing then [P].
        """
        self._fills_left, self._only_first = fills, only_first
        self._rng = random.Random(f"people {seed}")
        self._cup, self._size, self._tell = cup, size, tell
        self._jug_sd = self._rng.uniform(0.02, 0.05)
        self._jug_off = self._rng.gauss(0.0, 0.7 * self._jug_sd)
        self._told_to_ml = 5.0 if self._rng.random() < 0.4 else 1.0
        self._seen_first = self._seen_all = False

    def act(self, act: Act, lot: Lot, batch: int) -> bool:
        """Do it; True where the water changed."""
        match act.what:
            case "set":
                self._set(act.at, lot, batch)
            case "top-up":
                return self._top_up(act.at)
            case "look":
                self._look(act.at)
                return False
            case "end":
                self._tell(Deed(act.at, "cup", "end"))
                return False
        return True

    def _level_ml(self) -> float:
        """Filled to the line by eye: how far below it the water really stands."""
        return self._rng.gauss(0.0, FILL_SD_CM * self._size.surface_cm2)

    def _set(self, at: int, lot: Lot, batch: int) -> None:
        cup, salinity = self._cup, 24.46 * self._rng.gauss(1.0, 0.03)  # 25 g in a litre [C]
        cup.handled()
        cup.loss_ml = self._level_ml()
        cup.salt_g = (self._size.mark_ml - cup.loss_ml) * 1.0152 * salinity / 1000.0  # density at 22 °C
        # Two hatches of one lot are not quite alike [P].
        cup.lot, cup.dose_h = lot, 0.0
        cup.t50_h = lot.t50_h * math.exp(random.Random(f"batch {batch} {lot.t50_h}").gauss(0.0, 0.06))
        self._seen_first = self._seen_all = False
        told: dict[str, float | str] = {"salt_g_per_l": 25.0, "volume_ml": self._size.mark_ml, "lot": "one"}
        self._tell(Deed(at, "cup", "set", 0.0002 * self._size.mark_ml, told))

    def _top_up(self, at: int) -> bool:
        """Nobody pours where the water stands at the mark already, nor more often than was meant."""
        before, after = self._cup.loss_ml, self._level_ml()
        poured, forgotten = before - after, self._rng.random() < FORGOTTEN
        scatter = 1.0 + self._jug_off + self._rng.gauss(0.0, 0.7 * self._jug_sd)
        if poured < 1.0 or not self._fills_left:
            return False
        self._fills_left -= 1
        self._cup.handled()
        self._cup.loss_ml = after
        told = max(self._told_to_ml, round(poured * scatter / self._told_to_ml) * self._told_to_ml)
        if not forgotten:
            self._tell(Deed(at, "cup", "top-up", told, {"to": "mark"}))
        return True

    def _look(self, at: int) -> None:
        """First swimmers are told once; then a share judged by eye, a tenth off, until all are out."""
        share, seen = self._cup.share, self._rng.gauss(0.0, 0.1)
        if share < 0.02 or self._seen_all:
            return
        if self._only_first:
            self._seen_all = True
            if share < 0.25 or self._rng.random() < 0.25:
                self._tell(Deed(at, "cup", "first-swimmer"))
        elif not self._seen_first and share < 0.2:
            self._tell(Deed(at, "cup", "first-swimmer"))
        else:
            self._tell(Deed(at, "cup", "hatched", min(1.0, max(0.0, round(share + seen, 1)))))
        self._seen_first, self._seen_all = True, self._seen_all or share > 0.95


@dataclass
class Truth:
    """What really happened, sampled at every step."""

    step_s: int
    began: int
    loss_ml: list[float] = field(default_factory=list)
    evaporated_ml: list[float] = field(default_factory=list)
    water_c: list[float] = field(default_factory=list)
    salinity_g_per_kg: list[float] = field(default_factory=list)
    share: list[float] = field(default_factory=list)

    def add(self, cup: Cup) -> None:
        """One more step."""
        self.loss_ml.append(cup.loss_ml)
        self.evaporated_ml.append(cup.evaporated_ml)
        self.water_c.append(cup.water_c)
        self.salinity_g_per_kg.append(cup.salinity_g_per_kg)
        self.share.append(cup.share)

    def place(self, at: int) -> int:
        """The index of a moment."""
        return (at - self.began) // self.step_s

    def first_time(self, values: list[float], wanted: float, since: int) -> float | None:
        """When a rising series first reaches `wanted`, not before `since`; straight between steps."""
        start = self.place(since)
        for n in range(start, len(values)):
            if values[n] >= wanted:
                if n == start:
                    return float(since)
                part = (wanted - values[n - 1]) / (values[n] - values[n - 1])
                return self.began + (n - 1 + part) * self.step_s
        return None

    def lost_per_day_ml(self, at: int, set_at: int) -> float:
        """What evaporated over the last day, or since the cup was set, scaled to a day."""
        since = max(at - DAY, set_at)
        lost = self.evaporated_ml[self.place(at)] - self.evaporated_ml[self.place(since)]
        return lost * DAY / (at - since)
