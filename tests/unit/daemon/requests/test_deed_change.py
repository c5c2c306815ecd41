"""What an entry changed: only what it is about, and only by more than it is rounded to."""

import pytest

from daemon.estimates.horizons import HATCH_HORIZON_S
from daemon.estimates.quantile import Estimate
from daemon.requests.deed_change import deed_change

NOW = 1_800_000_000
HOUR = 3600


def around(middle: float, apart: float) -> Estimate:
    return Estimate(middle - apart, middle, middle + apart)


@pytest.mark.parametrize(
    ("quantity", "deed", "step"),
    [
        ("hatch_t50", "hatched", 1800.0),
        ("loss_ml_per_day", "top-up", 1.0),
        ("loss_ml", "remove", 1.0),
        ("salinity_g_per_kg", "salinity", 0.1),
        ("hatched_fraction", "count", 0.01),
    ],
)
def test_a_change_of_less_than_the_rounding_is_none(quantity: str, deed: str, step: float) -> None:
    before = {quantity: around(0.5, 0.1)}
    for moved, found in ((0.0, []), (0.9 * step, []), (1.2 * step, [quantity])):
        after = {quantity: around(0.5 + moved, 0.1)}
        assert list(deed_change([deed], before, after, NOW)) == found


def test_what_a_deed_is_not_about_is_not_said() -> None:
    before, after = ({"loss_ml": around(ml, 1.0), "hatch_t50": around(NOW, HOUR)} for ml in (5.0, 50.0))
    assert list(deed_change(["remove"], before, after, NOW)) == ["loss_ml"]
    assert (
        deed_change(["hatched"], before, after, NOW)
        == deed_change(["note", "stir", "end"], before, after, NOW)
        == {}
    )
    assert list(deed_change(["note", "harvest"], before, after, NOW)) == ["loss_ml"]


def test_an_hour_later_than_can_be_told_is_none_and_so_is_what_was_not_believed() -> None:
    after = {"hatch_t50": Estimate(NOW + HOUR, NOW + 2 * HOUR, NOW + HATCH_HORIZON_S)}
    (change,) = deed_change(["set"], {}, after, NOW).values()
    assert change == {"before": None, "after": {"p10": NOW + HOUR, "p50": NOW + 2 * HOUR, "p90": None}}
    nearer = {"hatch_t50": Estimate(NOW + HOUR, NOW + 2 * HOUR, NOW + 3 * HOUR)}
    assert list(deed_change(["hatched"], after, nearer, NOW)) == ["hatch_t50"]
    assert deed_change(["hatched"], after, after, NOW) == {}
    assert deed_change(["end"], after, {}, NOW) == {}
