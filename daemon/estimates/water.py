"""The belief about one vessel's water: how much is gone, how fast it goes, how salt it is.

Evaporation is k times Shah's method; k is learned from top-ups to the mark and lasts from batch to batch.
Between them the level is the sum of what evaporated and what was told. Salt stays in the vessel.

Assumptions, each wide enough to be wrong [P]: without a room probe the room is 1 K warmer than the water,
where a cup without a lamp settles, but not above 22 °C, where a lamp warms the cup (in a hotter room the
law then gives up to half too much, which k takes in); a cover leaves about a tenth of the evaporation;
told volumes are right to 1 mL and 2 %; a coming day is like the last within 15 % (25 % with less than a
day seen). Where the salt was never told it is taken as the usual 25 g/L, give or take 30 %.
"""

from copy import copy
from math import exp, hypot, sqrt

from daemon.care.deed import Deed
from daemon.estimates.evaporating import LossPath, open_ml_per_h
from daemon.estimates.grid import REFERENCE, VAPOURS, EvaporationGrid
from daemon.estimates.members import Member, pooled
from daemon.estimates.outlook import DAY_S, Salt, WaterOutlook
from daemon.estimates.quantile import Z90
from daemon.estimates.recent import ComingDays, RecentDay
from daemon.estimates.stretch import HOUR_S, Stretch
from daemon.science.brine import density_kg_per_m3, salinity_in_a_litre, water_activity
from daemon.science.evaporation import K_DRIFT_PER_SQRT_DAY, fill_error_ml
from daemon.station import Vessel

COVER_LEAVES = 0.12
COVER_SD_SHARE = 0.8  # of what a cover leaves
TOLD_SD_ML, TOLD_SD_SHARE = 1.0, 0.02
DAY_SD_SHARE, FIRST_DAY_SD_SHARE = 0.15, 0.25
USUAL_SALT_G_PER_L = 25.0
SALT_SD_SHARE, SALT_NOT_TOLD_SD_SHARE = 0.03, 0.30
REFRACTOMETER_SD, HYDROMETER_SD = 1.0, 2.0  # g/kg
USUAL_WATER_C = 24.0  # before the first reading
TO_THE_WATER = frozenset({"set", "top-up", "brine", "remove", "harvest", "cover", "salinity"})
DRIFT_STEP_S = 6 * HOUR_S  # k has not moved to speak of in less


class WaterBelief:
    """Feed stretches and deeds in time order; ask for an outlook."""

    def __init__(self, vessel: Vessel) -> None:
        self._vessel = vessel
        self._fill_sd_ml = fill_error_ml(vessel.surface_cm2)
        self._grid = EvaporationGrid(vessel.rim_above_water_cm)
        self._ml = [0.0] * VAPOURS  # evaporated at k = 1 since it was last put into the grid
        self._spread_ml = [0.0] * VAPOURS
        self._drift_s = 0
        self._open, self._actual = RecentDay(), RecentDay()  # mL at k = 1: from the open vessel; as it was
        self._path = LossPath()  # at k = 1, of the reference node
        self._changed_at = 0
        self._set_at = 0
        self._known = False
        self._covered = False
        self._salt = Salt(0.0, SALT_NOT_TOLD_SD_SHARE)
        self._recipe = USUAL_SALT_G_PER_L
        self._activity = water_activity(salinity_in_a_litre(USUAL_SALT_G_PER_L))
        self._water_c = USUAL_WATER_C
        self._room: tuple[float | None, float | None] = (None, None)

    def copy(self) -> "WaterBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._grid = self._grid.copy()
        twin._open, twin._actual = self._open.copy(), self._actual.copy()
        twin._path = self._path.copy()
        twin._ml, twin._spread_ml = list(self._ml), list(self._spread_ml)
        return twin

    def feed_stretch(self, stretch: Stretch) -> None:
        """What evaporated in a stretch of time."""
        self._water_c, self._room = stretch.water_c, (stretch.room_c, stretch.room_rh_pct)
        open_ml = self._open_ml(stretch, stretch.water_c)
        leaves = COVER_LEAVES if self._covered else 1.0
        actual = [leaves * ml for ml in open_ml]
        spread = [COVER_SD_SHARE * ml if self._covered else 0.0 for ml in actual]
        if stretch.high_c > stretch.low_c:
            low, high = self._open_ml(stretch, stretch.low_c), self._open_ml(stretch, stretch.high_c)
            spread = [
                hypot(s, leaves * (b - a) / (2.0 * Z90)) for s, a, b in zip(spread, low, high, strict=True)
            ]
        self._ml = [a + b for a, b in zip(self._ml, actual, strict=True)]
        self._spread_ml = [a + b for a, b in zip(self._spread_ml, spread, strict=True)]
        self._open.add(stretch.began, stretch.ended - stretch.began, open_ml)
        self._actual.add(stretch.began, stretch.ended - stretch.began, actual)
        self._path.add(stretch.ended, actual[REFERENCE])
        self._drift_s += stretch.ended - stretch.began
        if self._drift_s >= DAY_S:
            self._settle()

    def _open_ml(self, stretch: Stretch, water_c: float) -> list[float]:
        rates = self._rates(water_c, stretch.room_c, stretch.room_rh_pct)
        return [rate * stretch.hours for rate in rates]

    def _rates(self, water_c: float, room_c: float | None, room_rh_pct: float | None) -> list[float]:
        return open_ml_per_h(self._vessel.surface_cm2, self._activity, water_c, room_c, room_rh_pct)

    def _settle(self) -> None:
        """Put what evaporated into the grid, and let k drift over the time that took."""
        self._grid.evaporate(self._ml, self._spread_ml)
        self._ml, self._spread_ml = [0.0] * VAPOURS, [0.0] * VAPOURS
        if self._drift_s >= DRIFT_STEP_S:
            self._grid.drift(self._drift_s / DAY_S)
            self._drift_s = 0

    def feed_deed(self, deed: Deed) -> None:
        """What a deed does to the water; deeds that do nothing to it are let pass."""
        if deed.deed not in TO_THE_WATER:
            return
        self._settle()
        amount = deed.amount or 0.0
        match deed.deed:
            case "set":
                self._begin(deed)
            case "top-up":
                self._top_up(deed, amount)
            case "brine":
                self._brine(deed, amount)
            case "remove" | "harvest":
                self._take(deed.at, amount)
            case "cover":
                self._covered = amount >= 0.5
            case "salinity":
                self._measured(amount, deed.detail.get("with"))

    def _begin(self, deed: Deed) -> None:
        volume_ml = deed.number("volume_ml")
        if volume_ml is None:
            volume_ml = self._vessel.mark_ml
        self._grid.stand_at(self._vessel.mark_ml - volume_ml, self._fill_sd_ml)
        told = deed.number("salt_g_per_l")
        self._recipe = USUAL_SALT_G_PER_L if told is None else told
        salinity = salinity_in_a_litre(min(130.0, max(0.0, self._recipe)))
        salt_g = volume_ml * density_kg_per_m3(25.0, salinity) * salinity / 1e6
        self._salt = Salt(salt_g, SALT_NOT_TOLD_SD_SHARE if told is None else SALT_SD_SHARE)
        self._activity = water_activity(salinity)
        self._set_at, self._known = deed.at, True
        self._water_changed(deed.at)

    def _top_up(self, deed: Deed, amount: float) -> None:
        above_ml = deed.number("above_ml")
        told_sd = _told_sd_ml(amount)
        if above_ml is None and deed.detail.get("to") != "mark":
            self._grid.shift(-amount, told_sd)
        elif self._known:
            self._grid.observe_level(amount, -(above_ml or 0.0), self._fill_sd_ml, told_sd)
        else:
            self._grid.stand_at(-(above_ml or 0.0), self._fill_sd_ml)
            self._known = True
        self._water_changed(deed.at)

    def _brine(self, deed: Deed, amount: float) -> None:
        told = deed.number("salt_g_per_l")
        salinity = salinity_in_a_litre(min(130.0, max(0.0, self._recipe if told is None else told)))
        added_g = amount * density_kg_per_m3(25.0, salinity) * salinity / 1e6
        self._salt = Salt(self._salt.salt_g + added_g, self._salt.sd_share)
        self._grid.shift(-amount, _told_sd_ml(amount))
        self._water_changed(deed.at)

    def _take(self, at: int, amount: float) -> None:
        """Solution goes out as salt as the vessel is believed to be, by its mean volume."""
        share = min(1.0, amount / max(1.0, self._mean_volume_ml()))
        self._salt = Salt(self._salt.salt_g * (1.0 - share), self._salt.sd_share)
        self._grid.shift(amount, _told_sd_ml(amount))
        self._water_changed(at)

    def _mean_volume_ml(self) -> float:
        losses = zip(self._grid.weight, self._grid.offset_ml, strict=True)
        return self._vessel.mark_ml - sum(w * loss for w, loss in losses)

    def _measured(self, salinity: float, tool: float | str | None) -> None:
        """A salinity reading speaks for k and for the salt told; each is updated with the other averaged."""
        if self._salt.salt_g <= 0.0 or not self._known:
            return
        share, sd = self._salt.sd_share, HYDROMETER_SD if tool == "hydrometer" else REFRACTOMETER_SD
        expected = [self._salinity_of(loss) for loss in self._grid.offset_ml]
        mean = sum(w * s for w, s in zip(self._grid.weight, expected, strict=True))
        level = sum(w * (s - mean) ** 2 for w, s in zip(self._grid.weight, expected, strict=True))
        self._grid.weigh([_bell((salinity - s) / hypot(sd, share * s)) for s in expected])
        noise = (sd * sd + level) / (mean * mean)
        gain = share * share / (share * share + noise)
        factor = max(0.1, 1.0 + gain * (salinity / mean - 1.0))
        self._salt = Salt(self._salt.salt_g * factor, share * sqrt(1.0 - gain))

    def _salinity_of(self, loss_ml: float) -> float:
        volume_ml = max(0.05 * self._vessel.mark_ml, self._vessel.mark_ml - loss_ml)
        rough = min(120.0, 990.0 * self._salt.salt_g / volume_ml)
        return 1e6 * self._salt.salt_g / (volume_ml * density_kg_per_m3(self._water_c, rough))

    def _water_changed(self, at: int) -> None:
        self._changed_at = at
        self._path.restart(at)

    def outlook(self, at: int) -> WaterOutlook:
        """The belief at `at`, the end of what was fed."""
        hours = self._open.hours_known(at)
        day = FIRST_DAY_SD_SHARE if hours < 23.0 else DAY_SD_SHARE
        coming = self._open.coming(at, REFERENCE) or ComingDays(at, [1.0] * 24)
        lately = self._actual.per_day(at, self._set_at)
        return WaterOutlook(
            at=at,
            since=min(at, self._changed_at),
            mark_ml=self._vessel.mark_ml,
            water_c=min(60.0, max(-5.0, self._water_c)),
            members=self._members(at),
            salt=self._salt,
            days_ahead=coming.days,
            days_back=self._path.back(at, lately[REFERENCE] if lately else 0.0),
            ahead_sd_share=hypot(day, COVER_SD_SHARE) if self._covered else day,
            lately_sd_share=hypot(K_DRIFT_PER_SQRT_DAY, COVER_SD_SHARE if self._covered else 0.0),
            fill_error_ml=self._fill_sd_ml,
        )

    def _members(self, at: int) -> tuple[Member, ...]:
        """The grid with what evaporated since, pooled."""
        leaves = COVER_LEAVES if self._covered else 1.0
        still = [24.0 * rate for rate in self._rates(self._water_c, *self._room)]
        ahead = [leaves * ml for ml in self._open.per_day(at) or still]
        lately = self._actual.per_day(at, self._set_at) or [leaves * ml for ml in still]
        grid, nodes, place = self._grid, [], 0
        for k in grid.k:
            for j in range(VAPOURS):
                nodes.append(
                    Member(
                        grid.weight[place],
                        grid.offset_ml[place] + k * self._ml[j],
                        grid.variance[place] + (k * self._spread_ml[j]) ** 2,
                        k * ahead[j],
                        k * lately[j],
                    )
                )
                place += 1
        return pooled(nodes)


def _told_sd_ml(amount: float) -> float:
    return TOLD_SD_ML + TOLD_SD_SHARE * amount


def _bell(z: float) -> float:
    return exp(-0.5 * z * z)
