"""What follows from the belief about a vessel's water: the level now, when it is low, what to pour."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import sqrt

from daemon.estimates.members import Member
from daemon.estimates.quantile import Estimate, Part, merge, normal_cdf, of_cdf, of_normals
from daemon.science.brine import MOST_SALT_G_PER_KG, density_kg_per_m3

DAY_S = 86_400
HORIZON_S = 60 * DAY_S
MINUTE_S = 60.0
LEAST_VOLUME_SHARE = 0.05  # of the mark: below it the vessel is dry, and salinity means nothing


@dataclass(frozen=True, slots=True)
class Salt:
    """Salt in the vessel, g; `sd_share` is its relative uncertainty."""

    salt_g: float
    sd_share: float


@dataclass(frozen=True, slots=True)
class Fill:
    """Plain water to pour now, mL, and how far above the mark that ends.

    `holds` says whether it is believed (nine in ten) to keep the water between brim and low mark.
    """

    add_ml: float
    above_mark_ml: float
    holds: bool


@dataclass(frozen=True, slots=True)
class WaterOutlook:
    """The belief about the water at one moment (`at`, Unix s), and what comes if days stay alike.

    `days_ahead` and `days_back` tell a moment in days of evaporation from now; `ahead_sd_share` is how
    far a coming day may differ from the last, as a share. `since` is when water was last added or taken.
    """

    at: int
    since: int
    mark_ml: float
    water_c: float
    members: tuple[Member, ...]
    salt: Salt
    days_ahead: Callable[[float], float]
    days_back: Callable[[float], float]
    ahead_sd_share: float
    lately_sd_share: float
    fill_error_ml: float

    def loss_ml(self) -> Estimate:
        """How far below the mark the water stands now, mL; negative above; at most all of it."""
        return self.loss_ml_at(self.at)

    def loss_ml_at(self, future: int) -> Estimate:
        """How far below the mark it will stand, mL; at most all of it."""
        found = of_normals(self._parts(future))
        return Estimate(*(min(self.mark_ml, ml) for ml in (found.p10, found.p50, found.p90)))

    def loss_ml_per_day(self) -> Estimate:
        """What evaporated over the last day, mL."""
        parts = [
            Part(m.weight, m.lately_ml_per_day, self.lately_sd_share * m.lately_ml_per_day)
            for m in self.members
        ]
        return of_normals(parts)

    def salinity(self) -> Estimate:
        """Salinity now, g/kg."""
        return self.salinity_at(self.at)

    def salinity_at(self, future: int) -> Estimate:
        """Salinity at a moment if nobody adds or takes anything until then, g/kg."""
        return of_normals(self._salty(part) for part in merge(self._parts(future)))

    def low_mark_at(self, low_ml: float) -> Estimate:
        """When the water stands `low_ml` below the mark, Unix s.

        A moment in the past where that is believed, not before water was last added or taken; at most 60
        days ahead, which stands for "not within 60 days".
        """

        def reached(t: float) -> float:
            parts = self._parts(t)
            total = sum(p.weight for p in parts)
            return sum(p.weight * normal_cdf((p.mean - low_ml) / max(p.sd, 1e-6)) for p in parts) / total

        now_share = reached(self.at)
        ahead = of_cdf(reached, self.at, self.at + HORIZON_S, MINUTE_S)
        if now_share < 0.1:
            return ahead
        back = of_cdf(reached, self.since, self.at, MINUTE_S)
        return Estimate(
            back.p10,
            back.p50 if now_share >= 0.5 else ahead.p50,
            back.p90 if now_share >= 0.9 else ahead.p90,
        )

    def filled_to(self, above_mark_ml: float) -> "WaterOutlook":
        """The outlook once plain water is poured up to a line that far above the mark.

        The level is then as well known as a line can be seen; the pace of the loss is believed as before.
        """
        variance = self.fill_error_ml**2
        level = tuple(replace(m, loss_ml=-above_mark_ml, variance=variance) for m in self.members)
        return replace(self, members=level, since=self.at)

    def safe_fill(self, returns_at: int, low_ml: float, brim_ml: float) -> Fill:
        """Plain water to pour now so that it lasts until `returns_at`.

        At least to the mark, at most to the brim; between them as far above the mark as keeps the water
        above the low mark nine times in ten. `holds` is False where no line does both.
        """
        now = self.loss_ml()
        taken = self.filled_to(0.0).loss_ml_at(returns_at)
        above = min(max(taken.p90 - low_ml, 0.0), brim_ml)
        # Less than the level can be read to is nothing that anybody could pour.
        if now.p50 + above < self.fill_error_ml:
            return Fill(0.0, -now.p50, self.loss_ml_at(returns_at).p90 <= low_ml)
        return Fill(now.p50 + above, above, taken.p90 - above <= low_ml + 1e-9)

    def _parts(self, at: float) -> list[Part]:
        if at >= self.at:
            days, share = self.days_ahead(at), self.ahead_sd_share
            return [
                Part(
                    m.weight,
                    m.loss_ml + days * m.ahead_ml_per_day,
                    sqrt(m.variance + (share * days * m.ahead_ml_per_day) ** 2),
                )
                for m in self.members
            ]
        days = self.days_back(at)
        return [
            Part(m.weight, m.loss_ml - days * m.lately_ml_per_day, sqrt(m.variance)) for m in self.members
        ]

    def _salty(self, part: Part) -> Part:
        """Level to salinity; its spread by the slope."""
        volume_ml = max(LEAST_VOLUME_SHARE * self.mark_ml, self.mark_ml - part.mean)
        rough = min(MOST_SALT_G_PER_KG, 990.0 * self.salt.salt_g / volume_ml)
        density = density_kg_per_m3(self.water_c, rough) / 1000.0
        salinity = 1000.0 * self.salt.salt_g / (volume_ml * density)
        level = part.sd / volume_ml
        return Part(part.weight, salinity, salinity * sqrt(level * level + self.salt.sd_share**2))
