"""What deeds at a cup say about its hatch, each for what it is worth."""

from math import exp, hypot, isfinite, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from daemon.care.deed import Deed
from daemon.estimates.hatch.observations import Dish, counted, first_seen, judged, noticed
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from tests.kit.station import tray

START = 1_800_316_800  # 2027-01-19 00:00 UTC, a Tuesday
HOUR = 3600
CUP = tray()
Step = tuple[int, str, float | None, dict[str, float | str]]
GRAMS: dict[str, float | str] = {"lot": "spring", "salt_g_per_l": 25.0, "volume_ml": 250.0}


def seen(*steps: Step, hours: int = 40, grams: float = 0.5) -> VesselBelief:
    """A batch at 25 °C in which these deeds were done, at hours after `set`."""
    belief = VesselBelief(CUP, HOUR)
    belief.feed_deed(Deed(START, "cup", "set", grams, GRAMS))
    due = sorted(steps, key=lambda step: step[0])
    for hour in range(hours + 1):
        belief.feed_reading(START + hour * HOUR, "water_c", 25.0)
        while due and due[0][0] == hour:
            _, deed, amount, detail = due.pop(0)
            belief.feed_deed(Deed(START + hour * HOUR, "cup", deed, amount, detail))
    return belief


def found(belief: VesselBelief, quantity: str, hours: int = 40) -> Estimate:
    e = belief.estimates(START + hours * HOUR)[quantity]
    if quantity.startswith("hatch_t"):
        return Estimate(*((q - START) / HOUR for q in (e.p10, e.p50, e.p90)))
    return e


def width(e: Estimate) -> float:
    return e.p90 - e.p10


def test_a_counted_number_set_tells_how_many_can_hatch() -> None:
    # Clopper–Pearson for 81 of 263 by scipy; wider here, since cups scatter (dispersion 1.862, Crowder 1978).
    share = found(seen((40, "count", 81.0, {"of_cysts": 263.0})), "hatchable_share")
    exact = stats.binomtest(81, 263).proportion_ci(0.8)
    assert share.p10 < exact.low
    assert share.p90 > exact.high
    assert width(share) < 2.2 * (exact.high - exact.low)
    assert share.p50 == pytest.approx(81 / 263, abs=0.05)


def test_a_count_while_the_hatch_is_on_leaves_open_whether_more_will_come() -> None:
    early = seen((18, "count", 60.0, {"of_cysts": 200.0}), hours=18)
    late = seen((40, "count", 60.0, {"of_cysts": 200.0}))
    assert found(early, "hatchable_share", 18).p90 > found(late, "hatchable_share").p90 + 0.2


def test_a_count_of_many_says_that_the_hatch_is_on_and_one_of_none_that_it_is_not() -> None:
    blind = found(seen(hours=15), "hatch_t50", 15).p50
    many = seen((15, "count", 150.0, {"of_cysts": 200.0}), hours=15)
    none = seen((15, "count", 0.0, {"of_cysts": 200.0}), hours=15)
    assert found(many, "hatch_t50", 15).p50 < blind - 2.0
    assert found(none, "hatch_t50", 15).p50 > blind + 1.0


def test_counting_by_aliquot_from_grams_says_little_and_from_a_pinch_less() -> None:
    # Handbook: 200 to 300 thousand a gram [R]; a pinch is a third to three times what is told [P].
    def after(grams: float, share: float) -> Estimate:
        animals = grams * 250_000.0 * share * 5.0 / 250.0
        return found(seen((40, "count", animals, {"volume_ml": 5.0}), grams=grams), "hatchable_share")

    prior = found(seen(), "hatchable_share")
    assert after(0.5, 0.2).p50 < 0.4 < after(0.5, 0.9).p50
    assert width(after(0.5, 0.2)) < 0.8 * width(prior)
    assert after(0.05, 0.2).p50 > after(0.5, 0.2).p50


def test_what_is_counted_when_days_have_passed_says_how_many_live() -> None:
    late = seen((120, "count", 5.0, {"of_cysts": 200.0}), hours=120)
    assert found(late, "hatchable_share", 120) == found(seen(hours=120), "hatchable_share", 120)


def test_the_share_learned_in_one_batch_is_where_the_lot_s_next_begins() -> None:
    belief = seen((40, "count", 40.0, {"of_cysts": 200.0}))
    belief.feed_deed(Deed(START + 41 * HOUR, "cup", "set", 0.5, GRAMS))
    following = found(belief, "hatchable_share", 42)
    assert following.p50 == pytest.approx(0.2, abs=0.08)
    assert following.p90 < 0.45


def test_one_who_poured_water_had_half_a_look() -> None:
    swim: Step = (15, "first-swimmer", None, {})
    night, poured, judged_none = (
        found(seen(*steps, hours=15), "hatch_t50", 15)
        for steps in ((swim,), ((13, "top-up", 20.0, {}), swim), ((13, "hatched", 0.0, {}), swim))
    )
    assert night.p10 < poured.p10 < judged_none.p10


def test_first_swimmers_after_a_night_may_be_many() -> None:
    assert first_seen((0.0, 0.8), (1.0,)) > 0.1  # nobody was there before
    assert first_seen((0.5, 0.8), (1.0,)) < 0.01  # somebody was, and half were out
    assert first_seen((0.0, 0.05), (1.0,)) > first_seen((0.0, 0.8), (1.0,))


def test_what_came_out_while_people_were_about_would_have_been_seen() -> None:
    # Two in a hundred were out when people came, and then they came and went for hours, or nobody did.
    assert first_seen((0.0, 0.02, 0.05), (0.2, 1.0)) < 0.6 * first_seen((0.0, 0.02, 0.05), (1.0, 1.0))
    assert first_seen((0.0, 0.0, 0.05), (0.2, 1.0)) == first_seen((0.0, 0.05), (1.0,))


def test_a_look_that_saw_none_is_stronger_than_one_that_saw_few() -> None:
    whole = ((1.0, 1.0),)
    assert judged(0.0, 0.10, whole) / judged(0.0, 0.0, whole) < judged(0.1, 0.2, whole) / judged(
        0.1, 0.1, whole
    )


def test_a_share_told_of_all_cysts_is_thought_of() -> None:
    poor, full = ((0.4, 1.0),), ((1.0, 1.0),)
    assert judged(0.4, 1.0, poor) > 3.0 * judged(0.4, 1.0, full)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_no_look_is_ever_impossible_or_more_than_likely(a: float, b: float, c: float) -> None:
    assert 0.0 < first_seen(sorted((a, b, c)), (0.3, 1.0)) <= 1.01
    assert 0.0 < judged(a, b, ((c, 1.0),)) <= 1.04
    assert 0.0 <= noticed(a) <= 1.0


hostile = st.one_of(st.none(), st.sampled_from([0.0, 1e-9, 1.0, 1e8]), st.floats(0.0, 1e8))


@given(hostile, hostile, hostile, st.floats(0.0, 1000.0), hostile)
@settings(max_examples=200)
def test_a_hostile_count_gives_no_nonsense(
    amount: float | None,
    aliquot_ml: float | None,
    cysts: float | None,
    grams: float,
    volume_ml: float | None,
) -> None:
    told = {"volume_ml": aliquot_ml, "of_cysts": cysts}
    detail = {key: value for key, value in told.items() if value is not None}
    fit = counted(Deed(START, "cup", "count", amount, detail), Dish(grams, volume_ml), HOUR)
    if fit is not None:
        for share in (0.0, 1e-6, 0.3, 1.0):
            assert isfinite(fit(share))
            assert 0.0 < fit(share) <= 1.03


counts = st.builds(
    lambda a, d: ("count", a, {k: v for k, v in d.items() if v is not None}),
    st.one_of(st.just(0.0), st.floats(0.0, 1e8)),
    st.fixed_dictionaries({"volume_ml": st.one_of(st.none(), st.floats(0.0, 500.0)), "of_cysts": hostile}),
)
others = st.sampled_from(
    [
        ("first-swimmer", None, {}),
        ("hatched", 0.0, {}),
        ("hatched", 1.0, {}),
        ("stir", None, {}),
        ("end", None, {}),
    ]
)


@given(st.lists(st.tuples(st.integers(0, 30), st.one_of(counts, others)), max_size=6))
@settings(max_examples=25, deadline=None)
def test_whatever_people_tell_the_numbers_stay_finite_and_in_order(
    some: list[tuple[int, tuple[str, float | None, dict[str, float | str]]]],
) -> None:
    for e in seen(*((hour, *deed) for hour, deed in some), hours=30).estimates(START + 31 * HOUR).values():
        assert isfinite(e.p10)
        assert isfinite(e.p90)
        assert e.p10 <= e.p50 <= e.p90


# By hand ---


# [P]: one or two in a hundred are seen by half of those who look; a factor of e^0.8 more by five in six.
def test_who_looks_sees_swimmers_by_how_many_are_out() -> None:
    assert noticed(0.0) == 0.0
    assert noticed(0.015) == pytest.approx(0.5)
    for share in (0.001, 0.005, 0.05, 0.5):
        assert noticed(share) == pytest.approx(stats.lognorm.cdf(share, 0.8, scale=0.015))


def test_first_swimmers_are_seen_by_who_saw_none_before() -> None:
    alone = stats.lognorm.cdf(0.05, 0.8, scale=0.015)
    still = 0.12 + 0.88 / (1.0 + (0.05 / 0.25) ** 4)
    assert first_seen((0.0, 0.05), (1.0,)) == pytest.approx(0.001 + alone * still)
    # The last look had two in a hundred out, and saw none; whoever poured at three had half a look.
    looked, stood = (stats.lognorm.cdf(share, 0.8, scale=0.015) for share in (0.02, 0.03))
    before = looked + 0.5 * (stood - looked)
    assert first_seen((0.02, 0.03, 0.05), (0.5, 1.0)) == pytest.approx(0.001 + (alone - before) * still)
    assert first_seen((0.02, 0.05), (1.0,)) == pytest.approx(0.001 + (alone - looked) * still)
    assert first_seen((0.02, 0.02), (1.0,)) == 0.001
    # With a quarter out it is half as likely to be called the first, but for who just came.
    assert first_seen((0.0, 0.25), (1.0,)) == pytest.approx(0.001 + noticed(0.25) * (0.12 + 0.44))


def test_a_share_judged_by_eye_is_near_or_of_all_cysts_or_wrong() -> None:
    points = [(0.8, 0.3), (0.5, 0.7)]

    def near(seen: float, share: float) -> float:
        return float(stats.norm.pdf((seen - share) / 0.12) / stats.norm.pdf(0.0))

    for seen, share in ((0.5, 0.5), (0.4, 0.6), (0.9, 0.1)):
        of_all = 0.3 * near(seen, 0.8 * share) + 0.7 * near(seen, 0.5 * share)
        assert judged(seen, share, points) == pytest.approx(0.01 + 0.85 * near(seen, share) + 0.15 * of_all)
    none = 0.85 * near(0.0, 0.1) + 0.15 * (0.3 * near(0.0, 0.08) + 0.7 * near(0.0, 0.05))
    assert judged(0.0, 0.1, points) == pytest.approx(0.01 + none * (1.0 - 0.5 * noticed(0.1)))


def count(animals: float | None, dish: Dish, after_s: int = 0, **detail: float) -> object:
    return counted(Deed(START, "cup", "count", animals, detail), dish, after_s)


def ratio(fit: object, share: float, other: float) -> float:
    return (fit(share) - 0.001) / (fit(other) - 0.001)  # type: ignore[operator]


BARE = Dish(None, None)


# N of M, its logarithm divided by the dispersion of replicate cups, 1.862 (Crowder 1978).
@pytest.mark.parametrize(("animals", "cysts"), [(33.0, 50.0), (0.0, 20.0), (60.0, 50.0)])
def test_so_many_of_so_many_fit_as_a_binomial_with_the_scatter_of_cups(animals: float, cysts: float) -> None:
    fit = count(animals, BARE, of_cysts=cysts)
    out = min(animals, cysts)
    for share, other in ((0.3, 0.6), (0.5, 0.9)):
        apart = stats.binom.logpmf(out, cysts, share) - stats.binom.logpmf(out, cysts, other)
        assert ratio(fit, share, other) == pytest.approx(exp(apart / 1.862))
    best = min(1 - 1e-6, max(1e-6, out / cysts))
    assert fit(best) == pytest.approx(1.001)  # type: ignore[operator]


# From an aliquot: an eighth of the brine holds an eighth of the cysts, to a factor of e^0.35 for mixing and
# the count's own scatter.
def test_an_aliquot_is_its_part_of_the_vessel() -> None:
    fit = count(10.0, Dish(None, 200.0), volume_ml=25.0, of_cysts=160.0)
    sd = (0.35**2 + 1.862 / 10.5) ** 0.5
    for share in (0.2, 0.5, 0.9):
        z = (log(10.5) - log(160 / 8 * share + 0.5)) / sd
        assert fit(share) == pytest.approx(0.001 + exp(-0.5 * z * z))  # type: ignore[operator]
    whole = count(10.0, Dish(None, 200.0), volume_ml=900.0, of_cysts=160.0)
    assert ratio(whole, 0.1, 0.5) > 1.0, "no more than the whole vessel"


# From grams: 250,000 to the gram; weighed to a tenth, or a pinch of a third to three times.
@pytest.mark.parametrize(("grams", "rough"), [(0.19, 0.86), (0.2, 0.1), (2.0, 0.1)])
def test_grams_are_weighed_or_a_pinch(grams: float, rough: float) -> None:
    fit = count(40.0, Dish(grams, 250.0), volume_ml=0.5)
    sd = hypot(hypot(rough, 0.16, 0.35), (1.862 / 40.5) ** 0.5)
    for share in (0.1, 0.6):
        z = (log(40.5) - log(grams * 250_000.0 * 0.002 * share + 0.5)) / sd
        assert fit(share) == pytest.approx(0.001 + exp(-0.5 * z * z))  # type: ignore[operator]


def test_a_count_of_nothing_that_is_known_says_that_there_were_some_or_none() -> None:
    for dish, detail in (
        (BARE, {}),
        (Dish(0.5, 250.0), {}),
        (Dish(None, 250.0), {"volume_ml": 1.0}),
        (BARE, {"of_cysts": 0.5}),
    ):
        some, none = count(3.0, dish, **detail), count(0.0, dish, **detail)
        assert some(0.015) == pytest.approx(0.501)  # type: ignore[operator]
        assert none(0.0) == pytest.approx(1.001)  # type: ignore[operator]


def test_a_count_tells_for_four_days() -> None:
    assert count(3.0, BARE, 4 * 24 * HOUR) is not None
    assert count(3.0, BARE, 4 * 24 * HOUR + 1) is None
    assert count(None, BARE) is None
