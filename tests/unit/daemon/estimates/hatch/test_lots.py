"""What hatches of one lot say about each other, in whatever vessel."""

import gc
import math
from dataclasses import replace
from datetime import date
from itertools import pairwise, permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.care.deed import Deed
from daemon.estimates.hatch.grid import Evidence, HatchGrid
from daemon.estimates.hatch.hatchable_share import share_prior, shares
from daemon.estimates.hatch.lots import NEWEST, READ_WHOLE_S, REMEMBERED_S, GivenLot, Lots
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from daemon.science.strains import STRAINS, Strain
from tests.kit.station import tray

START = 1_800_316_800  # 2027-01-19 00:00 UTC, a Tuesday
HOUR, DAY = 3600, 86_400
CUP = tray()
Look = tuple[int, str, float | None]  # hours after set, deed, amount
LOOKS: tuple[Look, ...] = ((12, "first-swimmer", None), (15, "hatched", 0.5), (20, "hatched", 0.9))


class Shelf:
    """Vessels that learn together; every one is fed the same steady water."""

    def __init__(self, told: dict[str, GivenLot] | None = None) -> None:
        self.lots = Lots(told)
        self.beliefs: dict[str, VesselBelief] = {}

    def vessel(self, name: str) -> VesselBelief:
        self.beliefs[name] = VesselBelief(replace(CUP, id=name), HOUR, lots=self.lots)
        return self.beliefs[name]

    def hatch(
        self, name: str, set_at: int, looks: tuple[Look, ...], hours: int, lot: str = "spring"
    ) -> VesselBelief:
        """A batch from `set_at` on, watched for so many hours and not ended."""
        belief = self.beliefs.get(name) or self.vessel(name)
        for hour in range(-25, 0):  # the cup stood there the day before
            if set_at + hour * HOUR >= belief.reached:
                belief.feed_reading(set_at + hour * HOUR, "water_c", 25.0)
        due = sorted(looks, key=lambda look: look[0])
        belief.feed_deed(Deed(set_at, name, "set", 0.5, {"lot": lot, "salt_g_per_l": 25.0}))
        for hour in range(hours + 1):
            belief.feed_reading(set_at + hour * HOUR, "water_c", 25.0)
            while due and due[0][0] == hour:
                _, deed, amount = due.pop(0)
                belief.feed_deed(Deed(set_at + hour * HOUR, name, deed, amount))
        return belief


def hours_to_half(belief: VesselBelief, at: int) -> Estimate:
    running = belief.running
    assert running is not None
    found = belief.estimates(at)["hatch_t50"]
    return Estimate(*((q - running.set_at) / HOUR for q in (found.p10, found.p50, found.p90)))


def width(e: Estimate) -> float:
    return e.p90 - e.p10


def test_a_look_in_one_vessel_tells_of_the_same_lot_in_another_while_both_run() -> None:
    shelf = Shelf()
    other = shelf.hatch("jar", START, (), 22)
    alone = hours_to_half(other, START + 22 * HOUR)
    shelf.hatch("cup", START, LOOKS, 22)
    told = hours_to_half(other, START + 22 * HOUR)
    assert told.p50 == pytest.approx(15.0, abs=1.0)
    assert width(told) < 0.6 * width(alone)


def test_another_lot_and_a_batch_without_a_lot_learn_nothing() -> None:
    shelf = Shelf()
    for name, lot in (("jar", "autumn"), ("pot", "")):
        before = hours_to_half(shelf.hatch(name, START, (), 22, lot), START + 22 * HOUR)
        shelf.hatch("cup", START, LOOKS, 22)
        assert hours_to_half(shelf.beliefs[name], START + 22 * HOUR) == before
        shelf.vessel("cup")


def test_what_was_seen_after_the_moment_asked_about_is_not_used() -> None:
    shelf = Shelf()
    other = shelf.hatch("jar", START, (), 10)
    alone = hours_to_half(other, START + 11 * HOUR)
    shelf.hatch("cup", START, LOOKS, 22)
    assert hours_to_half(other, START + 11 * HOUR) == alone
    assert width(hours_to_half(other, START + 22 * HOUR)) < 0.7 * width(alone)


def test_a_vessel_computed_anew_is_not_counted_twice_and_a_withdrawn_look_is_gone() -> None:
    shelf = Shelf()
    other = shelf.hatch("jar", START, (), 22)
    alone = hours_to_half(other, START + 22 * HOUR)
    shelf.hatch("cup", START, LOOKS, 22)
    told = hours_to_half(other, START + 22 * HOUR)
    shelf.vessel("cup")
    shelf.hatch("cup", START, LOOKS, 22)
    assert hours_to_half(other, START + 22 * HOUR) == told
    shelf.vessel("cup")
    shelf.hatch("cup", START, (), 22)
    assert hours_to_half(other, START + 22 * HOUR) == alone


def test_a_look_that_waits_for_the_next_reading_is_told_to_the_others_already() -> None:
    # The probe has died: the deed stays open in its own vessel, but people can rely on it elsewhere.
    shelf = Shelf()
    other = shelf.hatch("jar", START, (), 22)
    before = hours_to_half(other, START + 22 * HOUR)
    cup = shelf.hatch("cup", START, (), 14)
    cup.feed_deed(Deed(START + 15 * HOUR, "cup", "hatched", 0.5))
    assert width(hours_to_half(other, START + 22 * HOUR)) < width(before)


def test_what_is_older_than_the_readings_that_are_kept_is_not_used() -> None:
    shelf = Shelf()
    shelf.hatch("cup", START, LOOKS, 22)
    late = START + REMEMBERED_S
    jar, pot = shelf.hatch("jar", late - 30 * HOUR, (), 20), shelf.hatch("pot", late, (), 1)
    assert width(hours_to_half(jar, late - 10 * HOUR)) < 0.7 * width(hours_to_half(pot, late + HOUR))


def looked_at(belief: VesselBelief, set_at: int) -> None:
    belief.feed_deed(Deed(set_at, "a", "set", 0.5, {"lot": "spring"}))
    belief.feed_deed(Deed(set_at + 20 * HOUR, "a", "first-swimmer"))
    belief.feed_deed(Deed(set_at + 90 * HOUR, "a", "end"))


@pytest.mark.long
def test_a_vessel_that_runs_for_years_keeps_no_more_hatches_than_anybody_asks_for() -> None:
    belief, apart = Shelf().vessel("a"), 10 * DAY
    for begins in range(START, START + 30 * apart, apart):
        looked_at(belief, begins)
    now = START + 29 * apart + 90 * HOUR
    kept = [hatch.set_at for hatch in belief.hatches(now)]
    recent = [at for at in range(START, now, apart) if at > now - READ_WHOLE_S]
    assert kept == [recent[0] - n * apart for n in range(NEWEST, 0, -1)] + recent


def test_of_the_hatches_before_the_days_that_are_read_whole_the_newest_count_though_all_were_fed() -> None:
    """A start reads no more of them (`daemon.watching.old_hatches`), and must change nothing."""
    now = START + 2 * READ_WHOLE_S

    def found(odd: int) -> Estimate:
        """With one more than count, of which the `odd`th newest was looked at by somebody else."""
        shelf = Shelf()
        for n in range(NEWEST + 1, 0, -1):
            looks = ((8, "first-swimmer", None), *LOOKS[1:]) if n == odd else LOOKS
            shelf.hatch("a", now - READ_WHOLE_S - n * 2 * DAY, looks, 22)
        return hours_to_half(shelf.hatch("pot", now, (), 1), now + HOUR)

    assert found(odd=NEWEST + 1) == found(odd=0) != found(odd=NEWEST)


def test_a_hatch_that_is_over_says_of_its_lot_what_it_said_while_it_ran() -> None:
    def told(*, ended: bool) -> Estimate:
        shelf = Shelf()
        cup = shelf.hatch("cup", START, LOOKS, 22)
        if ended:
            cup.feed_deed(Deed(START + 22 * HOUR, "cup", "end"))
            cup.feed_reading(START + 23 * HOUR, "water_c", 25.0)
        return hours_to_half(shelf.hatch("jar", START + 24 * HOUR, (), 2), START + 26 * HOUR)

    assert told(ended=True) == told(ended=False)


@pytest.mark.long
def test_of_a_hatch_that_is_counted_each_day_only_the_last_count_is_kept_worked_out() -> None:
    shelf = Shelf()
    cup, pot = shelf.vessel("cup"), shelf.hatch("pot", START, (), 1)
    cup.feed_deed(Deed(START, "cup", "set", 0.5, {"lot": "spring"}))
    for hour in range(1, 80):
        cup.feed_reading(START + hour * HOUR, "water_c", 25.0)
        if hour % 12 == 0:
            counted = {"of_cysts": 60.0}
            cup.feed_deed(Deed(START + hour * HOUR, "cup", "count", min(50.0, 2.0 * hour), counted))
        cup.estimates(START + hour * HOUR)
        pot.estimates(START + hour * HOUR)
    grids = [one for one in gc.get_objects() if type(one) is HatchGrid]
    assert len(grids) > 6
    assert sum("_keys" in vars(one) for one in grids) <= 2


@pytest.mark.long
def test_over_years_no_more_is_kept_of_looks_than_of_the_hatches_that_count() -> None:
    """A look that waits for its reading is taken ahead by whoever asks; what was made for that goes, too."""
    deeds = {0: "set", 20: "hatched", 92: "end"}
    shelf, apart, batches = Shelf(), 15 * DAY, 22
    both = [(name, shelf.vessel(name)) for name in ("a", "b")]
    for at in range(START, START + batches * apart, 4 * HOUR):
        hour = (at - START) % apart // HOUR
        for name, belief in both:
            belief.feed_reading(at, "water_c", 25.0)
            if hour in deeds:
                belief.feed_deed(Deed(at, name, deeds[hour], 0.5, {"lot": "spring"}))
        if hour in (20, 24):
            for _, belief in both:
                belief.estimates(at + HOUR)
    gc.collect()
    kept = {kind: sum(type(one) is kind for one in gc.get_objects()) for kind in (HatchGrid, Evidence)}
    count = 2 * (NEWEST + READ_WHOLE_S // apart)
    assert count + 6 < 2 * batches
    assert kept[HatchGrid] <= 6  # of those that run
    assert kept[Evidence] <= count + 6


def test_the_order_in_which_vessels_come_does_not_matter() -> None:
    looks = {
        "a": LOOKS,
        "b": ((14, "hatched", 0.3),),
        "c": ((18, "hatched", 0.8), (13, "first-swimmer", None)),
    }
    found = set()
    for order in permutations(looks):
        shelf = Shelf()
        for name in order:
            shelf.hatch(name, START + ord(name) * 60, looks[name], 22)
        found.add(shelf.hatch("new", START + 24 * HOUR, (), 2).estimates(START + 26 * HOUR)["hatch_t50"])
    assert len(found) == 1


def test_many_hatches_of_a_lot_narrow_it_but_never_below_their_own_scatter() -> None:
    shelf = Shelf()
    widths = []
    for batch in range(12):
        shelf.hatch(f"cup{batch}", START, LOOKS, 22)
        found = hours_to_half(shelf.hatch("new", START + 24 * HOUR, (), 2), START + 26 * HOUR)
        widths.append(math.log(found.p90 / found.p10))
        shelf.vessel("new")
    assert widths[-1] < widths[0]
    assert widths[-1] > 2 * 1.2816 * 0.05  # two hatches of one lot differ
    assert all(after < 1.02 * before for before, after in pairwise(widths))


looks = st.lists(
    st.one_of(
        st.tuples(st.integers(1, 30), st.just("hatched"), st.floats(0.0, 1.0)),
        st.tuples(st.integers(1, 30), st.just("first-swimmer"), st.none()),
    ),
    max_size=4,
)


@given(looks, looks, st.data())
@settings(max_examples=10, deadline=None)
def test_feeding_live_and_computing_anew_agree_for_vessels_that_share_a_lot(
    one: list[Look], two: list[Look], data: st.DataObject
) -> None:
    live, stored, moment = Shelf(), Shelf(), START + 31 * HOUR
    a, b = live.vessel("a"), live.vessel("b")
    for name, belief in (("a", a), ("b", b)):
        belief.feed_deed(Deed(START, name, "set", 0.5, {"lot": "spring"}))
    for hour in range(31):  # beat by beat, both vessels, questions in between
        for name, belief, some in (("a", a, one), ("b", b, two)):
            belief.feed_reading(START + hour * HOUR, "water_c", 25.0)
            for _, deed, amount in (look for look in some if look[0] == hour):
                belief.feed_deed(Deed(START + hour * HOUR, name, deed, amount))
        if data.draw(st.booleans()):
            a.estimates(START + hour * HOUR)
    for name, some in data.draw(st.permutations([("a", one), ("b", two)])):  # one vessel after the other
        belief = stored.vessel(name)
        belief.feed_deed(Deed(START, name, "set", 0.5, {"lot": "spring"}))
        for hour in range(31):
            belief.feed_reading(START + hour * HOUR, "water_c", 25.0)
            for _, deed, amount in (look for look in some if look[0] == hour):
                belief.feed_deed(Deed(START + hour * HOUR, name, deed, amount))
    for name in ("a", "b"):
        assert stored.beliefs[name].estimates(moment) == live.beliefs[name].estimates(moment)


def test_a_told_strain_is_where_a_lot_begins() -> None:
    quick = Strain("quick", 12.0, 0.15, 0.36, 0.35, None, "invented")
    known, unknown = Shelf({"spring": GivenLot(quick, None)}), Shelf()
    found = hours_to_half(known.hatch("cup", START, (), 30), START + 30 * HOUR)
    wide = hours_to_half(unknown.hatch("cup", START, (), 30), START + 30 * HOUR)
    assert found.p50 == pytest.approx(12.0, rel=0.05)
    assert width(found) < 0.5 * width(wide)


def test_the_hatchable_share_of_commercial_lots_is_where_it_begins() -> None:
    # López-Torres & Lizárraga-Partida 2001 [R]: 15 commercial lots, median 79 %, from 5 to 99.6 %.
    def below(share: float) -> float:
        return sum(w for h, w in zip(shares(), share_prior(), strict=True) if h < share)

    assert below(0.775) < 0.5 < below(0.825)
    assert 0.01 < below(0.075) < 0.10  # one in fifteen or so
    assert below(0.975) < 1.0 - 1.0 / 15.0


def test_an_old_tin_may_hatch_worse() -> None:
    def share(opened: date | None) -> Estimate:
        shelf = Shelf({"spring": GivenLot(STRAINS["unknown"], opened)})
        return shelf.hatch("cup", START, (), 2).estimates(START + 2 * HOUR)["hatchable_share"]

    fresh, old = share(None), share(date(2022, 1, 1))
    assert old.p50 < fresh.p50
    assert old.p10 <= fresh.p10
    assert share(date(2031, 1, 1)) == fresh  # opened later than it was set: told wrongly, taken as fresh
