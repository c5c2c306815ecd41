"""Shares and chances as people read them, and never rounded across what they decide."""

from collections.abc import Sequence

from reports.amounts import in_decimals
from reports.experiment.findings import ComparedSeen, LevelSeen, SeenTest
from reports.language import say
from reports.words import clean, joined

# The customary border between what chance may well have done and what it rarely does (common practice).
RARE = 0.05
# Above this chance makes as much "often", up to it "now and then" [P].
OFTEN = 0.2
_LEAST_P = 1e-4
# Shares that differ by no more are about as many to a class, where chance often makes as much [P].
_NEAR = 0.05


def is_rare(tested: SeenTest) -> bool:
    """Whether chance alone rarely makes levels differ so much."""
    return tested.p is not None and tested.p <= RARE


def could_show(tested: SeenTest) -> bool:
    """Whether these cups could have shown a difference, however large."""
    return tested.smallest_p is not None and tested.smallest_p <= RARE


def are_alike(compared: ComparedSeen) -> bool:
    """Whether the same share hatched at every level."""
    return len({level.share for level in compared.levels}) == 1


def are_near(compared: ComparedSeen) -> bool:
    """Whether levels hardly differ, in a way that chance often makes: then none is said to have more."""
    shares, p = [level.share for level in compared.levels], compared.tested.p
    return max(shares) - min(shares) <= _NEAR + 1e-9 and (p is None or p > OFTEN)


def chance(p: float) -> str:
    """ "p = 0.028", "p < 0.0001"; with as many digits as it takes to lie on its side of 5 %."""
    if p < _LEAST_P:
        return f"p < {in_decimals('0.0001')}"
    return f"p = {in_decimals(_on_its_side(p))}"


def _on_its_side(p: float) -> str:
    for digits in range(2, 15):
        text = f"{p:.{digits}g}"
        if (float(text) <= RARE) == (p <= RARE):
            return text
    return repr(p)


def of_hundred(share: float, beside: float | None = None) -> str:
    """A share as so many of 100: whole, but with a decimal where it would look like the one beside it.

    And never "0" of some or "100" of fewer.
    """
    others = [other for other in (beside, 0.0, 1.0) if other is not None and other != share]
    for digits in range(6):
        text = _in_hundred(share, digits)
        if text not in [_in_hundred(other, digits) for other in others]:
            break
    return in_decimals(text)


def _in_hundred(share: float, digits: int) -> str:
    """Rounded as the share itself is in a report: 0.805 is 0.81 there, so 81 here."""
    return f"{100.0 * round(share, digits + 2):.{digits}f}"


def most_and_fewest(compared: ComparedSeen) -> str:
    """Where most and where fewest hatched: what was seen, without a judgement."""
    shares = [level.share for level in compared.levels]
    top, bottom = max(shares), min(shares)
    if top == bottom and top in (0.0, 1.0):
        return say("At no level did any hatch.") if top == 0.0 else say("At all levels all cysts hatched.")
    if top == bottom:
        return say("At all levels the same share hatched: {share} of 100.", share=of_hundred(top))
    if are_near(compared) and len(shares) > 2:
        few, many = of_hundred(bottom, top), of_hundred(top, bottom)
        return say("About as many hatched at every level: {few} to {many} of 100.", few=few, many=many)
    seen = {
        "best": _names(compared.levels, top),
        "most": of_hundred(top, bottom),
        "worst": _names(compared.levels, bottom),
        "fewest": of_hundred(bottom, top),
    }
    if are_near(compared):
        return say("About as many hatched at {best} ({most} of 100) as at {worst} ({fewest} of 100).", **seen)
    if len(shares) == 2:
        return say("More hatched at {best} ({most} of 100) than at {worst} ({fewest} of 100).", **seen)
    return say("Most hatched at {best}: {most} of 100. Fewest hatched at {worst}: {fewest} of 100.", **seen)


def _names(levels: Sequence[LevelSeen], share: float) -> str:
    return joined([clean(level.level) for level in levels if level.share == share])
