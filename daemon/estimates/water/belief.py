"""The belief about one vessel's water: how much is gone, how fast it goes, how salt it is.

Evaporation is k times a law, of those in `laws`, with `bubbling`; k and law are learned from top-ups to the
mark, and last. Between them the level is the sum of what evaporated and what was recorded. Salt stays in the
vessel.

Assumptions, each wide enough to be wrong [P]: without a room probe the room is 1 K warmer than the water,
where a cup without a lamp settles, but not above 22 °C, where a lamp warms the cup (in a hotter room the
law then gives up to half too much, which k takes in); a cover leaves about a tenth of the evaporation;
recorded volumes are right to 1 mL and 2 %, and one deed in twenty is recorded wrong altogether or was
forgotten. Where the salt was never given it is taken as the usual 25 g/L, give or take 30 %.
"""

from collections.abc import Sequence
from copy import copy
from math import hypot
from operator import add

from daemon.care.deed import Deed
from daemon.care.measured_salinity import measured_salinity
from daemon.estimates.local_hour import Calendar
from daemon.estimates.quantile import Z90, Estimate
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.water.bubbling import bubbling_of
from daemon.estimates.water.float_level import FloatLevel
from daemon.estimates.water.grid import EvaporationGrid
from daemon.estimates.water.laws import COLUMNS, REFERENCE
from daemon.estimates.water.level import LEAST_WEIGHT, PacedLevel, pooled
from daemon.estimates.water.outlook import WaterOutlook
from daemon.estimates.water.pace import Pace
from daemon.estimates.water.rim_shelter import rim_of
from daemon.estimates.water.salt import LEAST_VOLUME_SHARE, SaltAccount, observe_salinity, salinity_of
from daemon.science.brine import water_activity
from daemon.science.evaporation import K_DRIFT_PER_SQRT_DAY, fill_error_ml
from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Vessel

RECORDED_SD_ML, RECORDED_SD_SHARE = 1.0, 0.02
WRONG_RECORD_SHARE = 0.05
TO_THE_WATER = frozenset({"set", "top-up", "brine", "remove", "harvest", "cover", "salinity"})
DRIFT_STEP_S = 6 * HOUR_S  # k has not moved to speak of in less


class WaterBelief:
    """Feed stretches, deeds and the float's changes in time order; ask for an outlook."""

    def __init__(self, vessel: Vessel, calendar: Calendar | None = None) -> None:
        self._vessel, self._rim, self._bubbling = vessel, rim_of(vessel), bubbling_of(vessel)
        self._fill_sd_ml = fill_error_ml(vessel.surface_cm2)
        self._grid = EvaporationGrid(vessel)
        self._float = FloatLevel(vessel)
        self._ml = [0.0] * COLUMNS  # gone at k = 1 and the mark's pace since it was last put into the grid
        self._spread_ml = [0.0] * COLUMNS
        self._leaning_ml = [0.0] * COLUMNS  # the spread already put in, since water was last added or taken
        self._drift_s, self._handled = 0, False  # since k last drifted
        self._pace = Pace(vessel.surface_cm2, self._bubbling, calendar)
        self._middle = (self._grid.mean_ml(), self._grid.mean_k())  # level and k, roughly kept up to date
        self._changed_at, self._set_at, self._known, self._covered = 0, 0, False, False
        self._account = SaltAccount()
        self._activity = water_activity(self._account.recipe_g_per_kg)

    def copy(self) -> "WaterBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._grid, twin._float, twin._account = self._grid.copy(), self._float.copy(), self._account.copy()
        twin._pace = self._pace.copy()
        twin._ml, twin._spread_ml = list(self._ml), list(self._spread_ml)
        twin._leaning_ml = list(self._leaning_ml)
        return twin

    def feed_stretch(self, stretch: Stretch) -> None:
        """What evaporated in a stretch of time."""
        open_ml, leaves = self._pace.open_ml(stretch, stretch.water_c, self._activity), self._leaves
        actual = [leaves * ml for ml in open_ml] if self._covered else open_ml
        spread = [self._cover_sd * ml for ml in actual] if self._covered else [0.0] * COLUMNS
        if stretch.high_c > stretch.low_c:
            low = self._pace.open_ml(stretch, stretch.low_c, self._activity)
            high = self._pace.open_ml(stretch, stretch.high_c, self._activity)
            spread = [
                hypot(s, leaves * (b - a) / (2.0 * Z90)) for s, a, b in zip(spread, low, high, strict=True)
            ]
        self._ml = list(map(add, self._ml, actual))
        if any(spread):
            self._spread_ml = list(map(add, self._spread_ml, spread))
        loss_ml, k = self._middle
        slowness = self._rim.slowness(loss_ml)
        self._middle = (loss_ml + k * actual[REFERENCE] / slowness, k)
        self._pace.add(stretch, open_ml, leaves, slowness, self._activity)
        self._drift_s += stretch.ended - stretch.began
        if self._drift_s >= DAY_S:
            self._settle()

    @property
    def _leaves(self) -> float:
        return self._bubbling.cover_leaves if self._covered else 1.0

    @property
    def _cover_sd(self) -> float:
        return self._bubbling.cover_sd_share if self._covered else 0.0

    def _settle(self) -> None:
        """Let k drift over the time that passed, and put into the grid what evaporated meanwhile.

        In that order: what changed may have changed right after the last deed.
        """
        if self._drift_s >= DRIFT_STEP_S:
            self._grid.drift(self._drift_s / DAY_S, handled=self._handled)
            self._drift_s, self._handled = 0, False
        leaning_ml = self._leaning()
        self._grid.evaporate(self._ml, _grown(self._leaning_ml, leaning_ml))
        self._ml, self._spread_ml, self._leaning_ml = [0.0] * COLUMNS, [0.0] * COLUMNS, leaning_ml
        self._middle = (self._grid.mean_ml(), self._grid.mean_k())

    def _leaning(self) -> list[float]:
        """What may lean one way ever since water was last added or taken (sd, mL at k = 1)."""
        return [a + b for a, b in zip(self._leaning_ml, self._spread_ml, strict=True)]

    def feed_float(self, at: int, *, low: bool, seen_at: int) -> None:
        """The float changed, or was read for the first time; it was read before at `seen_at` (Unix s)."""
        if self._vessel.float_ml is not None:
            self._settle()
            self._float.turn(self._grid, at, low=low, seen_at=seen_at, changed_at=self._changed_at)
            if low:
                self._middle = (self._grid.mean_ml(), self._grid.mean_k())

    def float_read(self, at: int) -> None:
        """The float was last read at `at` (Unix s); what it shows has not changed since it last did."""
        self._float.read(at)

    def feed_deed(self, deed: Deed) -> None:
        """What a deed does to the water; deeds that do nothing to it are let pass."""
        if deed.deed not in TO_THE_WATER:
            return
        if deed.deed in ("remove", "harvest") and (undropped := self._float.before_drawn(deed.at)):
            self._grid = undropped  # what evaporates while a cup is drawn from is not worth a word
        self._settle()
        self._float.heed(self._grid, deed.at, self._changed_at)
        amount = deed.amount or 0.0
        match deed.deed:
            case "set":
                self._begin(deed)
            case "top-up":
                self._top_up(deed, amount)
            case "brine":
                self._account.pour(amount, deed.number("salt_g_per_l"))
                self._shift(deed.at, -amount, amount)
            case "remove" | "harvest":
                self._account.draw(amount / max(1.0, self._vessel.mark_ml - self._grid.mean_ml()))
                self._shift(deed.at, amount, amount)
            case "cover":
                self._covered = amount >= 0.5
            case "salinity":
                self._measured(deed)
        self._middle = (self._grid.mean_ml(), self._grid.mean_k())

    def _begin(self, deed: Deed) -> None:
        volume_ml = deed.number("volume_ml")
        if volume_ml is None:
            volume_ml = self._vessel.mark_ml
        self._grid.stand_at(-self._under_rim(volume_ml - self._vessel.mark_ml), self._fill_sd_ml)
        self._account.begin(volume_ml, deed.number("salt_g_per_l"))
        self._activity = water_activity(self._account.recipe_g_per_kg)
        self._set_at, self._known = deed.at, True
        self._water_changed(deed.at)

    def _top_up(self, deed: Deed, amount: float) -> None:
        if not deed.level_given:
            self._shift(deed.at, -amount, amount)
            return
        above_ml = self._under_rim(deed.number("above_ml") or 0.0)
        if self._known:
            recorded_sd_ml = _recorded_sd_ml(amount)
            self._grid.observe_level(amount, -above_ml, self._fill_sd_ml, recorded_sd_ml, WRONG_RECORD_SHARE)
        else:
            self._grid.stand_at(-above_ml, self._fill_sd_ml)
            self._known = True
        self._water_changed(deed.at)

    def _under_rim(self, above_ml: float) -> float:
        """How far above the mark it stands where that is recorded: no higher than the rim."""
        return min(self._rim.most_above_ml, above_ml)

    def _shift(self, at: int, ml: float, recorded_ml: float) -> None:
        stood_ml = self._vessel.mark_ml - self._grid.mean_ml()
        to_rim_ml = self._vessel.mark_ml + self._rim.most_above_ml - stood_ml
        if -ml > to_rim_ml >= 0.0:  # it ran over the rim, and took its salt along
            self._account.draw(1.0 - (stood_ml + to_rim_ml) / (stood_ml - ml))
        self._grid.shift(ml, _recorded_sd_ml(recorded_ml))
        self._water_changed(at)

    def _measured(self, deed: Deed) -> None:
        if self._account.salt_g > 0.0 and self._known:
            seen = measured_salinity(deed)
            observe_salinity(
                self._account,
                self._grid,
                self._vessel.mark_ml,
                self._density_c,
                seen.g_per_kg,
                seen.sd_g_per_kg,
            )

    @property
    def _density_c(self) -> float:
        return min(60.0, max(-5.0, self._pace.water_c))

    def _water_changed(self, at: int) -> None:
        self._changed_at, self._handled = at, True
        self._pace.path.restart(at)
        self._leaning_ml = [0.0] * COLUMNS

    @property
    def rough_salinity_g_per_kg(self) -> float:
        """Salinity by the salt's account and the level as it is roughly kept: cheap, for every stretch."""
        volume_ml = max(LEAST_VOLUME_SHARE * self._vessel.mark_ml, self._vessel.mark_ml - self._middle[0])
        return salinity_of(self._account.salt_g, volume_ml, self._density_c)

    @property
    def salt_entries_g(self) -> tuple[float, ...]:
        """The salt's account since the vessel was set, g: what came is positive, what went negative."""
        return self._account.entries_g

    def knowns(self) -> dict[str, Estimate]:
        """The cup's factor k on the law's evaporation."""
        return {"k": self._grid.k_believed()}

    def salt_knowns(self) -> dict[str, Estimate]:
        """The salt in the vessel, g."""
        return {"salt_g": self._account.salt.believed_g()}

    def outlook(self, at: int, water_c: Sequence[float] = ()) -> WaterOutlook:
        """The belief at `at`, the end of what was fed; the coming days follow from the last ones.

        `water_c` is the water as it is forecast, °C, by clock hour from that of `at` on.
        """
        grid = self._grid.copy()
        grid.evaporate(self._ml, _grown(self._leaning_ml, self._leaning()))
        self._float.heed(grid, at, self._changed_at)
        a_day = self._pace.a_day(at, self._activity)
        coming = self._pace.coming(at, self._activity, a_day[REFERENCE], water_c)
        cover_sd = self._cover_sd
        return WaterOutlook(
            at=at,
            since=min(at, self._changed_at),
            mark_ml=self._vessel.mark_ml,
            water_c=self._density_c,
            rim=self._rim,
            levels=self._levels(grid, at, a_day),
            salt=self._account.salt,
            days_ahead=coming.days,
            days_back=self._pace.path.back(at, self._leaves * a_day[REFERENCE]),
            ahead_sd_share=lambda t: hypot(coming.share(t), cover_sd),
            lately_sd_share=hypot(K_DRIFT_PER_SQRT_DAY, cover_sd),
            fill_error_ml=self._fill_sd_ml,
        )

    def _levels(self, grid: EvaporationGrid, at: int, a_day: list[float]) -> tuple[PacedLevel, ...]:
        """The grid's nodes with their pace, pooled."""
        ahead = [self._leaves * ml for ml in a_day]
        slowness = self._rim.slowness(self._middle[0])
        lately = self._pace.last_day(at, self._set_at) or [ml / slowness for ml in ahead]
        nodes, place = [], 0
        for k in grid.k:
            for j in range(COLUMNS):
                if (weight := grid.weight[place]) > LEAST_WEIGHT:
                    loss_ml, variance = grid.offset_ml[place], grid.variance[place]
                    nodes.append(PacedLevel(weight, loss_ml, variance, k * ahead[j], k * lately[j]))
                place += 1
        return pooled(nodes)


def _recorded_sd_ml(amount: float) -> float:
    return RECORDED_SD_ML + RECORDED_SD_SHARE * amount


def _grown(before_ml: list[float], after_ml: list[float]) -> list[float]:
    """What a growing error that always leans the same way adds to a variance."""
    return [after * after - before * before for before, after in zip(before_ml, after_ml, strict=True)]
