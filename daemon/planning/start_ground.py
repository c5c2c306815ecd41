"""What a plan is made from: the station file and what somebody stated, or what the station has learned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from daemon.estimates.hatch.grid import Start
from daemon.estimates.hatch.lots import GivenLot, Lots
from daemon.estimates.warmth.belief import COURSES, WarmthCourse
from daemon.hours import Span
from daemon.planning.hatched_by import unsure_of_salt
from daemon.planning.start import LOOKS_BACK_S, StartGround
from daemon.planning.stated_warmth import StatedWarmth, stated_courses
from daemon.science.brine import salinity_in_a_litre
from daemon.science.hatching import salinity_delay
from daemon.science.strains import STRAINS
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station, Vessel

SALT_G_PER_L = 25.0
WEEK_H = 7 * 24
AFTER_S = 7 * DAY_S
# Where what was learned ends, the same hour of the week counts again, and is less sure by so much [P].
FURTHER_SD_K = 0.8


@dataclass(frozen=True, slots=True)
class Learned:
    """What a running station knows: the lot, and the water's middle and sd by clock hour from `began`, °C."""

    began: int
    hourly_c: tuple[tuple[float, float], ...]
    nodes: tuple[tuple[float, ...], ...]
    hatches_seen: int = 0  # of the lot


def lot_as_given(station: Station, lot: str | None, now: int) -> Start:
    """A lot before any of its hatches: its strain's, where the station file names it; else any."""
    given = {one.id: GivenLot(STRAINS[one.strain], one.opened) for one in station.lots}
    return Lots(given).start(lot, "", now, (), now)


def stated_ground(
    station: Station, vessel: Vessel | None, lot: str | None, stated: StatedWarmth, lesson: Span, now: int
) -> StartGround:
    """From what somebody stated of the water; of the lot the station file alone."""
    began, hours = _reach(lesson, now)
    courses = stated_courses(station, vessel, stated, began, hours)
    return StartGround(unsure_of_salt(lot_as_given(station, lot, now)), courses, began, _delay())


def learned_ground(learned: Learned, lesson: Span, now: int) -> StartGround:
    """From what the station has learned of a vessel's water, and of the lot."""
    began, hours = _reach(lesson, now)
    return StartGround(learned_lot(learned), _learned_courses(learned, began, hours), began, _delay())


def with_lot(ground: StartGround, learned: Learned) -> StartGround:
    """The same with the lot as learned."""
    return replace(ground, start=learned_lot(learned))


def learned_lot(learned: Learned) -> Start:
    """The lot as learned, in brine as unsure as people mix it. How many hatch at all says nothing of when."""
    shares = Lots().start(None, "", learned.began, (), learned.began).shares
    return unsure_of_salt(Start(learned.nodes, shares))


def _delay() -> float:
    return salinity_delay(salinity_in_a_litre(SALT_G_PER_L))


def _reach(lesson: Span, now: int) -> tuple[int, int]:
    """From which hour on (Unix s) the water is looked at, and how many whole weeks of hours."""
    began = max(now, lesson[0] - LOOKS_BACK_S) // HOUR_S * HOUR_S
    weeks = -(-(lesson[1] + AFTER_S - began) // (WEEK_H * HOUR_S))
    return began, weeks * WEEK_H


def _learned_courses(learned: Learned, began: int, hours: int) -> list[WarmthCourse]:
    first = (began - learned.began) // HOUR_S
    known = [_hour(learned.hourly_c, first + hour) for hour in range(hours)]
    weight = 1.0 / len(COURSES)
    return [WarmthCourse(weight, tuple(middle + z * sd for middle, sd in known)) for z in COURSES]


def _hour(hourly_c: Sequence[tuple[float, float]], hour: int) -> tuple[float, float]:
    """An hour's middle and sd; beyond what is known, those of the same hour of the last known week."""
    if hour < len(hourly_c):
        return hourly_c[max(0, hour)]
    period = min(WEEK_H, len(hourly_c) // 24 * 24) or len(hourly_c)
    middle, sd = hourly_c[len(hourly_c) - period + (hour - len(hourly_c)) % period]
    return middle, (sd * sd + FURTHER_SD_K * FURTHER_SD_K) ** 0.5
