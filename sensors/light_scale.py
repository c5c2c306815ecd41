"""What turns a light probe's share of full scale into 0 (lamp off) to 1 (lamp on).

The share depends on divider, cup and place, so it is read once with the lamp off and once with it on. A
divider may be wired either way round: more light may read lower.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from sensors.errors import KeyFault

# 20 of an MCP3008's 1023 counts. Closer together, a few counts of noise would switch the lamp on and off in
# every letter (judgement, no source).
LEAST_SPAN = 0.02


@dataclass(frozen=True, slots=True)
class LightScale:
    """Two raw shares of full scale (0–1): with the lamp off and on. Left alone, a share stays as it is."""

    dark: float = 0.0
    lit: float = 1.0

    def fraction(self, raw: float) -> float:
        """A raw share on the scale, 0 to 1: darker than `dark` is 0, brighter than `lit` is 1.

        What no device can mean (outside 0 to 1, NaN) is handed back as it is, to be judged as such.
        """
        if not 0.0 <= raw <= 1.0:
            return raw
        return min(1.0, max(0.0, (raw - self.dark) / (self.lit - self.dark)))


def scale_fault(keys: Mapping[str, object]) -> KeyFault | None:
    """What is wrong with `dark` and `lit` together, each a number or not given; None when nothing is."""
    dark, lit = keys.get("dark"), keys.get("lit")
    if dark is None and lit is None:
        return None
    if not isinstance(dark, int | float) or not isinstance(lit, int | float):
        missing, given = ("lit", "dark") if lit is None else ("dark", "lit")
        return KeyFault(missing, keys.get(missing), f"a number, as {given} is told too")
    if round(abs(lit - dark), 9) < LEAST_SPAN:
        return KeyFault("lit", lit, f"at least {LEAST_SPAN:g} above or below dark ({dark:g})")
    return None
