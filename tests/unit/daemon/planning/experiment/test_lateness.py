"""A cold cup is late before it is poor: what warmth, hours and second counts say of a difference."""

import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.planning.experiment.counts import Counts, CupCount, counts_of
from daemon.planning.experiment.lateness import Lateness
from daemon.planning.experiment.result import result_of
from daemon.science.hatching import hatched_share, pace

WARM_C, COLD_C = 26.0, 18.0


def counts(*levels: tuple[str, float | None, float, list[int]]) -> Counts:
    """Levels of cups of 50: name, temperature, hours, hatched."""
    return counts_of(
        [
            CupCount(level, str(number), 50, hatched, hours, water_c)
            for level, water_c, hours, cups in levels
            for number, hatched in enumerate(cups)
        ]
    )


def only(counts: Counts) -> Lateness | None:
    """What is said of the one level that hatched less; None where nothing is."""
    found = result_of(counts).lateness
    assert len(found) < 2
    return found[0] if found else None


def verdict(*levels: tuple[str, float | None, float, list[int]]) -> str | None:
    found = only(counts(*levels))
    return found.verdict if found else None


def test_cold_cups_counted_at_one_hour_may_only_be_late_and_are_to_be_counted_again() -> None:
    found = only(counts(("warm", WARM_C, 24, [41, 38, 43]), ("cold", COLD_C, 24, [3, 1, 2])))
    assert found is not None
    assert (found.late, found.early, found.verdict) == ("cold", "warm", "could be late")
    assert found.count_again_h == pytest.approx(24.0 * pace(WARM_C) / pace(COLD_C))


# The handbook's rows (San Francisco Bay, literature compilation): 80 % of the hatch at 38 h at 20 °C, at 25 h
# at 24 °C. A class that counts both at 25 h would see the lateness, not poorness.
def test_the_published_rows_of_one_strain_are_lateness() -> None:
    assert verdict(("20", 20.0, 25, [12, 15, 10]), ("24", 24.0, 25, [40, 41, 39])) == "could be late"


def test_after_days_even_slow_cysts_had_time() -> None:
    assert verdict(("20", 20.0, 24 * 8, [20, 24, 22]), ("26", 26.0, 24 * 8, [40, 41, 39])) == "had time"


def test_what_no_known_tin_could_be_late_by_is_more_than_late() -> None:
    assert verdict(("22", 22.0, 60, [2, 1, 2, 1]), ("25", 25.0, 60, [40, 41, 39, 40])) == "more than late"


def test_the_warmer_level_that_hatched_less_is_not_behind() -> None:
    found = only(counts(("20", 20.0, 30, [42, 44]), ("26", 26.0, 30, [40, 41])))
    assert found == Lateness("26", "20", "not behind")


def test_few_cups_are_never_called_more_than_late() -> None:
    assert verdict(("22", 22.0, 60, [2, 1, 2]), ("25", 25.0, 60, [40, 41, 39])) is None


@pytest.mark.parametrize("water_c", [5.0, 34.0])
def test_where_cysts_do_not_develop_waiting_changes_nothing(water_c: float) -> None:
    assert verdict(("off", water_c, 48, [0, 0]), ("26", 26.0, 48, [40, 41])) == "stands still"


def test_levels_of_one_warmth_raise_no_question_of_lateness() -> None:
    assert verdict(("10 g", 24.0, 30, [42, 44]), ("60 g", 24.5, 30, [4, 4])) is None
    assert result_of(counts(("10 g", 24.0, 30, [42, 44]))).lateness == ()


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ([5, 6, 4], [20, 22, 19], "still rose"),
        ([20, 22, 19], [20, 22, 19], "at rest"),
        ([20, 22, 19], [20, 30, 19], "not known"),
        ([20], [25], "not known"),
    ],
)
def test_two_counts_without_warmth_say_whether_the_lowest_still_rose(
    before: list[int], after: list[int], expected: str
) -> None:
    high = [40] * len(after)
    levels = (("a", None, 24, before), ("b", None, 24, high), ("a", None, 30, after), ("b", None, 30, high))
    assert only(counts(*levels)) == Lateness("a", "b", expected)  # type: ignore[arg-type]


def test_without_hours_nothing_is_said_of_lateness() -> None:
    plain = [CupCount(level, cup, 50, 9) for level in "ab" for cup in "12"]
    assert result_of(counts_of(plain)).lateness == ()
    assert result_of(counts_of(plain), 24.0).hours == 24.0


# Two levels alike but for their warmth, of any tin that the beliefs hold possible: their difference is
# lateness, so "more than late" must be rare (its intervals are of 95 %, and both ends count against it).
def test_pure_lateness_is_hardly_ever_called_more() -> None:
    chance, wrong, experiments = random.Random(5), 0, 400
    for _ in range(experiments):
        t50_h, synchrony, best = chance.uniform(14, 26), chance.uniform(0.27, 0.6), chance.uniform(0.5, 0.95)
        cold_c, hours = chance.uniform(16.0, 22.0), chance.uniform(20.0, 60.0)
        levels = []
        for name, water_c in (("cold", cold_c), ("warm", 25.0)):
            share = best * hatched_share(hours * pace(water_c), t50_h, synchrony)
            cups = [sum(chance.random() < share for _ in range(50)) for _ in range(4)]
            levels.append((name, water_c, hours, cups))
        wrong += verdict(*levels) == "more than late"
    print(f"{wrong} of {experiments} late ones called more than late")  # noqa: T201 - with -rP
    assert wrong <= 0.02 * experiments


# Which level is held against which, and where nothing is to be explained --------------------------------


def test_each_lower_level_is_held_against_the_best_one() -> None:
    found = result_of(
        salty((10, 24, [12, 14, 11, 13]), (30, 24, [38, 41, 35, 40]), (60, 24, [15, 16, 14, 17]))
    ).lateness
    assert [(late.late, late.early, late.verdict) for late in found] == [
        ("10 g/L", "30 g/L", "not behind"),
        ("60 g/L", "30 g/L", "could be late"),
    ]


def test_a_level_that_was_counted_again_as_told_is_not_called_late_once_more() -> None:
    once = ((10, 24, [12, 14, 11, 13]), (30, 24, [38, 41, 35, 40]), (60, 24, [15, 16, 14, 17]))
    again_h = round(result_of(salty(*once)).lateness[1].count_again_h or 0.0)
    *_, again = result_of(salty(*once, (60, again_h, [38, 36, 37, 39]))).lateness
    assert (again.late, again.verdict, again.caught_up) == (
        "60 g/L",
        "caught up",
        ((again_h, 0.75), (24, 0.77)),
    )


@pytest.mark.parametrize(
    ("cold", "warm"),
    [([0, 0, 0, 0], [0, 0, 0, 0]), ([1, 2, 1, 2], [2, 1, 1, 2]), ([40, 44, 41, 43], [44, 41, 43, 42])],
)
def test_where_there_is_no_difference_nothing_is_said_of_lateness(cold: list[int], warm: list[int]) -> None:
    found = result_of(counts(("cold", COLD_C, 24, cold), ("warm", WARM_C, 24, warm)))
    assert (found.lateness, found.lateness_open) == ((), False)
    unknown = result_of(counts(("cold", None, 24, cold), ("warm", None, 24, warm)))
    assert (unknown.lateness, unknown.lateness_open) == ((), False)


@pytest.mark.parametrize(
    ("names", "water_c", "salt", "is_open"),
    [
        (("kalt", "warm"), (None, None), None, True),
        (("18", "26"), (None, None), None, True),
        (("light", "dark"), (None, None), None, True),
        (("light", "dark"), (24.0, 24.0), None, False),
        (("10", "60"), (24.0, 24.0), None, True),
        (("salty", "fresh"), (24.0, 24.0), None, True),
        (("10", "60"), (24.0, 24.0), 25.0, False),
        (("a", "b"), (18.0, 26.0), None, False),  # a verdict says it
    ],
)
def test_lateness_stays_open_where_warmth_or_salt_may_be_the_factor(
    names: tuple[str, str], water_c: tuple[float | None, float | None], salt: float | None, is_open: bool
) -> None:
    for hours in (24.0, None):
        rows = [
            CupCount(level, cup, 50, hatched, hours, warmth, salt)
            for level, warmth, hatched in zip(names, water_c, (7, 39), strict=True)
            for cup in "1234"
        ]
        found = result_of(counts_of(rows))
        if hours is None and water_c[0] != water_c[1]:
            continue
        assert found.lateness_open is is_open
        assert not (found.lateness and found.lateness_open)


# Salt -----------------------------------------------------------------------------------------------------


def salty(*levels: tuple[float, float, list[int]], water_c: float | None = None) -> Counts:
    """Levels by their salt (g in a litre): salt, hours, hatched of 50."""
    return counts_of(
        [
            CupCount(f"{salt:g} g/L", str(number), 50, hatched, hours, water_c, salt)
            for salt, hours, cups in levels
            for number, hatched in enumerate(cups)
        ]
    )


# Literature compilation at 30 °C: 0.18 h (first) to 0.25 h (80 %) later per g/kg. From 10 to 60 g/L, some 47
# g/kg, is 8.5 to 12 h on 12 to 16 h: by three quarters or so.
@pytest.mark.parametrize("water_c", [None, 25.0])
def test_salty_cups_may_only_be_late_too(water_c: float | None) -> None:
    found = only(salty((10, 22, [35, 36, 38]), (60, 22, [9, 12, 8]), water_c=water_c))
    assert found is not None
    assert (found.late, found.early, found.verdict) == ("60 g/L", "10 g/L", "could be late")
    assert found.count_again_h == pytest.approx(22 * 1.82, abs=1.5)


def test_salty_cups_had_time_after_a_week_and_brine_that_lets_none_hatch_is_not_waited_for() -> None:
    found = only(salty((10, 200, [35, 36, 38]), (60, 200, [9, 12, 8])))
    assert found is not None
    assert found.verdict == "had time"
    for salt in (110.0, 300.0):
        strong = only(salty((10, 48, [35, 36]), (salt, 48, [0, 0])))
        assert strong is not None
        assert strong.verdict == "stands still"


def test_what_is_known_of_some_cups_only_counts_for_none() -> None:
    rows = [
        CupCount(level, cup, 50, hatched, 24.0, water_c, salt)
        for level, salt, hatched in (("a", 10.0, 40), ("b", 60.0, 10))
        for cup, water_c in (("1", 18.0), ("2", None))
    ]
    partly = only(counts_of(rows))
    assert partly == only(counts_of([replace(row, water_c=None) for row in rows]))
    assert partly is not None


# Counted at several hours ---------------------------------------------------------------------------------


def test_levels_are_compared_where_they_had_come_equally_far() -> None:
    again = round(24.0 * pace(WARM_C) / pace(COLD_C))
    found = result_of(
        counts(
            ("cold", COLD_C, 24, [3, 1, 2, 2]),
            ("warm", WARM_C, 24, [41, 38, 43, 40]),
            ("cold", COLD_C, again, [40, 37, 42, 41]),
            ("warm", WARM_C, again, [44, 41, 45, 43]),
        ),
        24.0,
    )
    assert found.equal is not None
    assert found.at_equal is not None
    assert dict(found.equal.hours) == {"cold": again, "warm": 24}
    assert [level.share for level in found.at_equal.levels] == [0.8, 0.81]
    assert found.tested.p is not None
    assert found.tested.p < 0.05 < (found.at_equal.tested.p or 0.0)


def test_where_no_counts_were_of_equal_development_none_are_compared() -> None:
    found = result_of(counts(("cold", COLD_C, 24, [3, 1]), ("warm", WARM_C, 24, [41, 38])))
    assert (found.equal, found.at_equal) == (None, None)


@given(st.floats(16.0, 27.0), st.floats(16.0, 27.0), st.floats(10.0, 90.0), st.floats(10.0, 90.0))
def test_equal_development_is_within_fifteen_percent(a_c: float, b_c: float, one: float, two: float) -> None:
    if one == two:
        return
    hours = [(one, a_c, "a"), (two, a_c, "a"), (one, b_c, "b"), (two, b_c, "b")]
    equal = result_of(counts(*((name, water_c, hour, [5, 6]) for hour, water_c, name in hours))).equal
    if equal is not None:
        doses = [hour * pace(a_c if level == "a" else b_c) for level, hour in equal.hours]
        assert max(doses) <= 1.15**2 * min(doses)
        assert len({hour for _, hour in equal.hours}) > 1


def test_levels_each_counted_when_its_hatch_was_over_are_compared() -> None:
    found = result_of(counts(("18 °C", 18.0, 54, [35, 38, 36, 37]), ("26 °C", 26.0, 24, [38, 41, 36, 40])))
    assert found.equal is not None
    assert (dict(found.equal.hours), found.equal.by_hours_alone) == ({"18 °C": 54, "26 °C": 24}, False)
    assert ([level.share for level in found.levels], found.hours) == ([0.73, 0.775], None)
    assert (found.lateness, found.lateness_open) == ((), False)


def test_equal_development_once_counted_is_what_is_compared() -> None:
    rows = [("18", 18.0, 24, [3, 1, 2, 2]), ("26", 26.0, 24, [38, 41, 36, 40])]
    rows += [("18", 18.0, 54, [35, 38, 36, 37]), ("26", 26.0, 54, [48, 49, 50, 50])]
    found = result_of(counts(*rows))
    assert (found.lateness, [level.share for level in found.levels]) == ((), [0.73, 0.775])
    assert [level.share for level in result_of(counts(*rows), 54.0).levels] == [0.73, 0.985]


def test_hours_that_are_nearly_one_hour_are_compared_with_warmth_left_open() -> None:
    rows = [("a", None, 25, [35, 38, 36, 37]), ("b", None, 24, [48, 41, 46, 48])]
    found = result_of(counts(*rows))
    assert found.equal is not None
    assert found.equal.by_hours_alone
    assert found.lateness_open


def test_what_cannot_be_compared_says_what_is_missing() -> None:
    cold, warm = ("18 °C", 18.0, 30, [35, 38]), ("26 °C", 26.0, 24, [38, 41])
    with pytest.raises(
        InputError, match=r"found 18 °C at 30; 26 °C at 24; .*; missing for that: 18 °C at hour 54"
    ):
        result_of(counts(cold, warm))
    with pytest.raises(InputError, match="which takes water_c or salt_g_per_l of every cup"):
        result_of(counts(("a", None, 30, [35, 38]), ("b", None, 24, [38, 41])))


def test_no_cup_is_left_out_for_equal_development() -> None:
    rows = list(counts(("a", 26.0, 24, [35, 38, 3]), ("b", 18.0, 54, [38, 41])).cups)
    rows[2] = replace(rows[2], hours=30.0)
    with pytest.raises(InputError):
        result_of(counts_of(rows))
