"""How sunny the last days were, and what that says of the coming ones.

A day's sun is how far what surrounds the cup stands out of its own morning and evening, by the shape of a
sunny afternoon, in K. A coming day's is drawn from the days seen, the later the likelier, yesterday most of
all, and from three that nobody saw: so two sunny afternoons do not make a third one sure.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, sqrt

from daemon.estimates.warmth.room_state import sunny

KEPT = 14
FROM_H, TO_H = 11, 17
MORNINGS_H, LATE_MORNING_H, EVENINGS_H = (8, 9), 10, (20, 19, 21)
LEAST_HOURS = 5
LEAST_K = 0.8  # of a usual day's sun: below it there is none to speak of
FORGOTTEN, AS_YESTERDAY = 0.93, 0.5
# Days that nobody saw, as shares of the sunniest seen, with their weight: grey, cloudy, and as clear [P].
UNSEEN = ((0.0, 0.8), (0.5, 0.4), (1.1, 1.0))
MOST = 2.5  # times the usual
AS_DRAWN_SD = 0.2  # by which a day may differ from the one it was drawn from, as a share of the usual [P]
THIRDS = (-1.22, 0.0, 1.22)  # three points that stand for a normal: its variance is theirs


@dataclass(frozen=True, slots=True)
class SunToday:
    """Today's sun less a usual day's, as a share of that, as seen so far; its sd, and an unseen day's."""

    middle: float
    sd: float
    unseen_sd: float


@dataclass(frozen=True, slots=True)
class SunnyDays:
    """Feed what surrounded the cup by local hour. Never changed in place."""

    past_k: tuple[float, ...] = ()
    today: tuple[tuple[int, float], ...] = ()

    def with_hour(self, hour: int, around_c: float) -> "SunnyDays":
        """One more hour; an earlier one than the last begins a day."""
        if self.today and hour < self.today[-1][0]:
            seen_k = sun_k(dict(self.today))
            past_k = self.past_k if seen_k is None else (*self.past_k, seen_k)[-KEPT:]
            return SunnyDays(past_k, ((hour, around_c),))
        return SunnyDays(self.past_k, (*self.today, (hour, around_c)))

    def shares(self, usual_k: float) -> list[tuple[float, float]]:
        """A coming day's sun as a multiple of a usual day's, with weights; empty where nothing is known."""
        if not self.past_k or usual_k < LEAST_K:
            return []
        most_k, last = max(self.past_k), len(self.past_k) - 1
        days = [(k, FORGOTTEN ** (last - n)) for n, k in enumerate(self.past_k)]
        days += [(self.past_k[-1], AS_YESTERDAY), *((most_k * share, weight) for share, weight in UNSEEN)]
        return sorted((min(MOST, k / usual_k), weight) for k, weight in days)


def sun_k(around_c: Mapping[int, float]) -> float | None:
    """A day's sun from what surrounded the cup by hour, K; None where too little of it is known."""
    mornings = [around_c[h] for h in MORNINGS_H if h in around_c]
    morning = min(mornings, default=around_c.get(LATE_MORNING_H))  # into some windows it shines at nine
    evening = next((around_c[h] for h in EVENINGS_H if h in around_c), None)
    known = [h for h in range(FROM_H, TO_H + 1) if h in around_c]
    if morning is None or evening is None or len(known) < LEAST_HOURS:
        return None
    base_c = 0.5 * (morning + evening)
    square = sum(sunny(h) ** 2 for h in known)
    return max(0.0, sum(sunny(h) * (around_c[h] - base_c) for h in known) / square)


def as_seen(shares: Sequence[tuple[float, float]], today: SunToday) -> list[tuple[float, float]]:
    """What a coming day's shares become for today, of which something was seen: the likelier, the nearer."""
    told = 1.0 / today.sd**2 - 1.0 / today.unseen_sd**2
    if told <= 0.0:
        return list(shares)
    seen = 1.0 + today.middle / today.sd**2 / told
    drawn_from = 1.0 / AS_DRAWN_SD**2
    far = [(share - seen) ** 2 / (2.0 * (1.0 / drawn_from + 1.0 / told)) for share, _ in shares]
    sd, nearest, found = 1.0 / sqrt(drawn_from + told), min(far), []
    for (share, weight), away in zip(shares, far, strict=True):
        middle = (share * drawn_from + seen * told) / (drawn_from + told)
        likely = weight * exp(nearest - away) / len(THIRDS)
        found += [(min(MOST, max(0.0, middle + sd * z)), likely) for z in THIRDS]
    return sorted(found)


def drawn(shares: Sequence[tuple[float, float]], at: Iterable[float]) -> list[float]:
    """The quantiles of sorted weighted points at shares from 0 to 1, by steps."""
    total = sum(weight for _, weight in shares)
    found = []
    for share in at:
        below, value = 0.0, shares[-1][0]
        for point, weight in shares:
            below += weight
            if below >= share * total:
                value = point
                break
        found.append(value)
    return found
