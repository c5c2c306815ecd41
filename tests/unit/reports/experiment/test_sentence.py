"""The sentences say what p and intervals support, and nothing more, whatever was counted."""

import random
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.planning.experiment.chosen_test import MadeTest
from daemon.planning.experiment.counts import CupCount, counts_of
from daemon.planning.experiment.power import drawn_cup
from daemon.planning.experiment.result import Compared, Result, result_of
from daemon.science.replicate_cups import Cup
from reports.amounts import number
from reports.experiment.figures import chance, of_hundred
from reports.experiment.lateness import beside, equal_words, lateness_words
from reports.experiment.sentence import compared_words, for_children, for_report, why_no_p
from tests.kit.counted_cups import CLASS, counted

DIFFER, NOT_KNOWN, COULD_NOT = "not all alike", "we do not know whether", "could not have shown"
SEEN = (("cold", 18.0, 2), ("warm", 26.0, 41))
# What counts cannot support: that there is no difference.
NEVER = re.compile(
    r"no difference(?! was shown)|does not matter|makes no|equal|proves?\b",
    re.I,
)
MOST = re.compile(
    r"Mo\w+ hatched at (.+?)(?:: | \()(\S+) of 100\)?\.? \w+(?: hatched)? at (.+?)(?:: | \()(\S+) of 100"
)

cup = st.integers(1, 60).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))
levels_of_cups = st.lists(st.lists(cup, min_size=1, max_size=6), min_size=1, max_size=4)


def judged(levels: list[list[Cup]]) -> Result:
    return result_of(counted(levels))


@given(levels_of_cups)
@settings(deadline=None, max_examples=200)
def test_a_sentence_claims_what_p_supports_and_nothing_more(levels: list[list[Cup]]) -> None:
    found = judged(levels)
    tested, child, report = found.tested, for_children(found), for_report(found)
    rare = tested.p is not None and tested.p <= 0.05
    able = tested.smallest_p is not None and tested.smallest_p <= 0.05
    for text in (child, report):
        assert (DIFFER in text) == rare
        assert (COULD_NOT in text) == (tested.p is not None and not able)
        assert not NEVER.search(text)
    assert (NOT_KNOWN in child) == (tested.p is not None and not rare)
    assert ("which does not show that there is none" in report) == (
        tested.p is not None and able and not rare
    )
    assert ("p =" in report or "p <" in report) == (tested.p is not None)
    assert bool(why_no_p(tested)) == (tested.p is None)


@given(levels_of_cups)
@settings(deadline=None)
def test_most_and_fewest_hatched_where_the_sentence_says(levels: list[list[Cup]]) -> None:
    found = judged(levels)
    said = MOST.match(for_children(found))
    shares = {level.level: level.share for level in found.levels}
    if said is None:
        assert len(shares) == 1 or len(set(shares.values())) == 1
        return
    best, worst = (set(re.split(", | and ", said[place])) for place in (1, 3))
    assert best == {level for level, share in shares.items() if share == max(shares.values())}
    assert worst == {level for level, share in shares.items() if share == min(shares.values())}
    assert float(said[2]) > float(said[4])


@given(levels_of_cups)
@settings(deadline=None)
def test_a_report_gives_every_share_with_its_interval_around_it(levels: list[list[Cup]]) -> None:
    found = judged(levels)
    told = re.findall(r"(\d+): (\d\.\d\d) \((\d\.\d\d) to (\d\.\d\d)\), (\d+) cups?", for_report(found))
    assert [(name, int(cups)) for name, *_, cups in told] == [
        (one.level, len(one.cups)) for one in found.levels
    ]
    assert all(float(low) <= float(share) <= float(high) for _, share, low, high, _ in told)


# Where no level matters, a class hears that levels differ at most about five times in a hundred (seeded).
def test_a_class_without_effect_seldom_hears_of_one() -> None:
    draw, heard, classes = random.Random(11), 0, 300
    for _ in range(classes):
        levels = [[(drawn_cup(draw, 50, 0.6, 1.9), 50) for _ in range(4)] for _ in range(3)]
        heard += DIFFER in for_children(judged(levels))
    print(f"{heard / classes:.3f} heard of an effect that was none")  # noqa: T201 - with -rP
    assert heard / classes <= 0.085


@given(st.floats(1e-9, 1.0))
def test_a_chance_is_never_rounded_across_five_percent(p: float) -> None:
    said = re.fullmatch(r"p ([=<]) ([\d.e-]+)", chance(p))
    assert said is not None
    assert (float(said[2]) <= 0.05) == (p <= 0.05)


@given(st.floats(0.0, 1.0))
def test_some_are_not_none_and_not_all(share: float) -> None:
    assert (float(of_hundred(share)) == 0.0) <= (share < 1e-6)
    assert (float(of_hundred(share)) == 100.0) <= (share > 1 - 1e-6)


@given(st.integers(0, 400), st.integers(1, 400))
def test_a_class_and_a_report_hear_of_one_share(hatched: int, of: int) -> None:
    share = min(1.0, hatched / of)
    if "." not in (whole := of_hundred(share)):
        assert number(share, 2) == f"{int(whole) / 100:.2f}"


def test_the_sentences_of_the_class_of_three_levels() -> None:
    found = judged(CLASS)
    assert for_children(found) == (
        "Most hatched at 30: 77 of 100. Fewest hatched at 60: 28 of 100. "
        "Chance alone rarely makes cups so different, so we take it that the levels are not all alike."
    )
    assert for_report(found) == (
        "Share hatched, with its interval (95 %): 10: 0.64 (0.53 to 0.74), 4 cups; 30: 0.77 (0.66 to 0.85), "
        "4 cups; 60: 0.28 (0.16 to 0.45), 4 cups. The cup is the unit. Kruskal–Wallis rank test, exact: "
        "H(2) = 9.27, p = 0.00052; the smallest these cups could give is p = 0.00017. "
        "At 5 % the levels are not all alike."
    )


def test_one_cup_a_level_is_said_to_show_nothing_for_sure() -> None:
    found = judged([[(40, 50)], [(3, 50)]])
    assert "it may be the level or just that cup" in for_children(found)
    assert "Hurlbert 1984" in for_report(found)
    assert "of that cup alone" in for_report(found)


def test_one_level_has_nothing_to_compare_with() -> None:
    assert for_children(judged([[(40, 50)]])) == (
        "In this one cup 40 of 50 cysts hatched. Another cup could differ."
    )
    assert for_children(judged([[(40, 50), (38, 50)]])).startswith("Of 100 cysts about 78 hatched.")


@pytest.mark.parametrize(
    ("levels", "test"),
    [
        ([[(1, 1), (0, 1)], [(1, 1), (1, 1)]], "Fisher's exact test: p = 1;"),
        (
            [[(9, 50)] * 5, [(30, 50), (31, 50), (29, 50), (40, 50), (33, 50)]],
            "quasi-binomial F test: F(1, 8) = ",
        ),
        ([[(y, 50) for y in (1, 2, 3)]] * 6, "by 9,999 dealings drawn at random: H(5) = 0.00, p = 1;"),
    ],
)
def test_a_report_names_its_test(levels: list[list[Cup]], test: str) -> None:
    found = result_of(counted(levels, "123456"))
    assert test in for_report(found)


def test_that_a_level_may_only_be_late_is_part_of_the_sentence() -> None:
    rows = [CupCount(level, cup, 50, y, 24.0, water_c) for level, water_c, y in SEEN for cup in "1234"]
    found = result_of(counts_of(rows))
    for text in (for_children(found), for_report(found)):
        assert "cold may only be late." in text
    assert not [line for line in beside(found) if "late" in line]


def test_what_stands_beside() -> None:
    assert beside(judged(CLASS))[0] == "Most hatched at a level in between: no single slope describes that."
    straight = judged([[(40, 50), (42, 50)], [(30, 50), (28, 50)], [(9, 50), (12, 50)]])
    assert re.match(r"Slope: .* change by −0\.0\d+ \(−0\.\d+ to −0\.0\d+\) a unit\.", beside(straight)[0])
    assert (
        equal_words([("18", 52.0), ("26", 24.0)]) == "At equal development (18 at hour 52 and 26 at hour 24):"
    )


def test_every_verdict_of_lateness_has_its_words() -> None:
    from typing import get_args

    from daemon.planning.experiment.lateness import Lateness, Verdict

    said = {lateness_words(Lateness("cold", "warm", verdict, 52.3)) for verdict in get_args(Verdict)}
    assert len(said) == len(get_args(Verdict))
    assert all("cold" in words for words in said)
    assert any("hour 52" in words for words in said)


def test_names_that_people_chose_stand_on_one_line() -> None:
    found = result_of(counted([[(1, 50)] * 2, [(9, 50)] * 2], ("a{b}", "<c>")))
    assert "than at a{b} (2 of 100)" in for_children(found)


def test_a_test_without_figures_is_not_written_of() -> None:
    found = judged([[(40, 50)], [(3, 50)]])
    assert compared_words(Compared(found.levels, MadeTest("none", why_none="one cup"))) == for_children(found)
