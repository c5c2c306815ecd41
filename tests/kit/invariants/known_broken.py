"""The invariants that the product is known to break, each with the reason: to be emptied, not to grow.

A long test holds that each of them is still broken, so that a line goes with its fault.
"""

from collections.abc import Iterable, Mapping

KNOWN_BROKEN: dict[str, str] = {}


def unknown(found: Mapping[str, Iterable[object]]) -> dict[str, list[str]]:
    """What was found of the other invariants, in words."""
    return {name: [str(one) for one in of] for name, of in found.items() if name not in KNOWN_BROKEN}
