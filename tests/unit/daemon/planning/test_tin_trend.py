"""Whether a tin falls off: seldom said of steady tins, often of those that do.

Power, by `falling` with both kinds of scatter and 1500 tins each: said at some look of 3, 5, 8 and 12 counts.

| fall on the logit scale | from 79 % to | 3 | 5 | 8 | 12 |
| --- | --- | --- | --- | --- | --- |
| 0.75 | 64 % | 0.05 | 0.10 | 0.17 | 0.24 |
| 1.5 | 46 % | 0.15 | 0.31 | 0.47 | 0.66 |
| 3 | 16 % | 0.47 | 0.75 | 0.90 | 0.97 |

Of steady tins, at any of ten looks (three seeds): chance alone 0.000, hatches differ 0.013 to 0.021, dishes
differ 0.004 to 0.007, both 0.029 to 0.039.
"""

from collections.abc import Sequence
from math import exp, log
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.planning.tin_trend import LEAST_COUNTS, CountedShare, tin_trend
from daemon.seconds import DAY_S

HISTORIES = 800
KINDS = ("chance alone", "hatches differ", "dishes differ", "both")


def logistic(x: float) -> float:
    return 1.0 / (1.0 + exp(-x))


def counted(draws: Random, logit: float, cysts: int, kind: str) -> int:
    """How many of some cysts hatched: with hatches that scatter, with dishes that scatter as Crowder's plates
    do (beta-binomial of dispersion 1.862), with both or neither. Drawn as no formula of the test has it."""
    share = logistic(logit + (draws.gauss(0.0, 0.35) if kind in ("hatches differ", "both") else 0.0))
    if kind in ("dishes differ", "both"):
        alike = (cysts - 1) / 0.862 - 1.0
        share = draws.betavariate(max(1e-6, share * alike), max(1e-6, (1.0 - share) * alike))
    return sum(draws.random() < share for _ in range(cysts))


def history(draws: Random, kind: str, counts: int, fall: float) -> list[CountedShare]:
    """A tin's counts, three to forty days apart; its share falls by so much on the logit scale in all."""
    begins = min(4.0, max(-1.5, log(0.79 / 0.21) + draws.gauss(0.0, 1.2)))
    gaps = [draws.uniform(3.0, 40.0) for _ in range(counts)]
    cysts, day, found = draws.choice((30, 50, 100, 200)), 0.0, []
    for gap in gaps:
        day += gap
        logit = begins - fall * day / sum(gaps)
        found.append(CountedShare(round(day * DAY_S), counted(draws, logit, cysts, kind), cysts))
    return found


def ever_called(tin: Sequence[CountedShare]) -> bool:
    """Whether it was said at any count that it falls off."""
    looks = (tin_trend(tin[:count]) for count in range(LEAST_COUNTS, len(tin) + 1))
    return any(trend is not None and trend.falls for trend in looks)


def falling(kind: str, counts: int, fall: float, seed: int) -> float:
    """The share of such tins of which it was ever said."""
    draws = Random(seed)
    return sum(ever_called(history(draws, kind, counts, fall)) for _ in range(HISTORIES)) / HISTORIES


@pytest.mark.parametrize("kind", KINDS)
def test_of_steady_tins_at_most_one_in_twenty_is_ever_called_falling_in_ten_looks(kind: str) -> None:
    assert falling(kind, 10, 0.0, seed=20261130) <= 0.05


@pytest.mark.parametrize(
    ("counts", "fall", "at_least"),
    [(3, 3.0, 0.4), (5, 3.0, 0.7), (8, 3.0, 0.88), (8, 1.5, 0.4), (12, 1.5, 0.6)],
)
def test_a_real_fall_is_called_one_the_sooner_the_deeper_it_is(
    counts: int, fall: float, at_least: float
) -> None:
    assert falling("both", counts, fall, seed=20261201) >= at_least


def test_hatches_that_swing_more_than_is_usual_are_no_fall() -> None:
    """Between 20 and 99 %, up and down: the line's error grows with how far they lie from it."""
    swinging = [99, 90, 30, 95, 30, 60, 90, 20]
    tin = [CountedShare(day * 20 * DAY_S, hatched, 100) for day, hatched in enumerate(swinging)]
    trend = tin_trend(tin)
    assert trend is not None
    assert not trend.falls
    steadily = [CountedShare(day * 20 * DAY_S, h, 100) for day, h in enumerate((96, 93, 88, 80, 68, 50))]
    assert ever_called(steadily)


def test_a_tin_that_gets_better_is_not_called_falling() -> None:
    assert falling("both", 10, -3.0, seed=3) == 0.0


def test_it_says_from_where_to_where() -> None:
    tin = [
        CountedShare(day * DAY_S, hatched, 200) for day, hatched in ((0, 160), (30, 130), (60, 90), (90, 50))
    ]
    trend = tin_trend(tin)
    assert trend is not None
    assert (trend.falls, trend.counts) == (True, 4)
    assert (trend.first, trend.last) == (0.8, 0.25)  # as counted: a line's end may lie below every count
    assert tin_trend(tin[::-1]) == trend


@given(
    st.lists(
        st.tuples(st.integers(0, 2000), st.integers(1, 500), st.floats(0.0, 1.0)).map(
            lambda drawn: CountedShare(drawn[0] * DAY_S, drawn[1] * drawn[2], drawn[1])
        ),
        max_size=12,
    )
)
def test_any_counts_have_an_answer_or_none_where_there_are_too_few(tin: list[CountedShare]) -> None:
    trend = tin_trend(tin)
    if len(tin) < LEAST_COUNTS or len({one.at for one in tin}) == 1:
        assert trend is None
    else:
        assert trend is not None
        assert 0.0 <= min(trend.first, trend.last) <= max(trend.first, trend.last) <= 1.0
        assert not trend.falls or trend.last < trend.first
