"""Who may have looked before: what came out earlier would probably have been seen earlier.

Nobody records looks that saw nothing. But where people come, somebody looks now and then: so a first swimmer
noted at a quarter past two says that hardly any were out that morning. How often a class looks is not known:
its rate is exponential about `LOOKS_PER_H`, and whoever notes one shows that this class does look, so that
the chance that nobody looked in h attended hours is (1 + h·rate)⁻² [C]. A deed at the vessel is half a look.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from daemon.estimates.local_hour import Calendar
from daemon.seconds import HOUR_S

SCHOOL_BEGINS, SCHOOL_ENDS = 8, 16
LOOKS_PER_H = 0.3  # a look in a morning or so [P]
STANDING_LOOKS = 0.5  # who pours or feeds looks for the first swimmers every other time [P]
LEAST_STEP = 0.08  # chances that lie nearer together than this are one
LONGEST_S = 14 * 24 * HOUR_S

Doses = tuple[float, ...]
Moment = tuple[int, Doses]


@dataclass(frozen=True, slots=True)
class Unseen:
    """Doses by path from the last sure look on, and how likely each step between them went unseen.

    `chances[n]` is the chance that nobody looked since what came out between `doses[n]` and the next.
    """

    doses: tuple[Doses, ...]
    chances: tuple[float, ...]


def unseen(
    looked: Moment, history: Sequence[Moment], stood: Sequence[Moment], now: Moment, calendar: Calendar
) -> Unseen:
    """What may have been seen between a sure look and `now`; `history` and `stood` are in order of time."""
    since = max(looked[0], now[0] - LONGEST_S)
    some = history[bisect_right(history, since, key=lambda moment: moment[0]) :]
    between = sorted(
        [m for m in some if m[0] < now[0]] + [m for m in stood if since < m[0] < now[0]],
        key=lambda m: m[0],
    )
    points = [looked, *between, now]
    deeds = [at for at, _ in stood if since < at < now[0]]
    doses: list[Doses] = []
    chances: list[float] = []
    hours = 0.0
    for (began, dose), (ended, _) in zip(points[-2::-1], points[:0:-1], strict=True):
        before = hours
        hours += _attended_h(max(began, since), ended, calendar)
        chance = nobody_looked(0.5 * (before + hours)) * (1.0 - STANDING_LOOKS) ** sum(
            at >= ended for at in deeds
        )
        if chances and chances[-1] - chance < LEAST_STEP * chances[-1]:
            doses[-1] = dose
        else:
            doses.append(dose)
            chances.append(chance)
    return Unseen(tuple(reversed(doses)), tuple(reversed(chances)))


def nobody_looked(attended_h: float) -> float:
    """The chance that nobody looked for so many attended hours, where somebody looked in the end."""
    none: float = (1.0 + LOOKS_PER_H * attended_h) ** -2.0
    return none


def _attended_h(began: int, ended: int, calendar: Calendar) -> float:
    hours, at = 0.0, began
    while at < ended:
        until = min(ended, at - at % HOUR_S + HOUR_S)
        local = calendar.local(at)
        if local.school_day and SCHOOL_BEGINS <= local.hour < SCHOOL_ENDS:
            hours += (until - at) / HOUR_S
        at = until
    return hours
