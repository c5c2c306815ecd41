"""What follows from the belief about a vessel's water: the level now, when it is low, what to pour."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf, sqrt

from daemon.estimates.horizons import WATER_HORIZON_S
from daemon.estimates.quantile import Z90, Estimate, Part, merge, normal_cdf, of_cdf, of_normals
from daemon.estimates.water.level import Level, PacedLevel
from daemon.estimates.water.rim_shelter import Rim
from daemon.estimates.water.salt import LEAST_VOLUME_SHARE, Salt, salinity_of
from daemon.science.brine import SATURATED_G_PER_KG
from daemon.seconds import MINUTE_S

MISSED_SHARE = 0.1  # a fill that holds misses less often than this
FILL_STEPS = 60


@dataclass(frozen=True, slots=True)
class Fill:
    """Plain water to pour now, mL, and how far above the mark that ends.

    `holds` says whether it is believed (nine in ten) to keep the water between brim and low mark until
    somebody returns. Where it does not, `fails` is what is to be feared most: "low", that the water falls
    below the low mark, or "brim", that it stands over the brim; it is None where it holds.
    """

    add_ml: float
    above_mark_ml: float
    holds: bool
    fails: str | None = None


@dataclass(frozen=True, slots=True)
class WaterOutlook:
    """The belief about the water at one moment (`at`, Unix s), and what comes if days stay alike.

    `days_ahead` and `days_back` tell a moment in days of the levels' paces from now; `ahead_sd_share`
    is how far the mean pace up to that moment may be off, as a share. `since` is when water was last added
    or taken.
    """

    at: int
    since: int
    mark_ml: float
    water_c: float
    rim: Rim
    levels: tuple[PacedLevel, ...]
    salt: Salt
    days_ahead: Callable[[float], float]
    days_back: Callable[[float], float]
    ahead_sd_share: Callable[[float], float]
    lately_sd_share: float
    fill_error_ml: float

    def loss_ml(self) -> Estimate:
        """How far below the mark the water stands now, mL; negative above; at most all of it."""
        return self.loss_ml_at(self.at)

    def loss_ml_at(self, future: int) -> Estimate:
        """How far below the mark it will stand, mL: no higher than the rim, and at most all of it."""
        return _within(of_normals(self._parts(future)), -self.rim.most_above_ml, self.mark_ml)

    def loss_ml_per_day(self) -> Estimate:
        """What evaporated over the last day, mL."""
        parts = [
            Part(m.weight, m.lately_ml_per_day, self.lately_sd_share * m.lately_ml_per_day)
            for m in self.levels
        ]
        return of_normals(parts)

    def salinity(self) -> Estimate:
        """Salinity now, g/kg."""
        return self.salinity_at(self.at)

    def salinity_at(self, future: int) -> Estimate:
        """Salinity at a moment if nobody adds or takes anything until then, g/kg; salt beyond what
        dissolves lies on the bottom.
        """
        parts, guesses = merge(self._parts(future)), self.salt.explanations
        salty = of_normals(self._salty(part, guess) for part in parts for guess in guesses)
        return _within(salty, 0.0, SATURATED_G_PER_KG)

    def low_mark_at(self, low_ml: float) -> Estimate:
        """When the water stands `low_ml` below the mark, Unix s.

        A moment in the past where that is believed, not before water was last added or taken; at most 60
        days ahead, which stands for "not within 60 days".
        """

        reached = self._reached(low_ml)

        now_share = reached(self.at)
        ahead = of_cdf(reached, self.at, self.at + WATER_HORIZON_S, MINUTE_S)
        if now_share < 0.1:
            return ahead
        back = of_cdf(reached, self.since, self.at, MINUTE_S)
        return Estimate(
            back.p10,
            back.p50 if now_share >= 0.5 else ahead.p50,
            back.p90 if now_share >= 0.9 else ahead.p90,
        )

    def _reached(self, low_ml: float) -> Callable[[float], float]:
        """How much of the belief has sunk to a line at a moment.

        Asked in what must have gone at the mark's pace until then, which grows with time straight; the rest
        is worked out once, since a moment is searched for in many steps.
        """
        rim, needs = self.rim, []
        line = rim.slowness(low_ml)
        for m in self.levels:
            began = rim.slowness(m.loss_ml)
            needed_ml = (line * line - began * began) / (2.0 * rim.per_ml)
            by_rim = rim.spread(m.loss_ml, low_ml) * line
            square = max(1e-12, began * began * m.variance + by_rim * by_rim)
            needs.append((m.weight, m.ahead_ml_per_day, needed_ml, square))
        total = sum(m.weight for m in self.levels)

        def reached(t: float) -> float:
            ahead = t >= self.at
            days = self.days_ahead(t) if ahead else -self.days_back(t)
            share = self.ahead_sd_share(t) if ahead else 0.0
            share *= share
            found = 0.0
            for weight, per_day, needed_ml, square in needs:
                gone_ml = days * per_day
                found += weight * normal_cdf((gone_ml - needed_ml) / sqrt(square + share * gone_ml * gone_ml))
            return found / total

        return reached

    def filled_to(self, above_mark_ml: float) -> "WaterOutlook":
        """The outlook once plain water is poured up to a line that far above the mark.

        The level is then as well known as a line can be seen; the pace of the loss is believed as before.
        """
        variance = self.fill_error_ml**2
        level = tuple(replace(m, loss_ml=-above_mark_ml, variance=variance) for m in self.levels)
        return replace(self, levels=level, since=self.at)

    def safe_fill(self, returns_at: int, low_ml: float, brim_ml: float, bears_ml: float = inf) -> Fill:
        """Plain water to pour now so that it lasts until `returns_at`; `bears_ml` is the most that the salt
        allows.

        At least to the mark, which is safe to fill to whatever the brim; above it no further than is needed
        for the water to be below the low mark or over the brim, by the fill's own error, less than one time
        in ten. Where no line does that, the highest that is safe: it lasts longest. Nothing where the water
        stands above the mark, or less is missing than the level can be read to.
        """
        now = self.loss_ml()
        most_ml = min(max(0.0, brim_ml - Z90 * self.fill_error_ml), bears_ml - now.p50)

        def missed(above_ml: float) -> float:
            low = 1.0 - _share_below(self.filled_to(above_ml)._parts(returns_at), low_ml)
            over = 1.0 - normal_cdf((brim_ml - above_ml) / self.fill_error_ml) if above_ml > 0.0 else 0.0
            return low + over

        if now.p50 < 0.0 or most_ml < 0.0:
            return self.left_alone(returns_at, low_ml, brim_ml)
        above = _least_fill(missed, most_ml)
        # Less than the level can be read to is nothing that anybody could pour.
        if now.p50 + above < self.fill_error_ml:
            return self.left_alone(returns_at, low_ml, brim_ml)
        holds = missed(above) <= MISSED_SHARE
        return Fill(now.p50 + above, above, holds, None if holds else "low")

    def left_alone(self, returns_at: int, low_ml: float, brim_ml: float) -> Fill:
        """Nothing poured, and whether that holds. Water is over the brim only where it most likely stands
        above the mark by more than nine in ten fillings to it miss it: to the mark it is safe to fill.
        """
        now_ml = self.loss_ml().p50
        low = 1.0 - _share_below(self._parts(returns_at), low_ml)
        above = -now_ml > Z90 * self.fill_error_ml
        over = _share_below(self._parts(self.at), -brim_ml) if above else 0.0
        holds = low + over <= MISSED_SHARE
        fails = None if holds else "brim" if over > low else "low"
        return Fill(0.0, -now_ml, holds, fails)

    def _parts(self, at: float) -> list[Part]:
        if at >= self.at:
            days, share = self.days_ahead(at), self.ahead_sd_share(at)
            return [self._sunk(m, days * m.ahead_ml_per_day, share) for m in self.levels]
        days = self.days_back(at)
        return [
            Part(m.weight, self.rim.before(m.loss_ml, days * m.ahead_ml_per_day), sqrt(m.variance))
            for m in self.levels
        ]

    def _sunk(self, m: PacedLevel, open_ml: float, share: float) -> Part:
        """Where a member's level stands once `open_ml` would have gone at the mark's pace."""
        loss_ml = self.rim.sunk(m.loss_ml, open_ml)
        began, ended = self.rim.slowness(m.loss_ml), self.rim.slowness(loss_ml)
        square = (began * began * m.variance + (share * open_ml) ** 2) / (ended * ended)
        return Part(m.weight, loss_ml, sqrt(square + self.rim.spread(m.loss_ml, loss_ml) ** 2))

    def _salty(self, part: Part, guess: Level) -> Part:
        """Level to salinity, by one explanation of the salt; its spread by the slope."""
        chance, times, variance = guess
        volume_ml = max(LEAST_VOLUME_SHARE * self.mark_ml, self.mark_ml - part.mean)
        salinity = salinity_of(times * self.salt.salt_g, volume_ml, self.water_c)
        level = part.sd / volume_ml
        return Part(
            chance * part.weight, salinity, salinity * sqrt(level * level + variance / (times * times))
        )


def _within(believed: Estimate, least: float, most: float) -> Estimate:
    """A normal's tails end where there can be no more."""
    return Estimate(*(min(most, max(least, end)) for end in (believed.p10, believed.p50, believed.p90)))


def _share_below(parts: list[Part], line_ml: float) -> float:
    """How much of the belief has a loss of less than `line_ml`."""
    total = sum(p.weight for p in parts)
    return sum(p.weight * normal_cdf((line_ml - p.mean) / max(p.sd, 1e-6)) for p in parts) / total


def _least_fill(missed: Callable[[float], float], most_ml: float) -> float:
    """The least height above the mark that is missed rarely enough; the most where none is."""
    for step in range(FILL_STEPS + 1):
        height = most_ml * step / FILL_STEPS
        if missed(height) <= MISSED_SHARE:
            return _finer(missed, height, most_ml / FILL_STEPS)
    return most_ml


def _finer(missed: Callable[[float], float], enough_ml: float, step_ml: float) -> float:
    low, high = max(0.0, enough_ml - step_ml), enough_ml
    while high - low > 0.02 and high > 0.0:
        middle = 0.5 * (low + high)
        if missed(middle) <= MISSED_SHARE:
            high = middle
        else:
            low = middle
    return high
