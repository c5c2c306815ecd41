"""Which difference some cups would show: the smallest that their test finds in 8 of 10 experiments."""

from daemon.planning.experiment.power import (
    DISPERSION,
    MOST_CYSTS,
    PlayedDesign,
    finds_enough,
)

# What hatches at the best level where nobody says: a tin that is worth an experiment [P].
USUAL_SHARE = 0.8


def usual_dispersion(of: int) -> float:
    """How much cups of so many cysts are taken to differ: one animal hatches or not, of few less is over."""
    return min(DISPERSION, max(1.0, of / 2.0))


def least_noticed(levels: int, cups: int, of: int, share: float = USUAL_SHARE) -> float | None:
    """The smallest difference, in hundredths, that so many cups a level with so many cysts show in 8 of 10
    experiments; None where they show none, however large.

    Of more than a thousand cysts a cup as of a thousand: cups differ by more than that.
    """
    of = min(of, MOST_CYSTS)

    def shows(hundredths: int) -> bool:
        return finds_enough(PlayedDesign(levels, cups, of, share, hundredths / 100.0, usual_dispersion(of)))

    low, high = 0, round(100.0 * share)
    if cups < 2 or not shows(high):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if shows(middle) else (middle, high)
    return high / 100.0
