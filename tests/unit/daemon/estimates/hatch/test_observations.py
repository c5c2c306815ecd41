"""What deeds at a cup say about its hatch, each for what it is worth."""

from math import isfinite

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
    assert first_seen(0.8, 0.0, 0.0) > 0.1  # nobody was there before
    assert first_seen(0.8, 0.5, 0.5) < 0.01  # somebody was, and half were out
    assert first_seen(0.05, 0.0, 0.0) > first_seen(0.8, 0.0, 0.0)


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
    assert 0.0 < first_seen(a, b, c) <= 1.01
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
