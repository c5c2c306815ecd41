"""The sentences say what p and intervals support, and nothing more, whatever was counted."""

import random
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.planning.experiment.chosen_test import MadeTest
from daemon.planning.experiment.counts import CupCount, counts_of
from daemon.planning.experiment.drawn_cups import drawn_cup
from daemon.planning.experiment.result import Compared, Result, result_of
from daemon.science.replicate_cups import Cup
from reports.amounts import number
from reports.experiment.figures import chance, of_hundred
from reports.experiment.lateness import beside, lateness_words, why_no_slope
from reports.experiment.sentence import compared_words, for_children, for_report, why_no_p
from tests.kit.counted_cups import CLASS, counted

DIFFER, NOT_KNOWN, COULD_NOT = "not all alike", "we do not know whether", "could not have shown"
FEW, LOOKS = "with so few cups nobody can be sure", "looks like a difference"
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


def hardly_differ(found: Result) -> bool:
    """Within five of 100, and as chance makes it more often than in one class of five."""
    shares, p = [level.share for level in found.levels], found.tested.p
    return round(max(shares) - min(shares), 6) <= 0.05 and (p is None or p > 0.2)


@given(levels_of_cups)
@settings(deadline=None, max_examples=200)
def test_a_sentence_claims_what_p_supports_and_nothing_more(levels: list[list[Cup]]) -> None:
    found = judged(levels)
    tested, child, report = found.tested, for_children(found), for_report(found)
    rare = tested.p is not None and tested.p <= 0.05
    able = tested.smallest_p is not None and tested.smallest_p <= 0.05
    alike = len({level.share for level in found.levels}) == 1
    near = hardly_differ(found)
    farthest = tested.p == tested.smallest_p and not near
    several = len(found.levels) > 1 and not alike
    assert ("about as many hatched" in child.lower()) == (near and several)
    for text in (child, report):
        assert (DIFFER in text) == rare
        assert not NEVER.search(text)
    assert (COULD_NOT in report) == (tested.p is not None and not able)
    not_sure = tested.p is not None and not rare and not alike
    assert (FEW in child.lower()) == (not_sure and not able)
    assert (LOOKS in child) == (not_sure and not able and farthest)
    assert (NOT_KNOWN in child) == (not_sure and (able or not farthest))
    p = tested.p or 0.0
    assert ("alone often makes" in child) == (not_sure and able and p > 0.2)
    assert ("now and then" in child) == (not_sure and able and p <= 0.2)
    assert ("do not tell the levels apart" in child or "Nothing hatched yet" in child) == (
        alike and not rare and len(found.levels) > 1
    )
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
        assert len(shares) == 1 or len(set(shares.values())) == 1 or hardly_differ(found)
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
@pytest.mark.long
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


def test_57_and_56_of_100_are_about_as_many_and_60_and_40_are_not() -> None:
    near = for_children(judged([[(57, 100), (58, 100)], [(56, 100), (55, 100)]]))
    assert near.startswith("About as many hatched at 10 (57 of 100) as at 30 (56 of 100). With so few cups")
    assert LOOKS not in near
    three = for_children(judged([[(56, 100), (50, 100)], [(53, 100), (52, 100)], [(51, 100), (57, 100)]]))
    assert three.startswith("About as many hatched at every level: 53 to 54 of 100.")
    far = for_children(judged([[(60, 100), (30, 100)], [(50, 100), (20, 100)]]))
    assert far.startswith("More hatched at 10 (45 of 100) than at 30 (35 of 100).")
    # Within five of 100, but chance seldom makes it: 1 of 35 ways for each side.
    sure = judged([[(55, 100)] * 4, [(51, 100)] * 4])
    assert sure.tested.p is not None
    assert ("About as many" in for_children(sure)) == (sure.tested.p > 0.2)


def test_one_cup_a_level_is_said_to_show_nothing_for_sure() -> None:
    found = judged([[(40, 50)], [(3, 50)]])
    assert "it may be the level or just that cup" in for_children(found)
    assert "Hurlbert 1984" in for_report(found)
    assert "of that cup alone" in for_report(found)


NO_OTHER = "There is no other level to compare with."


def test_one_level_has_nothing_to_compare_with() -> None:
    assert for_children(judged([[(40, 50)]])) == (
        "In this one cup 40 of 50 cysts hatched. Another cup could differ. " + NO_OTHER
    )
    # By chance alone 0.79 ± 3.18 √(0.79·0.21/200), Student's t of 3 degrees: 70 to 88 [C].
    assert re.fullmatch(
        rf"158 of 200 cysts hatched\. Of 100 it may well be anything from (68|69|70) to 8[78]\. {NO_OTHER}",
        for_children(judged([[(40, 50), (38, 50), (39, 50), (41, 50)]])),
    )


def test_two_cups_of_one_level_are_said_to_be_too_few_rather_than_2_to_99_of_100() -> None:
    assert for_children(judged([[(12, 20), (12, 20)]])) == (
        f"24 of 40 cysts hatched. These are too few cups to say how many it would be in others. {NO_OTHER}"
    )


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
    valley = judged([CLASS[1], CLASS[2], CLASS[0]])
    assert beside(valley)[0] == "Fewest hatched at a level in between: no single slope describes that."
    straight = judged([CLASS[1], CLASS[0], CLASS[2]])
    assert re.match(
        r"Slope: .* change by −0\.0\d+ \(−0\.\d+ to −0\.0\d+\) for each 1 more\.", beside(straight)[0]
    )
    with_unit = result_of(counted([CLASS[1], CLASS[0], CLASS[2]], ("10 g/L", "25,5 g/L", "40 g/L")))
    assert " for each 1 g/L more." in beside(with_unit)[0]


def test_every_verdict_of_lateness_has_its_words() -> None:
    from typing import get_args

    from daemon.planning.experiment.lateness import Lateness, Verdict

    shares = ((52.0, 0.7), (24.0, 0.8))
    said = {lateness_words(Lateness("cold", "warm", one, 52.3, shares)) for one in get_args(Verdict)}
    assert len(said) == len(get_args(Verdict))
    assert all("cold" in words for words in said)
    assert any("hour 52" in words for words in said)


def test_names_that_people_chose_stand_on_one_line() -> None:
    found = result_of(counted([[(1, 50)] * 2, [(9, 50)] * 2], ("a{b}", "<c>")))
    assert "than at a{b} (2 of 100)" in for_children(found)


def test_a_test_without_figures_is_not_written_of() -> None:
    found = judged([[(40, 50)], [(3, 50)]])
    assert compared_words(Compared(found.levels, MadeTest("none", why_none="one cup"))) == for_children(found)


# Hours, warmth and salt ------------------------------------------------------------------------------------

LATE = re.compile(r"\blate\b|lateness|Count (?:it )?again (?:at|some)", re.I)
NO_LONGER_LATE = re.compile(r"had time enough|lateness is not the reason|than lateness alone|hardly late")

known = st.tuples(
    st.lists(st.sampled_from((6.0, 24.0, 25.0, 54.0, 200.0)), min_size=1, max_size=2, unique=True),
    st.sampled_from((None, 5.0, 18.0, 22.0, 26.0)),
    st.sampled_from((None, 10.0, 30.0, 60.0, 120.0)),
)
hatched_in_cups = st.lists(st.one_of(st.just(0), st.just(50), st.integers(0, 50)), min_size=1, max_size=5)


@st.composite
def counted_by_hours(draw: st.DrawFn) -> list[CupCount]:
    rows = []
    for level in draw(st.sampled_from((("cold", "warm"), ("10", "30", "60")))):
        hours, water_c, salt = draw(known)
        for hour in hours:
            rows += [
                CupCount(level, str(cup), 50, hatched, hour, water_c, salt)
                for cup, hatched in enumerate(draw(hatched_in_cups))
            ]
    return rows


@given(counted_by_hours(), st.sampled_from((None, 24.0)))
@settings(deadline=None, max_examples=400)
def test_no_line_contradicts_another_and_none_explains_what_is_not(
    rows: list[CupCount], hours: float | None
) -> None:
    try:
        found = result_of(counts_of(rows), hours)
    except InputError:
        return
    child, report, lines = for_children(found), for_report(found), beside(found)
    text, p = " ".join([child, report, *lines]), found.tested.p
    if len({level.share for level in found.levels}) == 1:
        assert not LATE.search(text.replace("Count again later", ""))
    if p is not None and p > 0.2 and p != found.tested.smallest_p:
        assert not LATE.search(text.replace("Count again later", ""))
    if found.equal is not None:
        assert "Each counted" in child
        assert not re.search(r"only (?:be )?late", text)
    assert not (DIFFER in child and (NOT_KNOWN in child or FEW in child.lower()))
    assert not (DIFFER in report and ("No difference was shown" in report or COULD_NOT in report))
    for claim in ("Slope:", "no single slope", "than lateness alone explains"):
        assert claim not in text or DIFFER in child or found.equal is not None
    for level in found.levels:
        said = [lateness_words(late) for late in found.lateness if late.late == level.level]
        assert len(said) < 2
        assert not any("may only be late" in one and NO_LONGER_LATE.search(one) for one in said)
    assert (found.slope is None) or not why_no_slope(found)


def test_counts_of_equal_development_are_said_to_be_of_it() -> None:
    rows = [
        CupCount(level, str(cup), 50, hatched, hours, water_c)
        for level, water_c, hours, cups in (
            ("18 °C", 18.0, 54.0, (35, 38, 36, 37)),
            ("26 °C", 26.0, 24.0, (38, 41, 36, 40)),
        )
        for cup, hatched in enumerate(cups)
    ]
    said = for_children(result_of(counts_of(rows)))
    assert said.startswith(
        "Each counted when about equally far on (18 °C at hour 54 and 26 °C at hour 24): About as many"
    )
    assert for_report(result_of(counts_of(rows))).startswith("Share hatched at equal development (18 °C at")
    blind = [replace(row, hours=24.0 + (row.level == "18 °C"), water_c=None) for row in rows]
    assert "about equally far on if all were equally warm and salty:" in for_children(
        result_of(counts_of(blind))
    )


def test_an_hour_that_was_asked_for_is_seen_and_not_judged_where_equal_development_was_counted() -> None:
    rows = [
        CupCount(level, str(cup), 50, hatched, hours, water_c)
        for level, water_c, hours, cups in (
            ("18", 18.0, 24.0, (3, 1, 2, 2)),
            ("26", 26.0, 24.0, (38, 41, 36, 40)),
            ("18", 18.0, 54.0, (35, 38, 36, 37)),
        )
        for cup, hatched in enumerate(cups)
    ]
    found = result_of(counts_of(rows), 24.0)
    said = for_children(found)
    assert said.startswith(
        "All counted at hour 24: More hatched at 26 (78 of 100) than at 18 (4 of 100). Each"
    )
    assert DIFFER not in said
    assert DIFFER not in for_report(found)


@pytest.mark.parametrize(
    ("levels", "said"),
    [
        ([[(0, 50)] * 4] * 2, "Nothing hatched yet at any level. Count again later, or test the tin."),
        ([[(0, 50)], [(0, 50)]], "Nothing hatched yet at any level. Count again later, or test the tin."),
        (
            [[(50, 50)] * 4] * 2,
            "At all levels all cysts hatched. So these counts do not tell the levels apart.",
        ),
        (
            [[(1, 50), (2, 50)]] * 2,
            "At all levels the same share hatched: 3 of 100. So these counts do not tell the levels apart.",
        ),
        (
            [[(0, 50)] * 3],
            (
                "None of 150 cysts hatched. Of 100 it may well be up to 2. Count again later, or test the "
                "tin. There is no other level to compare with."
            ),
        ),
        ([[(50, 50)] * 3], f"All 150 cysts hatched. Of 100 it may well be only 98. {NO_OTHER}"),
        (
            [[(50, 50), (49, 50), (48, 50)], [(1, 50), (2, 50), (3, 50)]],
            (
                "More hatched at 10 (98 of 100) than at 30 (4 of 100). That looks like a difference, but "
                "with so few cups nobody can be sure. Chance alone makes cups as different as that in about "
                "10 of 100 classes."
            ),
        ),
    ],
)
def test_none_all_alike_and_few_have_sentences_of_their_own(levels: list[list[Cup]], said: str) -> None:
    assert for_children(judged(levels)) == said


# 4 of the 70 dealings of 4 cups and 4 are as far apart as these or farther: p = 4/70 = 0.057 [C].
def test_six_in_a_hundred_is_not_often() -> None:
    found = judged([[(9, 50), (10, 50), (12, 50), (21, 50)], [(20, 50), (25, 50), (30, 50), (35, 50)]])
    assert found.tested.p == pytest.approx(4 / 70)
    assert "now and then, in about 6 of 100 classes: not rarely enough to be sure" in for_children(found)


def test_a_report_gives_no_bound_for_the_smallest_p() -> None:
    said = for_report(judged([[(9, 50)] * 5, [(30, 50), (31, 50), (29, 50), (40, 50), (33, 50)]]))
    assert "smallest" not in said
