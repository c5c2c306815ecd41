"""What could be known of the coldest water at best: learned from thousands of other weekends. Test-only.

Nobody can write down what the simulated rooms' weather and heating come to, but it can be learned: a small
network (two hidden layers, pinball loss of p10, p50 and p90) sees what the probe read until the moment asked,
and the lamp's hours. What it learned it learned from rooms of the very world that it is judged in, which no
program can. It may err where those were few, so it says what can be known at the least, not at the most.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from daemon.estimates.quantile import Estimate
from tests.kit.ceilings.lived import Ear, Numbers
from tests.kit.other_physics import DAY, HOUR, MONDAY

LEVELS = np.array((0.1, 0.5, 0.9))
BACK_H = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 18, 21, 24, 27, 30, 36, 42, 48, 60, 72, 96, 120, 144, 168)
NIGHTS = 8
LAMPS = ((0.0, 24.0), (18.0, 31.0), (7.0, 18.0), (0.0, 0.0))
HIDDEN, NETS, EPOCHS, BATCH, RATE, DECAY = 32, 3, 60, 64, 3e-3, 3e-3


def seen(ear: Ear, at: int, until: int, lamp_h: tuple[float, float]) -> list[float]:
    """What the probe said until `at`, as numbers; the first is the water then, °C, the rest beside it."""
    times = np.array([t for t, _ in ear.water if t <= at])
    water = np.array([w for _, w in ear.water[: len(times)]])
    now_c = float(water[-3:].mean())
    hours = np.arange(8 * 24 + 1)
    # By the hour back from now; what was not seen yet is as the first that was.
    back = np.interp(at - hours * HOUR, times, water)
    found = [now_c] + [back[h] - now_c for h in BACK_H]
    for day in range(1, NIGHTS):
        span = back[day * 24 - min(16, 24) : day * 24 + 1]
        found += [span.min() - now_c, span.max() - now_c]
    week = back[max(0, 168 - (until - at) // HOUR) : 169]
    found += [week.min() - now_c, week.mean() - now_c]
    clock = 2.0 * np.pi * (at % DAY) / DAY
    found += [np.sin(clock), np.cos(clock), np.sin(2.0 * clock), np.cos(2.0 * clock)]
    found += [1.0 if lamp == lamp_h else 0.0 for lamp in LAMPS]
    found += [1.0 if (at - MONDAY) // DAY % 7 == day else 0.0 for day in range(7)]
    found.append(min(8.0, (at - int(times[0])) / DAY))
    return [float(value) for value in found]


class Learned:
    """Learned from rows of what was seen and the coldest that came; `weights` say how often each happens."""

    def __init__(
        self,
        rows: Sequence[Sequence[float]],
        coldest_c: Sequence[float],
        weights: Sequence[float] | None = None,
    ) -> None:
        x, y = np.array(rows), np.array(coldest_c)
        self._mean, self._sd = x.mean(axis=0), x.std(axis=0) + 1e-6
        given = np.ones(len(y)) if weights is None else np.array(weights)
        off = y - x[:, 0]
        self._scale = float(off.std())
        self._nets = [
            _Net((x - self._mean) / self._sd, off / self._scale, given / given.mean(), seed)
            for seed in range(NETS)
        ]

    def says(self, rows: Sequence[Sequence[float]]) -> list[Estimate]:
        """The coldest, °C, for each row of what was seen."""
        x = np.array(rows)
        told = sum(net.says((x - self._mean) / self._sd)[1] for net in self._nets) / len(self._nets)
        return [Estimate(*map(float, row)) for row in x[:, :1] + self._scale * told]


class _Net:
    def __init__(self, x: Numbers, y: Numbers, weight: Numbers, seed: int) -> None:
        rng = np.random.default_rng(seed)
        wide = (x.shape[1], HIDDEN, HIDDEN, 3)
        pairs = list(pairwise(wide))
        self._w = [rng.normal(0.0, 1.0 / np.sqrt(a), (a, b)) for a, b in pairs]
        self._b = [np.zeros(b) for b in wide[1:]]
        moments = [(np.zeros_like(p), np.zeros_like(p)) for p in (*self._w, *self._b)]
        step, last = 0, EPOCHS * (len(y) // BATCH)
        for _ in range(EPOCHS):
            for part in np.array_split(rng.permutation(len(y)), len(y) // BATCH):
                step += 1
                rate = RATE * 0.5 * (1.0 + np.cos(np.pi * step / last))
                slopes = self._slopes(x[part], y[part], weight[part])
                for p, g, (m, v) in zip((*self._w, *self._b), slopes, moments, strict=True):
                    m += 0.1 * (g - m)
                    v += 0.001 * (g * g - v)
                    moved = m / (1.0 - 0.9**step) / (np.sqrt(v / (1.0 - 0.999**step)) + 1e-8)
                    p -= rate * (moved + (DECAY * p if p.ndim == 2 else 0.0))

    def says(self, x: Numbers) -> tuple[list[Numbers], Numbers]:
        """The layers' values, and the three quantiles."""
        layers = [x]
        for w, b in zip(self._w[:-1], self._b[:-1], strict=True):
            layers.append(np.tanh(layers[-1] @ w + b))
        raw = layers[-1] @ self._w[-1] + self._b[-1]
        apart = np.logaddexp(0.0, raw[:, 1:])
        middle = raw[:, :1]
        layers.append(raw)
        return layers, np.hstack((middle - apart[:, :1], middle, middle + apart[:, 1:]))

    def _slopes(self, x: Numbers, y: Numbers, weight: Numbers) -> list[Numbers]:
        layers, told = self.says(x)
        raw = layers.pop()
        by_told = np.where(y[:, None] < told, 1.0 - LEVELS, -LEVELS) * weight[:, None] / len(y)
        logistic = 1.0 / (1.0 + np.exp(-raw[:, 1:]))
        to_low, to_high = -by_told[:, 0] * logistic[:, 0], by_told[:, 2] * logistic[:, 1]
        slope = np.column_stack((by_told.sum(axis=1), to_low, to_high))
        by_w, by_b = [], []
        for place in range(len(self._w) - 1, -1, -1):
            by_w.append(layers[place].T @ slope)
            by_b.append(slope.sum(axis=0))
            if place:
                slope = (slope @ self._w[place].T) * (1.0 - layers[place] ** 2)
        return [*reversed(by_w), *reversed(by_b)]
