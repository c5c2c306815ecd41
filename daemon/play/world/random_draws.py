"""Random draws of the simulated world: a seed and a name give the same ones, in any order of asking."""

import math
import random

from daemon.seconds import HOUR_S


class RandomDraws:
    """A stream of draws of its own, named so that no other part of the world disturbs it."""

    def __init__(self, seed: int, name: str) -> None:
        self._random = random.Random(f"{seed}/{name}")  # noqa: S311 - weather and clumsy hands, no secret

    def uniform(self) -> float:
        """A number from 0 up to 1."""
        return self._random.random()

    def normal(self) -> float:
        """A draw of mean 0 and standard deviation 1 (sum of twelve uniforms; never beyond ±6).

        Twelve uniforms have variance 1. Added one by one: `sum` rounds otherwise from Python 3.12 on, and
        takes half as long again.
        """
        one = self._random.random
        four_and_four = one() + one() + one() + one() + one() + one() + one() + one()
        return four_and_four + one() + one() + one() + one() - 6.0

    def count(self, mean: float) -> int:
        """A Poisson count: by multiplication up to a mean of 50, beyond that by the normal law."""
        if mean > 50:
            return max(0, round(mean + math.sqrt(mean) * self.normal()))
        limit, product, hits = math.exp(-mean), self.uniform(), 0
        while product > limit:
            product *= self.uniform()
            hits += 1
        return hits


class Wander:
    """A value that wanders around 0 with a standard deviation of 1 and a memory of `memory_h` hours."""

    def __init__(self, draws: RandomDraws, memory_h: float) -> None:
        self._draws = draws
        self._memory_s = memory_h * HOUR_S
        self.value = draws.normal()

    def step(self, seconds: float) -> None:
        """Let it wander on for `seconds` (Ornstein–Uhlenbeck, exact in its variance)."""
        keep = 1 - seconds / self._memory_s
        self.value = keep * self.value + math.sqrt(1 - keep * keep) * self._draws.normal()
