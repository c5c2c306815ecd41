"""Everything believed of one vessel, from its readings and deeds and from nothing else.

Feeding live and feeding the same from the store give exactly equal beliefs: nothing here looks at a clock,
and a question works on a copy in which the time that is still open has been looked ahead over.
"""

from copy import copy
from dataclasses import dataclass

from daemon.care.deed import Deed
from daemon.estimates.grounds import HATCH, SALT, WARMTH, WATER, Grounds, Ledgers
from daemon.estimates.hatch.belief import HatchBelief
from daemon.estimates.hatch.grid import Start
from daemon.estimates.hatch.lots import Lots, SeenBatch
from daemon.estimates.hatch.outlook import HatchOutlook
from daemon.estimates.local_hour import Calendar
from daemon.estimates.quantile import Estimate
from daemon.estimates.timeline.stretch import Stretch
from daemon.estimates.timeline.timeline import (
    ASSUMED_MARGIN_C,
    ASSUMED_WATER_C,
    LIGHT_FRACTION,
    LIGHT_LUX,
    Event,
    OutOfOrder,
    Timeline,
)
from daemon.estimates.warmth.belief import WarmthBelief
from daemon.estimates.warmth.heater import HeaterBelief
from daemon.estimates.warmth.normal_paths import HOURS_MOST
from daemon.estimates.water.belief import WaterBelief
from daemon.estimates.water.float_level import FloatTurns
from daemon.estimates.water.outlook import WaterOutlook
from daemon.seconds import HOUR_S
from daemon.station import CONE, Vessel
from daemon.vessel_state import Course

FLOAT = "float_low"
NEXT_S = 16 * HOUR_S
WATER_AHEAD_H = HOURS_MOST - 24  # a week


@dataclass(frozen=True, slots=True)
class Batch:
    """One hatch, from setting the cysts: when (Unix s), of which lot, how many grams."""

    set_at: int
    lot: str | None
    grams: float | None


class VesselBelief:
    """Feed good readings and deeds in time order; those of one second may come in any order.

    `neighbour_c` is the water of another vessel that has the same lamp hours. Without a calendar it is UTC,
    and no lamp.
    """

    def __init__(
        self,
        vessel: Vessel,
        sample_every_s: int,
        *,
        calendar: Calendar | None = None,
        lots: Lots | None = None,
    ) -> None:
        """`lots` is what all vessels of the station learn together; without it this one learns alone."""
        self._vessel = vessel
        self._timeline = Timeline(sample_every_s, calendar)
        self._water = WaterBelief(vessel, calendar)
        lots = Lots() if lots is None else lots
        self._hatch = HatchBelief(vessel.id, vessel.mark_ml, lots, calendar)
        lots.hear(vessel.id, self.hatches)
        has_lamp = bool(vessel.lamp) and calendar is not None
        heater = HeaterBelief(vessel.kind, vessel.heater_c)
        self._warmth = WarmthBelief(vessel.mark_ml, calendar, has_lamp=has_lamp, heater=heater)
        self._bright = {LIGHT_LUX: vessel.low_light_lux, LIGHT_FRACTION: vessel.low_light_fraction}
        self._running: Batch | None = None
        self._course = Course()
        self._floats, self._ledgers = FloatTurns(), Ledgers()
        self._level_known = False
        self._learned_top_ups = 0
        # What it comes to at the moment that was asked for last; several ask in the same hour.
        self._seen_at: tuple[int, VesselBelief] | None = None

    @property
    def running(self) -> Batch | None:
        """The batch that runs; None between batches."""
        return self._running

    @property
    def course(self) -> Course:
        """What the care log so far makes of the vessel."""
        return self._course

    @property
    def learned_top_ups(self) -> int:
        """How many fillings to a known level have taught something about evaporation."""
        return self._learned_top_ups

    @property
    def has_heater(self) -> bool:
        """Whether people may be asked about its heater: one that was given, or that the water showed."""
        return self._warmth.has_heater

    @property
    def last_water_c(self) -> float | None:
        """The last good water temperature, °C; None before any."""
        return self._timeline.last_water_c

    @property
    def reached(self) -> int:
        """How far time has come, Unix s: what is earlier can no longer be fed. 0 before anything."""
        return self._timeline.now or 0

    def feed_reading(self, at: int, what: str, value: float) -> None:
        """A good reading; `what` names the measure. Raises OutOfOrder when it is too late for it."""
        self._in_order(at)
        self._seen_at = None
        if what in self._bright:
            value = value / self._bright[what] if self._bright[what] > 0.0 else 1.0
            self._hatch.feed_light(at, lit=value >= 1.0)
        elif what == FLOAT:
            self._floats.add(at, low=value >= 0.5)
        events = self._timeline.feed_reading(at, what, value)
        if events:
            self._take(events)

    def feed_deed(self, deed: Deed) -> None:
        """A deed. Raises OutOfOrder when time has moved past it."""
        self._in_order(deed.at)
        self._seen_at = None
        self._note(deed)
        self._take(self._timeline.feed_deed(deed))

    def _in_order(self, at: int) -> None:
        reached = self._timeline.now
        if reached is not None and at < reached:
            raise OutOfOrder(self._vessel.id, at, reached)

    def _note(self, deed: Deed) -> None:
        self._course = self._course.after(deed)
        if deed.deed == "set":
            lot = deed.detail.get("lot")
            self._running = Batch(deed.at, str(lot) if lot else None, deed.amount)
            self._level_known = True
        elif deed.deed == "end":
            self._running = None
        elif deed.deed == "top-up" and deed.level_given:
            self._learned_top_ups += self._level_known
            self._level_known = True

    def _take(self, events: list[Event]) -> None:
        for event in events:
            self._feed_floats(event.began if isinstance(event, Stretch) else event.at)
            if isinstance(event, Stretch):
                self._water.feed_stretch(event)
                self._hatch.feed_salinity(self._water.rough_salinity_g_per_kg)
                self._hatch.feed_stretch(event)
                self._warmth.feed_stretch(event)
                self._ledgers.stretch(event)
            else:
                self._water.feed_deed(event)
                self._hatch.feed_deed(event)
                self._warmth.feed_deed(event)
                self._ledgers.deed(event)
        if events:
            self._timeline.learn(self._warmth.heat)

    def _feed_floats(self, until: int) -> None:
        """A float's changes come between the stretches around them, and before a deed of their second."""
        for turn in self._floats.due(until):
            self._water.feed_float(turn.at, low=turn.low, seen_at=turn.seen_at)
            self._ledgers.learned("float", turn.at)
        self._water.float_read(self._floats.read_at(until))

    def _ahead(self, at: int | None) -> tuple["VesselBelief", int]:
        """A copy in which everything up to `at` is taken in (up to what was fed, where `at` is earlier).

        Nobody changes it: it serves whoever asks for that moment until more is fed.
        """
        moment = self.reached if at is None else max(at, self.reached)
        if self._seen_at is not None and self._seen_at[0] == moment:
            return self._seen_at[1], moment
        twin = copy(self)
        twin._timeline, twin._water = self._timeline.copy(), self._water.copy()
        twin._hatch, twin._warmth = self._hatch.copy(), self._warmth.copy()
        twin._floats, twin._ledgers = self._floats.copy(), self._ledgers.copy()
        twin._take(twin._timeline.ahead(moment))
        twin._feed_floats(moment)
        twin._seen_at = None
        self._seen_at = moment, twin
        return twin, moment

    def hatches(self, at: int) -> list[SeenBatch]:
        """What was seen of the hatches here, for other vessels to know; deeds that wait for a reading too."""
        seen = self._ahead(at)[0] if self._timeline.deeds_wait else self
        return seen._hatch.batches()

    def hatched_at(self, then: int, at: int) -> Estimate:
        """The share of the hatchable that has hatched by a moment to come (Unix s), as believed at `at`."""
        seen, moment = self._ahead(at)
        return seen._hatch_outlook(moment).hatched_fraction_at(then)

    def estimates(self, at: int) -> dict[str, Estimate]:
        """Every quantity of the contract, as believed at `at` (Unix s); without a batch only the warmth."""
        seen, moment = self._ahead(at)
        if self._running is None:
            return {} if self.last_water_c is None else seen._warmth_estimates(moment)
        water = seen._water_outlook(moment)  # first: it looks furthest ahead, and the rest looks at that
        return {
            **seen._hatch_estimates(moment),
            "loss_ml": water.loss_ml(),
            "loss_ml_per_day": water.loss_ml_per_day(),
            "salinity_g_per_kg": water.salinity(),
            "low_mark_at": water.low_mark_at(self._vessel.low_ml),
            **seen._warmth_estimates(moment),
        }

    def _warmth_estimates(self, at: int) -> dict[str, Estimate]:
        return {
            "water_c_min_next_16h": self._coldest(at, at + NEXT_S),
            "water_c_max_next_16h": self._hottest(at, at + NEXT_S),
        }

    def _hatch_estimates(self, at: int) -> dict[str, Estimate]:
        hatch = self._hatch_outlook(at)
        found = {
            "hatched_fraction": hatch.hatched_fraction(),
            "hatchable_share": hatch.hatchable_share(),
            "hatch_t10": hatch.time_of(0.1),
            "hatch_t50": hatch.time_of(0.5),
            "hatch_t90": hatch.time_of(0.9),
            "instar_ii_at": hatch.instar_ii_at(),
        }
        if self._vessel.kind == CONE:
            found["harvest_opens_at"] = hatch.harvest_opens_at()
            found["harvest_closes_at"] = hatch.harvest_closes_at()
        return found

    def lot_ahead(self, lot: str | None, at: int) -> tuple[Start, int]:
        """A hatch of a lot that is to be set, as believed at `at` (Unix s), and of how many seen it is."""
        return self._ahead(at)[0]._hatch.start_of(lot, at)

    def water_ahead(self, at: int) -> list[tuple[float, float]]:
        """The water's median and sd (°C) by clock hour from that of `at` on, as far as it is forecast."""
        return self._ahead(at)[0]._warmth.hours_ahead(at, WATER_AHEAD_H)

    def hours_read(self, at: int) -> int:
        """In how many clock hours up to `at` (Unix s) water was read, since the records begin."""
        return self._ahead(at)[0]._warmth.hours_read

    def grounds(self, at: int) -> list[Grounds]:
        """What the estimates at `at` (Unix s) rest on, by model; empty while no batch runs."""
        if self._running is None:
            return []
        seen, moment = self._ahead(at)
        knowns = {
            WATER: seen._water.knowns(),
            SALT: seen._water.salt_knowns(),
            HATCH: seen._hatch_outlook(moment).knowns(),
            WARMTH: seen._warmth.knowns(),
        }
        lot = seen._hatch.lot_lesson(moment)
        return seen._ledgers.grounds(knowns, lot, cone=self._vessel.kind == CONE)

    def _hatch_outlook(self, at: int) -> HatchOutlook:
        return self._hatch.outlook(at, self._warmth.courses_ahead(at))

    def coldest_c(self, began: int, ended: int, at: int) -> Estimate:
        """The coldest water between two moments to come (Unix s), as believed at `at`, °C."""
        return self._ahead(at)[0]._coldest(began, ended)

    def hottest_c(self, began: int, ended: int, at: int) -> Estimate:
        """The hottest water between two moments to come (Unix s), as believed at `at`, °C."""
        return self._ahead(at)[0]._hottest(began, ended)

    def _coldest(self, began: int, ended: int) -> Estimate:
        return self._warmth.coldest(began, ended) or self._unread(-6.0, -2.0, -0.6)

    def _hottest(self, began: int, ended: int) -> Estimate:
        return self._warmth.hottest(began, ended) or self._unread(0.3, 1.5, 4.0)

    def _unread(self, low_k: float, middle_k: float, high_k: float) -> Estimate:
        """What is said of water before any stretch of it is known, from the one reading or from none."""
        now_c, margin = self.last_water_c, 0.0
        if now_c is None:
            now_c, margin = ASSUMED_WATER_C, ASSUMED_MARGIN_C
        return Estimate(now_c + low_k - margin, now_c + middle_k, now_c + high_k + margin)

    def water_outlook(self, at: int | None = None) -> WaterOutlook:
        """The belief about the water at `at`; at the last thing fed where no time is given."""
        seen, moment = self._ahead(at)
        return seen._water_outlook(moment)

    def _water_outlook(self, at: int) -> WaterOutlook:
        return self._water.outlook(at, self._warmth.middle_ahead(at))
