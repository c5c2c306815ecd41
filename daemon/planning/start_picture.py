"""How a planned hatch will most likely go, hour by hour."""

from daemon.hours import Span
from daemon.planning.start import StartGround, StartOption
from daemon.seconds import HOUR_S

HOURS_MOST = 72

Pictured = tuple[int, float, float, float]


def picture(ground: StartGround, option: StartOption, lesson: Span) -> list[Pictured]:
    """The share of the hatchable that has hatched, p10, p50 and p90, by the hour (Unix s), at most 72."""
    hatch = ground.hatch
    began = -(-option.set_at // HOUR_S) * HOUR_S
    first = max(began, int(hatch.time_of(0.01, option.set_at).p10) // HOUR_S * HOUR_S - HOUR_S)
    ended = min(max(int(option.t90.p90), lesson[1]) + HOUR_S, first + HOURS_MOST * HOUR_S)
    found = []
    for at in range(min(first, lesson[0] // HOUR_S * HOUR_S), ended, HOUR_S):
        share = hatch.share_at(option.set_at, max(at, option.set_at))
        found.append((at, share.p10, share.p50, share.p90))
    return found
