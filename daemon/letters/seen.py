"""What people saw of a batch, by their own entries, and whether its animals are due a feed."""

from collections.abc import Sequence

from daemon.care.deed import Deed
from daemon.science.growth import FIRST_FEED_DAY
from daemon.seconds import DAY_S

# Common practice (handbook, Feeding): once or twice a week; first about day three or four.
_FEEDS_APART_S = round(3.5 * DAY_S)
_SOME = 0.01  # of the cysts that will hatch, where only swimmers were seen


def tells_of_hatch(deed: Deed) -> bool:
    """Whether a deed says that animals were seen."""
    return deed.deed in ("first-swimmer", "harvest") or (
        deed.deed in ("hatched", "count") and (deed.amount or 0.0) > 0.0
    )


def seen_share(deeds: Sequence[Deed]) -> float | None:
    """The share that somebody last saw hatched, by the deeds of a batch; any swimmer is some. None where
    nobody looked."""
    share = None
    for deed in deeds:
        if deed.deed == "hatched":
            share = deed.amount
        elif tells_of_hatch(deed):
            share = max(share or 0.0, _SOME)
    return share


def animals_seen(deeds: Sequence[Deed]) -> bool:
    """Whether animals were seen, or fed, and no later look found none."""
    seen = False
    for deed in deeds:
        if deed.deed == "feed" or tells_of_hatch(deed):
            seen = True
        elif deed.deed in ("hatched", "count"):
            seen = False
    return seen


def may_be_fed(set_at: int, eats_from: float, deeds: Sequence[Deed], at: int) -> bool:
    """Whether the animals of a batch surely eat from `eats_from` on (Unix s), and were not fed lately."""
    if at < set_at + FIRST_FEED_DAY * DAY_S or eats_from > at:
        return False
    fed = [deed.at for deed in deeds if deed.deed == "feed"]
    return not fed or at - max(fed) >= _FEEDS_APART_S
