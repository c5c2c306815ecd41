"""Quasi-binomial test and slope against statsmodels (extra `glm`), on cups drawn at random."""

import random
from typing import Any

import pytest
from scipy import stats

from daemon.planning.experiment.drawn_cups import drawn_cup
from daemon.science.quasi_binomial import dose_slope, treatments_test

sm: Any = pytest.importorskip(
    "statsmodels.api", reason="statsmodels is not installed (it is in the extra `glm`)"
)


def fitted(shares: list[float], columns: list[list[float]], of: list[int], **how: Any) -> Any:
    """Shares weighted by their cysts: with pairs (hatched, not) its scale leaves the weights out."""
    model = sm.GLM(shares, columns, family=sm.families.Binomial(), var_weights=of)
    return model.fit(tol=1e-13, **how)


@pytest.mark.parametrize("seed", range(20))
def test_f_and_slope_are_those_of_statsmodels(seed: int) -> None:
    chance = random.Random(seed)
    dosed = [
        (dose, drawn_cup(chance, of, share, 2.5), of)
        for dose, share in ((0.0, 0.8), (15.0, 0.7), (35.0, 0.45))
        for of in (chance.randint(20, 90) for _ in range(5))
    ]
    shares, of = [y / n for _, y, n in dosed], [n for _, _, n in dosed]
    doses = sorted({dose for dose, _, _ in dosed})
    full = fitted(shares, [[float(d == each) for each in doses] for d, _, _ in dosed], of, scale="X2")
    none = fitted(shares, [[1.0] for _ in dosed], of)
    scale = max(1.0, full.scale)
    f = (none.deviance - full.deviance) / (len(doses) - 1) / scale
    found = treatments_test([[(y, n) for d, y, n in dosed if d == each] for each in doses])
    assert found.f == pytest.approx(f, rel=1e-8)
    assert found.p == pytest.approx(stats.f.sf(f, len(doses) - 1, full.df_resid), rel=1e-8)
    line = fitted(shares, [[1.0, d] for d, _, _ in dosed], of, scale="X2")
    slope = dose_slope(dosed)
    assert slope is not None
    reach = stats.t.ppf(0.975, line.df_resid) * line.bse[1] * max(1.0, line.scale**-0.5)
    assert slope.per_unit == pytest.approx(line.params[1], rel=1e-7)
    assert (slope.low, slope.high) == pytest.approx(
        (line.params[1] - reach, line.params[1] + reach), rel=1e-6
    )
