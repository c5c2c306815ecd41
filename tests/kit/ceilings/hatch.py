"""What could be known of a hatch at best: every lot of the simulated world, weighed by what was told.

Test-only.
It is given what no program can have: how lots are drawn, the law of each, the water's true temperature and
salt, past and to come, and when somebody looked and noted nothing. It does not know the lot, nor how this
hatch of it differs from others.
"""

from math import erf

import numpy as np

from daemon.estimates.quantile import Estimate
from tests.kit.ceilings.lived import Lived, Numbers, live
from tests.kit.other_physics import DAY, SYNCHRONIES_H, _shape
from tests.kit.weekends import ASKED, HOUR, Played, story_of_first_only

LOTS = 2000
STEP_S = 1800
DAYS = 16  # by then a hatch is over, or the water is too cold for any


class Lots:
    """So many lots, as `Lot` draws them; `batch` is how one hatch's time differs, as `People._set` has it."""

    def __init__(self) -> None:
        rng = self._rng = np.random.default_rng(11)
        self.t50_h = np.exp(rng.normal(np.log(18.5), 0.27, LOTS))
        shapes = {(s, kind): _shape(s / 18.5, kind) for s in SYNCHRONIES_H for kind in (True, False)}
        self._weibull = rng.random(LOTS) < 0.5
        drawn = rng.choice(SYNCHRONIES_H, LOTS)
        self._shape = np.array([shapes[s, bool(w)] for s, w in zip(drawn, self._weibull, strict=True)])
        self._base_c = rng.uniform(9.0, 12.3, LOTS)
        self._q10 = np.where(rng.random(LOTS) < 0.3, rng.uniform(2.6, 2.9, LOTS), 0.0)
        self._best_c = rng.uniform(26.5, 29.0, LOTS)
        self._delay = rng.uniform(0.010, 0.017, LOTS)

    def batch(self) -> Numbers:
        """How far one hatch of each lot differs from the lot."""
        return np.exp(self._rng.normal(0.0, 0.06, LOTS))

    def doses(self, water_c: Numbers, salinity: Numbers) -> Numbers:
        """The dose of every lot (columns) at the end of every step (rows), h at 25 °C."""
        water, salt = water_c[:, None], salinity[:, None]
        warm = np.minimum(water, self._best_c)
        straight = (warm - self._base_c) / (25.0 - self._base_c)
        by_ten = np.exp(np.log(np.maximum(1.0, self._q10)) * (warm - 25.0) / 10.0)
        pace = np.where(self._q10 > 0.0, by_ten, straight) / np.maximum(
            0.5, 1.0 + self._delay * (salt - 25.0)
        )
        pace[(water <= self._base_c) | (water > 33.0)] = 0.0
        return np.asarray(np.cumsum(pace, axis=0) * (STEP_S / HOUR))

    def share(self, doses_of_t50: Numbers) -> Numbers:
        """The share hatched of every lot."""
        grown = np.maximum(0.0, doses_of_t50) ** self._shape
        return np.asarray(np.where(self._weibull, 1.0 - 0.5**grown, grown / (1.0 + grown)))

    def dose_at(self, share: float) -> Numbers:
        """The dose at which so many have hatched, in doses that half of them need."""
        grown = np.where(self._weibull, np.log2(1.0 / (1.0 - share)), share / (1.0 - share))
        return np.asarray(grown ** (1.0 / self._shape))


class Hatch:
    """One hatch of every lot in a water that is known."""

    def __init__(self, lots: Lots, lived: Lived, set_at: int) -> None:
        first = int((set_at - lived.times[0]) // 600) + 1
        last = min(len(lived.times) - (len(lived.times) - first) % 3, first + DAYS * 144)
        mean = [a[first:last].reshape(-1, 3).mean(axis=1) for a in (lived.water_c, lived.salinity_g_per_kg)]
        self._lots, self._set_at, self._t50_h = lots, set_at, lots.t50_h * lots.batch()
        self._doses = lots.doses(*mean)

    def share(self, at: int) -> Numbers:
        """The share hatched by then."""
        steps = (at - self._set_at) / STEP_S
        row, part = int(steps), steps - int(steps)
        before = self._doses[row - 1] if row else np.zeros(LOTS)
        dose = before + part * (self._doses[min(row, len(self._doses) - 1)] - before)
        return self._lots.share(dose / self._t50_h)

    def hatched_at(self, share: float) -> Numbers:
        """When so many of each lot have hatched, Unix s."""
        wanted = self._t50_h * self._lots.dose_at(share)
        row = np.sum(self._doses < wanted, axis=0)
        late = np.minimum(row, len(self._doses) - 1)
        after = np.take_along_axis(self._doses, late[None], 0)[0]
        before = np.where(late > 0, np.take_along_axis(self._doses, np.maximum(0, late - 1)[None], 0)[0], 0.0)
        part = np.clip((wanted - before) / np.maximum(1e-9, after - before), 0.0, 1.0)
        return np.asarray(self._set_at + STEP_S * (late + part))


def weighed(values: Numbers, weight: Numbers) -> Estimate:
    """The 10, 50 and 90 % of weighed values."""
    places = np.argsort(values)
    total = np.cumsum(weight[places])
    found = [values[places[np.searchsorted(total, share * total[-1])]] for share in (0.1, 0.5, 0.9)]
    return Estimate(*map(float, found))


def best(lived: Lived, lots: Lots) -> dict[int, dict[str, Estimate]]:
    """What is believed of the last hatch of a weekend of `played`, by the moment asked."""
    set_at = max(act.at for act in lived.acts if act.what == "set")
    hatch = Hatch(lots, lived, set_at)
    times = {f"hatch_t{round(100 * share)}": hatch.hatched_at(share) for share in (0.1, 0.5, 0.9)}
    looks = [act.at for act in lived.acts if act.what == "look"]
    found = {}
    for at in ASKED:
        weight = _fit(hatch, lived, [look for look in looks if look <= at])
        found[at] = {name: weighed(values, weight) for name, values in times.items()}
    return found


def _fit(hatch: Hatch, lived: Lived, looks: list[int]) -> Numbers:
    """How likely each lot is by what was told of looks: see `People._look`."""
    weight, first_seen = np.ones(LOTS), False
    for at in looks:
        share = hatch.share(at)
        counted, first = lived.told("hatched", at), lived.told("first-swimmer", at)
        if counted is not None:
            amount = counted.amount or 0.0
            low = -np.inf if amount <= 0.0 else amount - 0.05
            high = np.inf if amount >= 1.0 else amount + 0.05
            fit = np.where(share >= (0.02 if first_seen else 0.2), _between(low, high, share), 0.0)
        elif first is not None:
            fit, first_seen = np.where((share >= 0.02) & (share < 0.2), 1.0, 0.0), True
        else:
            fit = np.where(share < 0.02, 1.0, 0.0) if not first_seen else np.ones(LOTS)
        weight = weight * fit
    return weight if weight.sum() > 0.0 else np.ones(LOTS)


def _between(low: float, high: float, share: Numbers) -> Numbers:
    steps = np.linspace(0.0, 1.0, 101)
    table = [0.5 * (erf((high - s) / 0.1414213562) - erf((low - s) / 0.1414213562)) for s in steps]
    return np.interp(share, steps, table)


def best_second(seed: int, lots: Lots) -> Estimate | None:
    """T50 of the second batch of `two_batches_first_only`; None where nobody noted the first one's."""
    told = story_of_first_only(seed)
    week = Played(seed, told.acts, told.began, told.fills, room_probe=(), only_first=True)
    asked = told.began + 7 * DAY + round((told.set_h + 1.5) * HOUR)
    lived = live(week, told.acts, asked, told.began + (7 + DAYS) * DAY)
    noted = next((deed.at for deed in lived.ear.deeds if deed.deed == "first-swimmer"), None)
    if noted is None:
        return None
    first = Hatch(lots, lived, told.began + told.set_h * HOUR)
    seen = first.share(noted)
    weight = np.where(seen < 0.02, 0.0, np.where(seen < 0.25, 1.0, 0.25))
    looks = sorted(act.at for act in told.acts if act.what == "look" and act.at < noted)
    if looks:
        weight = weight * (first.share(looks[-1]) < 0.02)
    second = Hatch(lots, lived, told.began + 7 * DAY + told.set_h * HOUR)
    return weighed(second.hatched_at(0.5), weight if weight.sum() > 0.0 else np.ones(LOTS))
