"""A weekend of `weekends` lived once more, without any belief: all that was, and all that people told."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from daemon.care.deed import Deed
from tests.kit.other_people import Act
from tests.kit.other_physics import DAY, HOUR
from tests.kit.weekends import HORIZON_S, RETURNS, STEP_S, Played, story

Numbers = NDArray[np.float64]


class Ear:
    """Takes the place of a belief, and keeps what is told."""

    def __init__(self) -> None:
        self.deeds: list[Deed] = []
        self.water: list[tuple[int, float]] = []

    def feed_reading(self, at: int, what: str, value: float) -> None:
        """What a probe says."""
        if what == "water_c":
            self.water.append((at, value))

    def feed_deed(self, deed: Deed) -> None:
        """What people tell."""
        self.deeds.append(deed)


@dataclass(frozen=True)
class Lived:
    """What was, by steps of ten minutes that end at `times` (Unix s), and what was told of it."""

    week: Played
    acts: list[Act]
    ear: Ear
    times: NDArray[np.int64]
    water_c: Numbers
    air_c: Numbers
    vapour_pa: Numbers
    salinity_g_per_kg: Numbers
    poured_at: tuple[int, ...]  # to the mark, noted or not

    def told(self, deed: str, at: int) -> Deed | None:
        """What was told at a moment."""
        return next((d for d in self.ear.deeds if (d.deed, d.at) == (deed, at)), None)


def lived_weekend(seed: int, top_ups: int, *, cone: bool = False, days: int = HORIZON_S // DAY) -> Lived:
    """The weekend of `played` and so many days after it."""
    acts = story(seed, top_ups)
    week = Played(seed, acts, acts[0].at - 12 * HOUR, top_ups, room_probe=(), cone=cone)
    return live(week, acts, RETURNS, RETURNS + days * DAY)


def live(week: Played, acts: list[Act], until: int, end: int) -> Lived:
    """Live a week, with people up to `until`."""
    ear = Ear()
    week.beliefs = {False: ear}  # type: ignore[dict-item]
    rows: list[tuple[float, ...]] = []
    poured, changed = [], 0
    while week.now < end:
        week.to(week.now + STEP_S, told=week.now < until)
        rows.append(
            (week.cup.water_c, week.room.air_c, week.room.vapour_pa, week.cup.salinity_g_per_kg, week.now)
        )
        if week.changed_at != changed:
            changed = week.changed_at
            if any(act.what == "top-up" and act.at == changed for act in acts):
                poured.append(changed)
    water, air, vapour, salinity, times = np.array(rows).T
    return Lived(week, acts, ear, times.astype(np.int64), water, air, vapour, salinity, tuple(poured))
