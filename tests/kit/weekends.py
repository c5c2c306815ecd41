"""Weekends in `other_physics`, seen by VesselBelief: what it believed, and what came. Test-only.

**Tuning: use seeds from 10,000 up.** Seeds 0–299 make the published table (tests/bench/calibration.py), and
low seeds the suite's short form; a belief tuned on them would be judged by what it was tuned to.

One weekend is one cup from Friday 15:30 to Monday 08:00, after 0, 1 or 3 fillings to the mark on earlier
days; the same seed is the same room, cup and lot in every cell. Nobody touches the cup on the weekend. Cones
of a litre live through the same; and in heated rooms whose heating fails the coming water is asked for after.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import time

from daemon.care.deed import Deed
from daemon.estimates.local_hour import LocalHour
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from daemon.station import DailyHours, Vessel
from tests.kit.other_people import Act, People, Probes, Truth
from tests.kit.other_physics import CONE, DAY, HOUR, MONDAY, Cone, Cup, Lot, Room, Size
from tests.kit.simple_rules import Guess, RulesOfThumb
from tests.kit.station import tray

STEP_S = 600
SIZE = Size()
CUP_VESSEL = tray(low_ml=40.0)
CONE_VESSEL = tray(
    count=1, kind="cone", mark_ml=CONE.mark_ml, surface_cm2=CONE.surface_cm2, low_ml=200.0, brim_ml=80.0
)
LEAVES, RETURNS = MONDAY + 4 * DAY + 31 * HOUR // 2, MONDAY + 7 * DAY + 8 * HOUR
ASKED = (*range(LEAVES, RETURNS, 6 * HOUR), RETURNS)
# The water is followed until it is low, at most as far as the estimate itself reaches.
HORIZON_S = 60 * DAY
CELLS = tuple((top_ups, room_probe) for room_probe in (False, True) for top_ups in (0, 1, 3))
TOLD = 0.5  # in so many rooms a cone's air, and its heater, are in the station file
AHEAD_S = 16 * HOUR
FAILED_H = (4, 6, 10, 16)  # how long a heating has been out when the coming water is asked for
SET_DAYS = ((0, 1, 2, 3, 4), (10, 10, 10, 40, 30))  # Thursday and Friday: the hatch lies in the weekend


@dataclass(frozen=True, slots=True)
class Record:
    """One quantity asked at one moment: what was believed and what is true."""

    seed: int
    top_ups: int
    room_probe: bool
    at: int
    quantity: str
    believed: Estimate
    truth: float
    rules: tuple[Guess, ...] = ()  # what rules of thumb say of it

    @property
    def width(self) -> float:
        """p90 − p10, in the quantity's unit (s for times)."""
        return self.believed.p90 - self.believed.p10

    def held(self, stretched: float = 1.0) -> bool:
        """Whether the range holds the truth; `stretched` widens it about its median."""
        low, middle, high = self.believed.p10, self.believed.p50, self.believed.p90
        low, high = middle - stretched * (middle - low), middle + stretched * (high - middle)
        return low - self.slack <= self.truth <= high + self.slack

    @property
    def slack(self) -> float:
        """What makes no difference to anybody: 0.9999 hatched is all of them."""
        return 0.005 if self.quantity == "hatched_fraction" else 0.0


class Shelf:
    """The calendar a station file gives a cup: school days, and the hours its lamp is due."""

    def __init__(self, lamp_h: tuple[float, float]) -> None:
        self._lamp_h = lamp_h

    def told(self) -> tuple[DailyHours, ...]:
        """The lamp's hours as a station file tells them."""
        begins, ends = (int(hour) for hour in self._lamp_h)
        return (DailyHours(time(begins % 24), time(ends % 24)),) if begins < ends else ()

    def local(self, at: int) -> LocalHour:
        """The schools of this world stand at UTC."""
        hour, (begins, ends) = at % DAY / HOUR, self._lamp_h
        due = begins <= hour < ends or begins <= hour + 24.0 < ends
        return LocalHour(int(hour), (at - MONDAY) // DAY % 7 < 5, due)


class Played:
    """A cup's life, and one or more beliefs that are told of it."""

    def __init__(
        self,
        seed: int,
        acts: Iterable[Act],
        began: int,
        fills: int,
        step_s: int = STEP_S,
        room_probe: tuple[bool, ...] = (False, True),
        *,
        only_first: bool = False,
        cone: bool = False,
        fails: tuple[int, int] | None = None,
    ) -> None:
        """`fails` is from when to when the room's heating is out; else that is left to chance."""
        self.room = Room(seed, fails)
        self.cup: Cup = Cone(seed, self.room) if cone else Cup(seed, SIZE, self.room)
        self.lot = Lot(seed)
        self.probes = Probes(seed)
        shelf = Shelf(self.cup.lamp_h)
        self.vessel = vessel = replace(_vessel(self.cup, random.Random(f"told {seed}")), lamp=shelf.told())
        self.low_ml = vessel.low_ml
        self.beliefs = {with_room: VesselBelief(vessel, step_s, calendar=shelf) for with_room in room_probe}
        self.thumb = RulesOfThumb(vessel)
        size = CONE if cone else SIZE
        self._people = People(f"{seed} {fills}", self.cup, size, fills, self._tell, only_first=only_first)
        self._acts = {act.at: act for act in acts}
        self._step_s = step_s
        self.now = began
        self.truth = Truth(step_s, began)
        self.truth.add(self.cup)
        self.set_at, self.changed_at, self.batches = 0, 0, 0
        self.first_swimmers = 0  # notes of them

    def _tell(self, deed: Deed) -> None:
        self.first_swimmers += deed.deed == "first-swimmer"
        self.thumb.hear(deed)
        for belief in self.beliefs.values():
            belief.feed_deed(deed)

    def to(self, until: int, *, told: bool = True) -> None:
        """Live up to and with `until`; without `told` nobody looks or measures any more."""
        while self.now < until:
            self.now += self._step_s
            self.room.live(self.now, self._step_s)
            self.cup.live(self.now, self._step_s)
            if told:
                self._read()
                self._act()
            self.truth.add(self.cup)

    def _read(self) -> None:
        for what, value in self.probes.read(self.now, self.cup, self.room).items():
            if what == "water_c":
                self.thumb.read(self.now, value)
            for with_room, belief in self.beliefs.items():
                if with_room or what == "water_c":
                    belief.feed_reading(self.now, what, value)

    def _act(self) -> None:
        act = self._acts.get(self.now)
        if act is None:
            return
        self.batches += act.what == "set"
        if self._people.act(act, self.lot, self.batches):
            self.changed_at = self.now
        if act.what == "set":
            self.set_at = self.now

    def low_at(self) -> float:
        """When the cup left alone since the last filling reached its low mark."""
        found = self.truth.first_time(self.truth.loss_ml, self.low_ml, self.changed_at)
        return self.truth.began + self._step_s * len(self.truth.loss_ml) if found is None else found

    def hatched_at(self, share: float) -> float:
        """When that share of the running batch has hatched."""
        found = self.truth.first_time(self.truth.share, share, self.set_at)
        return self.truth.began + self._step_s * len(self.truth.share) if found is None else found

    def follow(self) -> None:
        """Leave the cup alone until it is low and has hatched, and the next 16 h are known."""
        self.to(self.now + AHEAD_S, told=False)
        while self.now < RETURNS + HORIZON_S and (self.cup.loss_ml < self.low_ml or self.cup.share < 0.9):
            self.to(self.now + DAY, told=False)


def _vessel(cup: Cup, rng: random.Random) -> Vessel:
    """What the station file says of it; of a cone's air (to a fifth) and heater not always."""
    if not isinstance(cup, Cone):
        return CUP_VESSEL
    air_told, heater_told, off = rng.random() < TOLD, rng.random() < TOLD, rng.uniform(0.8, 1.25)
    return replace(
        CONE_VESSEL,
        air_l_per_min=round(cup.air_l_per_min * off, 1) if air_told else None,
        heater_c=float(round(cup.holds_c)) if heater_told and cup.heated else None,
    )


def story(seed: int, top_ups: int) -> list[Act]:
    """What people do before the weekend: set it, fill it `top_ups` times, in half of the rooms look.

    One day more than that is tried, for the water may stand at the mark. Where the batch was set too lately
    for that, the fillings were in a batch before it, in the same cup.
    """
    rng = random.Random(f"story {seed}")
    day = rng.choices(*SET_DAYS)[0]
    if top_ups == 0:
        day = max(day, 2)
    set_at = MONDAY + day * DAY + rng.choice((9, 11, 13, 14)) * HOUR
    last, looks = rng.choice((3, 4)), rng.random() < 0.5
    acts = [Act(set_at, "set")]
    school_days = [d for d in range(last, -8, -1) if d % 7 < 5 and d != day]
    filled = school_days[: top_ups + 1] if top_ups else []
    acts += [Act(MONDAY + d * DAY + 15 * HOUR, "top-up") for d in filled]
    if filled and filled[-1] < day:
        before = next(d for d in school_days if d < filled[-1])
        acts += [Act(MONDAY + before * DAY + 10 * HOUR, "set"), Act(set_at - 1800, "end")]
    if looks:
        friday = MONDAY + 4 * DAY
        acts += [Act(at, "look") for at in (friday + 8 * HOUR, friday + 15 * HOUR + 1200) if at > set_at]
    return sorted(acts, key=lambda act: act.at)


def played(seed: int, top_ups: int, step_s: int = STEP_S, *, cone: bool = False) -> list[Record]:
    """One weekend, a cup's with and without a room probe: every quantity at every asked moment."""
    acts = story(seed, top_ups)
    probes = (False,) if cone else (False, True)
    week = Played(seed, acts, acts[0].at - 12 * HOUR, top_ups, step_s, probes, cone=cone)
    found: list[tuple[bool, int, dict[str, Estimate], dict[str, tuple[Guess, ...]]]] = []
    for at in ASKED:
        week.to(at)
        for with_room, belief in week.beliefs.items():
            estimates = belief.estimates(at)
            if at == LEAVES:
                estimates["weekend_loss_ml"] = belief.water_outlook().loss_ml_at(RETURNS)
                estimates["first_night_c_min"] = estimates["water_c_min_next_16h"]
                estimates["weekend_c_min"] = belief.coldest_c(LEAVES, RETURNS, at)
            found.append((with_room, at, estimates, week.thumb.say(at, RETURNS)))
    week.follow()
    truths = {at: came(week, at) for at in ASKED}
    return [
        Record(seed, top_ups, with_room, at, quantity, estimates[quantity], truth, rules.get(quantity, ()))
        for with_room, at, estimates, rules in found
        for quantity, truth in truths[at].items()
    ]


def came(week: Played, at: int) -> dict[str, float]:
    """The truth behind each estimate asked at `at`."""
    truth, place = week.truth, week.truth.place(at)
    ahead = truth.water_c[place : truth.place(at + AHEAD_S) + 1]
    found = {
        "loss_ml": truth.loss_ml[place],
        "salinity_g_per_kg": truth.salinity_g_per_kg[place],
        "low_mark_at": min(week.low_at(), float(at + HORIZON_S)),
        "hatch_t10": week.hatched_at(0.1),
        "hatch_t50": week.hatched_at(0.5),
        "hatch_t90": week.hatched_at(0.9),
        "hatched_fraction": truth.share[place],
        "water_c_min_next_16h": min(ahead),
        "loss_ml_per_day": truth.lost_per_day_ml(at, week.set_at),
    }
    if at == LEAVES:
        found["weekend_loss_ml"] = truth.loss_ml[truth.place(RETURNS)]
        found["first_night_c_min"] = min(ahead)
        found["weekend_c_min"] = min(truth.water_c[place : truth.place(RETURNS) + 1])
    return found


def fails_at(seed: int) -> int:
    """When it fails in `heating_failed`: between the Wednesday evening and the Sunday noon, Unix s."""
    return MONDAY + 2 * DAY + 18 * HOUR + random.Random(f"out {seed}").randrange(90) * HOUR


def weeks_before_failing() -> tuple[list[Act], int]:
    """What people do in the week before it, and from when."""
    began = MONDAY - 5 * DAY
    acts = [
        Act(began + 10 * HOUR, "set"),
        Act(MONDAY + DAY + 10 * HOUR, "end"),
        Act(MONDAY + DAY + 11 * HOUR, "set"),
    ]
    return acts, began


def heating_failed(seed: int) -> list[Record]:
    """The coldest of the next 16 h, asked while a heating is out for good; empty where a room has none."""
    out_at, (acts, began) = fails_at(seed), weeks_before_failing()
    week = Played(seed, acts, began, 0, room_probe=(False,), fails=(out_at, out_at + 30 * DAY))
    if not week.room.heated:
        return []
    asked: list[tuple[int, int, Estimate, tuple[Guess, ...]]] = []
    for hours in FAILED_H:
        at = out_at + hours * HOUR
        week.to(at)
        believed = week.beliefs[False].estimates(at)["water_c_min_next_16h"]
        asked.append((hours, at, believed, week.thumb.say(at, RETURNS)["water_c_min_next_16h"]))
    week.to(week.now + AHEAD_S, told=False)
    return [
        Record(
            seed, hours, False, at, "failed_c_min", believed, came(week, at)["water_c_min_next_16h"], rules
        )
        for hours, at, believed, rules in asked
    ]


def two_batches(seed: int) -> tuple[Record, Record]:
    """T50 as believed 90 min after a lot is set on a Thursday, and so of its next batch in the same cup.

    People look at the first batch in attended hours, and end it on the Wednesday.
    """
    thursday, looks = MONDAY - 4 * DAY, (32.5, 36.0, 39.0, 104.5)  # hours: Friday three times, Monday once
    acts = [Act(thursday + int(hour * HOUR), "look") for hour in looks]
    acts += [Act(thursday + 14 * HOUR, "set"), Act(thursday + 6 * DAY + 14 * HOUR, "end")]
    acts += [Act(thursday + 7 * DAY + 14 * HOUR, "set")]
    week = Played(seed, acts, thursday, 0, room_probe=(False,))
    first, second = (_t50_asked(week, seed, batch, thursday + (batch * 7) * DAY) for batch in (0, 1))
    return first, second


def two_batches_first_only(seed: int) -> tuple[Record, Record] | None:
    """As `two_batches`, but set at any hour, and only the first swimmer is noted; None where none was."""
    told = story_of_first_only(seed)
    week = Played(seed, told.acts, told.began, told.fills, room_probe=(False,), only_first=True)
    first = _t50_asked(week, seed, 0, told.began, told.set_h + 1.5)
    if not week.first_swimmers:
        return None
    return first, _t50_asked(week, seed, 1, told.began + 7 * DAY, told.set_h + 1.5)


@dataclass(frozen=True, slots=True)
class FirstOnly:
    """What people do who note only the first swimmers, from midnight of the day they set the batch on."""

    began: int
    set_h: int
    acts: list[Act]
    fills: int


def story_of_first_only(seed: int) -> FirstOnly:
    """People look at random moments of attended hours, and note when they first see swimmers; nothing else.

    In some rooms they look every other hour, in some once a day, and mostly when they fill the cup [P].
    """
    rng = random.Random(f"first only {seed}")
    began = MONDAY + rng.randrange(5) * DAY - 7 * DAY
    set_h, an_hour = rng.choice((9, 11, 13, 14)), rng.uniform(0.1, 0.6)
    acts = [Act(began + set_h * HOUR, "set"), Act(began + 6 * DAY + 14 * HOUR, "end")]
    acts.append(Act(began + 7 * DAY + set_h * HOUR, "set"))
    fills = 0
    for day in (began + n * DAY for n in range(6) if ((began - MONDAY) // DAY + n) % 7 < 5):
        steps = range(day + 8 * HOUR, day + 15 * HOUR + 1, STEP_S)
        looks = {at for at in steps if rng.random() < an_hour * STEP_S / HOUR}
        if day > began and rng.random() < 0.4:
            poured = day + rng.choice((9, 12, 14)) * HOUR
            fills += 1
            acts.append(Act(poured, "top-up"))
            looks.discard(poured)
            if rng.random() < 0.7:
                looks.add(poured + STEP_S)
        acts += [Act(at, "look") for at in looks if at > began + set_h * HOUR]
    return FirstOnly(began, set_h, acts, fills)


def _t50_asked(week: Played, seed: int, batch: int, day: int, asked_h: float = 15.5) -> Record:
    """Ask at an hour of the day it is set, then live on until the batch's end."""
    at = day + round(asked_h * HOUR)
    week.to(at)
    believed = week.beliefs[False].estimates(at)["hatch_t50"]
    week.to(day + 6 * DAY + 14 * HOUR, told=batch == 0)
    return Record(seed, batch, False, at, "hatch_t50", believed, week.hatched_at(0.5))
