"""A viability test of a tin: n cysts put in, k of them hatched; may a class be built on it?"""

from dataclasses import dataclass
from math import ceil

from daemon.errors import InputError
from daemon.estimates.hatch import hatchable_share
from daemon.estimates.hatch.grid import HatchGrid
from daemon.estimates.hatch.observations import count_of_counted
from daemon.estimates.quantile import Estimate
from daemon.planning.hatched_by import (
    LEAST_C,
    LONGEST_H,
    MOST_C,
    doses_h,
    long_enough_h,
    out_by,
    out_points,
    start_of,
)
from daemon.science.confidence_intervals import CONFIDENCE, wilson
from daemon.science.counts import IntervalEstimate, hatching_fraction
from daemon.science.normal import quantile
from daemon.science.strains import UNKNOWN, Strain

# A tin will do where half hatch [our judgement]. Of 15 commercial lots the middle one had 79 %, the outer
# ones 5 and 99.6 (López-Torres & Lizárraga-Partida 2001 [R]), and a good label says 90 [P]; but a class can
# live with less, by setting more. Below half there are more dead cysts than animals in a cup, and more than
# twice the cysts for as many animals; and a tin that fell so far goes on falling.
WILL_DO = 0.5
GO, MORE_TIME, COUNT_MORE, REORDER = "go", "more time", "count more", "reorder"
MOST_PUT = 10_000
LEAST_H = 0.1
# More than a class counts by eye in an hour [P]: a share nearer to half than 5 % cannot be told from it so.
MOST_COUNTED = 400
ANIMALS_A_CUP = 20
SHOWN_C = (20.0, 22.0, 25.0, 28.0)


# In fewer tins than this so many are out by then, even were all their cysts good: it is asked about [P].
DOUBTED_BELOW = 0.02
UMBRELLA_H = 12.0  # so much later those in the umbrella stage have hatched, or will not [our judgement]


@dataclass(frozen=True, slots=True)
class TinTest:
    """`hatched` of `put` cysts; `hours` after they were wetted, at `water_c`: both or neither is known.

    `hatched` swim free; those that still hang below their shell are in the `umbrella` stage; `full_left` are
    cysts with an embryo, seen once the shells are bleached away. The rest were empty from the start. Both are
    None where nobody looked.
    """

    put: int
    hatched: int
    hours: float | None = None
    water_c: float | None = None
    umbrella: int | None = None
    full_left: int | None = None

    @property
    def on_their_way(self) -> int:
        """How many hang below their shells."""
        return self.umbrella or 0


@dataclass(frozen=True, slots=True)
class KeptTest:
    """A test of a tin that was kept, under its number; counted at a moment (Unix s)."""

    id: int
    at: int
    lot: str
    test: TinTest


@dataclass(frozen=True, slots=True)
class StillToCome:
    """What is still to come: of the hatchable, the share `out` by then; of all that were put in, the share
    that will have hatched `in_the_end`. `enough_h` hours in all would tell (None: none under two weeks do at
    this warmth), `long_enough` says that they are over.
    """

    out: Estimate
    in_the_end: Estimate
    enough_h: float | None
    long_enough: bool


@dataclass(frozen=True, slots=True)
class TinVerdict:
    """What a test says: the share with its 95 % interval (Wilson), and what to do.

    `count_more` is how many cysts more would tell if they hatch as these did, None where that is more than a
    class can count, 0 where they tell now. `cysts_a_cup` are needed for 20 animals: fewest, likely, most.
    `percentage` is the trade's hatching percentage as a fraction, of full cysts; None where those left were
    not counted. `doubted`: more had hatched than can have in those hours at that warmth.
    """

    share: float
    low: float
    high: float
    verdict: str
    count_more: int | None
    cysts_a_cup: tuple[int, int, int] | None
    waiting: StillToCome | None
    percentage: IntervalEstimate | None
    doubted: bool


def checked(
    test: TinTest,
    names: tuple[str, ...] = ("--put", "--hatched", "--hours", "--water-c", "--umbrella", "--full-left"),
) -> TinTest:
    """The same test. Raises InputError with a line for each thing that cannot be, by these names."""
    faults = list(faults_of(test).items())
    if faults:
        keys = ("put", "hatched", "hours", "water_c", "umbrella", "full_left")
        raise InputError(*(f"{names[keys.index(key)]}: {line}" for key, line in faults))
    return test


def faults_of(test: TinTest) -> dict[str, str]:
    """By field, what is wrong with it: what was found, and what is allowed."""
    faults = {}
    if not 1 <= test.put <= MOST_PUT:
        faults["put"] = f"found {test.put}; allowed: 1 to {MOST_PUT} cysts"
    elif not 0 <= test.hatched <= test.put:
        faults["hatched"] = f"found {test.hatched}; allowed: 0 to {test.put} animals"
    if test.hours is not None and not LEAST_H <= test.hours <= LONGEST_H:
        faults["hours"] = f"found {test.hours:g}; allowed: {LEAST_H:g} to {LONGEST_H:g} h"
    if test.water_c is not None and not LEAST_C <= test.water_c <= MOST_C:
        faults["water_c"] = f"found {test.water_c:g}; allowed: {LEAST_C:g} to {MOST_C:g} °C"
    left = test.put - test.hatched
    for key, count in (("umbrella", test.umbrella), ("full_left", test.full_left)):
        if not faults and count is not None:
            if not 0 <= count <= left:
                faults[key] = f"found {count}; allowed: 0 to {left} cysts"
            left -= count
    if test.hours is None and test.water_c is not None:
        faults["hours"] = "none given; allowed: with a warmth, how many hours it lasted"
    if test.water_c is None and test.hours is not None:
        faults["water_c"] = "none given; allowed: with hours, how warm the water was"
    return faults


def judged(test: TinTest, strain: Strain = UNKNOWN, opened_days: float = 0.0) -> TinVerdict:
    """What a test says of a tin of that strain, opened so many days ago. Raises InputError as `checked`."""
    checked(test)
    low, high = wilson(test.hatched, test.put)
    waiting = _waiting(test, strain, opened_days)
    verdict = _with_umbrellas(test, _verdict(low, high, waiting))
    share = test.hatched / test.put
    return TinVerdict(
        share=share,
        low=low,
        high=high,
        verdict=verdict,
        count_more=_count_more(share, test.put) if verdict == COUNT_MORE else 0,
        cysts_a_cup=_cysts_a_cup(low, share, high, waiting),
        waiting=waiting,
        percentage=percentage_of(test),
        doubted=is_doubted(test),
    )


def percentage_of(test: TinTest, confidence: float = CONFIDENCE) -> IntervalEstimate | None:
    """The trade's hatching percentage as a fraction with its interval: N/(N + U + E), of full cysts.

    FAO 361 ch. 4 [R, secondary]. None where the full cysts that were left were not counted.
    """
    if test.full_left is None or test.hatched + test.on_their_way + test.full_left < 1:
        return None
    return hatching_fraction(test.hatched, test.on_their_way, test.full_left, confidence)


def is_doubted(test: TinTest) -> bool:
    """Whether more had hatched than can have by then of nearly any tin: hours or warmth are wrong."""
    if test.hours is None or test.water_c is None:
        return False
    low, _ = wilson(test.hatched, test.put)
    as_many = sum(weight for out, weight in out_points(test.hours, test.water_c, UNKNOWN) if out >= low)
    return as_many < DOUBTED_BELOW


def _with_umbrellas(test: TinTest, verdict: str) -> str:
    """Whoever hangs below a shell is on the way: while they can still bring it to half, time tells more."""
    if verdict not in (COUNT_MORE, REORDER) or not test.on_their_way:
        return verdict
    _, with_them = wilson(test.hatched + test.on_their_way, test.put)
    return MORE_TIME if with_them >= WILL_DO else verdict


def _verdict(low: float, high: float, waiting: StillToCome | None) -> str:
    """By the interval, not by its middle. What hatched is hatched: so enough is enough at any hour."""
    if low >= WILL_DO:
        return GO
    if waiting is not None and not waiting.long_enough:
        # Even where one tin in ten is so late as this, the late ones would not make it half.
        dead = waiting.out.p10 > 0.0 and high / waiting.out.p10 < WILL_DO
        return REORDER if dead else MORE_TIME
    return REORDER if high < WILL_DO else COUNT_MORE


def _waiting(test: TinTest, strain: Strain, opened_days: float) -> StillToCome | None:
    if test.hours is None or test.water_c is None:
        return None
    enough_h = long_enough_h(test.water_c, strain)
    start = start_of(strain, opened_days)
    grid = HatchGrid().count(doses_h(test.hours, test.water_c), count_of_counted(test.hatched, test.put))
    _, shares = grid.believed(start)
    return StillToCome(
        out=out_by(test.hours, test.water_c, strain),
        in_the_end=_with_those_out(hatchable_share.estimate(shares), test),
        enough_h=enough_h,
        long_enough=enough_h is not None and test.hours >= enough_h,
    )


def _with_those_out(share: Estimate, test: TinTest) -> Estimate:
    """What hatched has hatched: few cysts weigh little against what tins give at large."""
    out = test.hatched / test.put
    return Estimate(max(out, share.p10), max(out, share.p50), max(out, share.p90))


def _count_more(share: float, put: int) -> int | None:
    """Wilson's interval is the score test turned round: it clears t where |p − t| is z·√(t(1 − t)/n)."""
    off = abs(share - WILL_DO)
    z = quantile((1.0 + CONFIDENCE) / 2.0)
    needed = ceil(z * z * WILL_DO * (1.0 - WILL_DO) / (off * off)) if off > 0.0 else MOST_COUNTED + 1
    return max(1, needed - put) if needed <= max(MOST_COUNTED, put + 1) else None


def _cysts_a_cup(
    low: float, share: float, high: float, waiting: StillToCome | None
) -> tuple[int, int, int] | None:
    """For 20 animals; None where it may be that none hatch."""
    if waiting is not None and not waiting.long_enough:
        low, share, high = waiting.in_the_end.p10, waiting.in_the_end.p50, waiting.in_the_end.p90
    if low <= 0.0 or share <= 0.0:
        return None
    fewest, likely, most = (ceil(ANIMALS_A_CUP / part - 1e-9) for part in (high, share, low))
    return fewest, likely, most


def times_that_tell(strain: Strain = UNKNOWN) -> dict[float, float]:
    """After how many hours a test tells, by warmth in °C."""
    return {water_c: hours for water_c in SHOWN_C if (hours := long_enough_h(water_c, strain)) is not None}
