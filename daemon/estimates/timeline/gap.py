"""Water that was not read: what is taken of it, from whatever else was.

A neighbour with the same lamp hours shows how the water moved; the room's air with the lamp does through
the cup's own lump; with neither the water stays. Each hour adds to the margin by how much is known of it,
and where readings return, what does not fit is spread over the silence in those shares (a Brownian bridge):
with nothing known a straight line, and a margin widest in its middle.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, sqrt

from daemon.estimates.local_hour import Calendar
from daemon.estimates.timeline.stretch import Series
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.seconds import HOUR_S

# Water without readings wanders: a tenth of the time further than this below, or above, in °C/√h, and no
# further than the most. A classroom overnight loses 2 to 5 °C in 12 h, which 1 °C/√h gives as 3.5 [P].
UNKNOWN, UNKNOWN_MOST_C = 1.0, 6.0
BY_ROOM, BY_ROOM_MOST_C = 0.6, 2.5
BY_NEIGHBOUR, BY_NEIGHBOUR_MOST_C = 0.35, 1.5


@dataclass(frozen=True, slots=True)
class OtherReadings:
    """What was seen while the water was not, and the cup as learned; None where nothing is."""

    room: Series
    neighbour: Series
    light: Series
    calendar: Calendar
    heat: CupHeat | None


@dataclass(frozen=True, slots=True)
class UnreadWater:
    """The water at the middle of a piece of time and how far the truth may be, to either side, °C."""

    water_c: float
    margin_c: float


def fill(
    pieces: Sequence[tuple[int, int]], before_c: float, after_c: float | None, seen: OtherReadings
) -> list[UnreadWater]:
    """The water in pieces of time (Unix s) that follow each other; `after_c` is None while silence lasts."""
    water_c, spread = before_c, 0.0
    # Water and spread in the middle, and the most the margin can be.
    filled: list[tuple[float, float, float]] = []
    for began, ended in pieces:
        next_c, wander, most_c = _moved(began, ended, water_c, seen)
        grown = wander * wander * (ended - began) / HOUR_S
        filled.append((0.5 * (water_c + next_c), spread + 0.5 * grown, most_c))
        water_c, spread = next_c, spread + grown
    if after_c is None or spread <= 0.0:
        return [UnreadWater(middle_c, min(most_c, sqrt(v))) for middle_c, v, most_c in filled]
    missed_k = after_c - water_c
    return [
        UnreadWater(middle_c + missed_k * v / spread, min(most_c, sqrt(v * (spread - v) / spread)))
        for middle_c, v, most_c in filled
    ]


def _moved(began: int, ended: int, water_c: float, seen: OtherReadings) -> tuple[float, float, float]:
    """The water at the end of a piece, and how it wanders about that."""
    first_c, last_c = seen.neighbour.measured(began), seen.neighbour.measured(ended)
    if first_c is not None and last_c is not None:
        return water_c + last_c - first_c, BY_NEIGHBOUR, BY_NEIGHBOUR_MOST_C
    room_c = seen.room.measured(0.5 * (began + ended))
    if room_c is not None and seen.heat is not None:
        lamp_k = seen.heat.rise_k if _lit(0.5 * (began + ended), seen) else 0.0
        keep = exp(-(ended - began) / HOUR_S / seen.heat.tau_h)
        settles_c = room_c + seen.heat.offset_k + lamp_k
        if seen.heat.held_c is not None:
            settles_c = max(settles_c, seen.heat.held_c)
        return keep * water_c + (1.0 - keep) * settles_c, BY_ROOM, BY_ROOM_MOST_C
    return water_c, UNKNOWN, UNKNOWN_MOST_C


def _lit(at: float, seen: OtherReadings) -> bool:
    light = seen.light.measured(at)
    return seen.calendar.local(int(at)).lamp_due and (light is None or light >= 1.0)
