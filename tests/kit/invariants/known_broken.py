"""The invariants that the product is known to break, each with the reason: to be emptied, not to grow.

Each is rare: of 150 random histories (seeds from 7000, 870 letters) 23 letters broke one of these, and of
sixty (from 1000) five of 306. The bench marks them as known; a line with 0 in 500 histories can go.
"""

from collections.abc import Iterable, Mapping

KNOWN_BROKEN: dict[str, str] = {}


def unknown(found: Mapping[str, Iterable[object]]) -> dict[str, list[str]]:
    """What was found of the other invariants, in words."""
    return {name: [str(one) for one in of] for name, of in found.items() if name not in KNOWN_BROKEN}
