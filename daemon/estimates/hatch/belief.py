"""The belief about the hatch of one vessel: how far it is, and what was seen of it.

Dose is time weighted by the pace at the water's temperature, in hours as if at 25 °C, kept for every path
of `grid`. Below 15 °C and above 27 °C the pace is as open as the sources leave it, and while cysts wait for
light it is between none and the law's. Salt delays it, as salt as the brine is then. What is learned of a
lot reaches its other hatches through `lots`.
"""

from collections.abc import Sequence
from copy import copy
from operator import add

from daemon.care.deed import Deed
from daemon.estimates.grounds import Lesson
from daemon.estimates.hatch import observations
from daemon.estimates.hatch.grid import MARGINS, PATHS, SLOPES, HatchGrid, Start
from daemon.estimates.hatch.light import Light
from daemon.estimates.hatch.looking import Moment, unseen
from daemon.estimates.hatch.lots import Lots, SeenBatch, counted
from daemon.estimates.hatch.outlook import DoseRecord, HatchOutlook
from daemon.estimates.local_hour import Calendar, PlainCalendar
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.warmth.belief import WarmthCourse
from daemon.science.brine import salinity_in_a_litre
from daemon.science.hatching import (
    HARDLY_ANY_ABOVE_G_PER_KG,
    KILLS_ABOVE_C,
    pace_range,
    salinity_delay,
)
from daemon.seconds import HOUR_S

HISTORY_STEP_S = HOUR_S
USUAL_SALT_G_PER_L = 25.0
# Cysts in water above 40 °C die (FAO 428 [R, copy]), after how long it does not say: an hour in all [P]. Only
# water that was measured there counts.
HEAT_KILLS_S = HOUR_S
UNSURE = 0.5  # the middle of what is not known: half the law's pace [P]
STOOD_KEPT = 8


class HatchBelief:
    """Feed stretches, deeds and light in time order; outside a batch nothing develops."""

    def __init__(
        self,
        vessel: str = "",
        mark_ml: float | None = None,
        lots: Lots | None = None,
        calendar: Calendar | None = None,
    ) -> None:
        """`mark_ml` is what a batch holds where its volume was not given."""
        self._vessel, self._mark_ml = vessel, mark_ml
        self._calendar = calendar or PlainCalendar()
        self._lots = Lots() if lots is None else lots
        self._past: tuple[SeenBatch, ...] = ()
        self._light = Light()
        self._begin(Deed(0, vessel, "set"))
        self._set_at: int | None = None

    def copy(self) -> "HatchBelief":
        """A copy that goes its own way."""
        twin = copy(self)
        twin._light = self._light.copy()
        twin._doses, twin._history = list(self._doses), list(self._history)
        return twin

    def _begin(self, deed: Deed) -> None:
        lot, salt, light = deed.detail.get("lot"), deed.number("salt_g_per_l"), deed.detail.get("light")
        self._set_at, self._lot = deed.at, str(lot) if lot else None
        self._given_light = None if light is None else light == "yes"
        volume_ml = deed.number("volume_ml")
        self._dish = observations.Dish(deed.amount, self._mark_ml if volume_ml is None else volume_ml)
        self._grid = HatchGrid()
        self._looks: tuple[tuple[int, HatchGrid], ...] = ()
        self._doses = [0.0] * len(PATHS)
        self._looked: Moment = (deed.at, tuple(self._doses))
        self._stood: tuple[Moment, ...] = ()  # deeds since then
        self._history: list[Moment] = [self._looked]
        self.feed_salinity(
            salinity_in_a_litre(min(95.0, max(0.0, USUAL_SALT_G_PER_L if salt is None else salt)))
        )
        self._hot_s = 0
        self._light.forget(deed.at)

    def _end(self, at: int) -> None:
        self._past = tuple(map(self._lots.over, counted(self.batches(), at)))
        self._set_at = None

    def batches(self) -> list[SeenBatch]:
        """The hatches of named lots in which something was seen, with the one that runs."""
        if self._set_at is None or not self._lot or not self._looks:
            return list(self._past)
        return [*self._past, SeenBatch(self._lot, self._set_at, self._looks)]

    def feed_light(self, at: int, *, lit: bool) -> None:
        """A good reading of light at the vessel."""
        self._light.feed(at, lit=lit)

    def feed_salinity(self, g_per_kg: float) -> None:
        """How salt the brine is believed to be from now on; after a `set` it is the recipe's."""
        self._delay = salinity_delay(min(HARDLY_ANY_ABOVE_G_PER_KG, max(0.0, g_per_kg)))

    def feed_stretch(self, stretch: Stretch) -> None:
        """Development during a stretch of time."""
        if self._set_at is None:
            return
        if stretch.low_c > KILLS_ABOVE_C:
            self._hot_s += stretch.ended - stretch.began
        if self._dead:
            return
        dark = self._light.dark(self._set_at, stretch.began, self._given_light)
        self._doses = list(map(add, self._doses, self._gain_h(stretch, dark=dark)))
        if stretch.ended - self._history[-1][0] >= HISTORY_STEP_S:
            self._history.append((stretch.ended, tuple(self._doses)))

    @property
    def _dead(self) -> bool:
        """Whether what had not hatched was lost to hot water."""
        return self._hot_s >= HEAT_KILLS_S

    def _gain_h(self, stretch: Stretch, *, dark: bool) -> list[float]:
        scale, paces = stretch.hours / self._delay, _paces(stretch, dark=dark)
        if paces[0] == paces[1] == paces[2]:  # as of water that was measured at a warmth the sources agree on
            gains = [scale * paces[0] ** slope for slope in SLOPES]
            return [gain for gain in gains for _ in MARGINS]
        by_margin = dict(zip(MARGINS, paces, strict=True))
        return [scale * by_margin[margin] ** slope for slope, margin in PATHS]

    def feed_deed(self, deed: Deed) -> None:
        """What a deed says about the hatch; deeds that say nothing are let pass."""
        if deed.deed == "set":
            self._end(deed.at)
            self._begin(deed)
        elif self._set_at is None:
            return
        elif deed.deed == "end":
            self._end(deed.at)
        elif deed.deed in observations.LOOKED:
            self._look(deed, deed.at - self._set_at)
        elif deed.deed in observations.STOOD_THERE:
            self._stood = (*self._stood[-STOOD_KEPT + 1 :], (deed.at, tuple(self._doses)))

    def _look(self, deed: Deed, after_s: int) -> None:
        before = self._grid
        if deed.deed == "first-swimmer":
            self._grid = self._first(deed.at)
        elif deed.deed == "hatched" and deed.amount is not None:
            self._grid = self._judged(deed.amount)
        elif deed.deed == "count" and (fit := observations.counted(deed, self._dish, after_s)) is not None:
            self._grid = self._grid.count(self._doses, fit)
        self._looked, self._stood = (deed.at, tuple(self._doses)), ()
        if self._grid is not before:
            before.rest()
            self._looks = (*self._looks, (deed.at, self._grid))

    def _first(self, at: int) -> HatchGrid:
        now = (at, tuple(self._doses))
        before = unseen(self._looked, self._history, self._stood, now, self._calendar)
        doses = tuple(zip(*before.doses, self._doses, strict=True))
        return self._grid.see(doses, lambda *shares: observations.first_seen(shares, before.chances))

    def _judged(self, seen: float) -> HatchGrid:
        points = self._lots.usual_shares(self._lot, self._set_at or 0)
        doses = tuple((dose,) for dose in self._doses)
        return self._grid.see(doses, lambda share: observations.judged(seen, share, points))

    def lot_lesson(self, at: int) -> Lesson | None:
        """What other batches of the lot have taught up to `at`; None where none did."""
        seen = self._lots.others_seen(self._lot, self._vessel, self._past, at)
        return Lesson("lot", len(seen), max(seen)) if seen else None

    def start_of(self, lot: str | None, at: int) -> tuple[Start, int]:
        """What is believed of a hatch that is to be set, as of `at`; and of how many of its lot that is."""
        start = self._lots.start(lot, "", at, (), at)
        return start, len(self._lots.others_seen(lot, "", (), at))

    def outlook(self, at: int, courses: Sequence[WarmthCourse]) -> HatchOutlook:
        """The belief at `at`, the end of what was fed, with the ways in which the water may go from there."""
        set_at = self._history[0][0]
        start = self._lots.start(self._lot, self._vessel, set_at, self._past, at)
        weight, shares = self._grid.believed(start)
        record = DoseRecord(tuple(self._history), tuple(self._doses), self._delay, over=self._dead)
        return HatchOutlook(record, weight, shares, max(at, set_at), courses)


def _paces(stretch: Stretch, *, dark: bool) -> tuple[float, float, float]:
    """Pace at the low, middle and high end of what the temperature and the law leave open."""
    low, middle, high = _pace_range(stretch.water_c)
    if stretch.low_c < stretch.high_c:
        ends = [pace for end_c in (stretch.low_c, stretch.high_c) for pace in _pace_range(end_c)]
        low, high = min(low, *ends), max(high, *ends)
    return (0.0, UNSURE * middle, high) if dark else (low, middle, high)


def _pace_range(water_c: float) -> tuple[float, float, float]:
    return pace_range(min(60.0, max(-5.0, water_c)))
