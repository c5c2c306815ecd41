"""Whether a level may only be late, and how a share goes with a numbered level."""

from collections.abc import Sequence

from reports.amounts import in_decimals, number
from reports.experiment.findings import Findings, LatenessSeen, SlopeSeen
from reports.language import say
from reports.words import clean, joined

_MAY_BE_LATE = ("could be late", "still rose")


def beside(findings: Findings) -> list[str]:
    """What stands beside the sentences, a line each."""
    lines = []
    if findings.slope is not None:
        shares = [level.share for level in findings.levels]
        lines.append(slope_words(findings.slope, bent=max(shares) > max(shares[0], shares[-1])))
    if findings.lateness is not None:
        lines += [] if may_be_late(findings) else [lateness_words(findings.lateness)]
    elif findings.hours is None and len(findings.levels) > 1:
        lines.append(
            say(
                "A cold or salty cup is late before it is poor. Where cups differed in that, write hours,"
                " water_c and salt_g_per_l into the counts."
            )
        )
    return lines


def may_be_late(findings: Findings) -> list[str]:
    """That a level may only be late, where it may: no sentence about the levels is true without it."""
    late = findings.lateness
    return [lateness_words(late)] if late is not None and late.verdict in _MAY_BE_LATE else []


def slope_words(slope: SlopeSeen, *, bent: bool) -> str:
    """The slope with its interval, and what it is not good for; `bent` where most hatched in between."""
    if bent:
        return say("Most hatched at a level in between: no single slope describes that.")
    return say(
        "Slope: the log odds of hatching change by {slope} ({low} to {high}) a unit. That holds for a"
        " straight line only: look at the plot.",
        slope=_signed(slope.per_unit),
        low=_signed(slope.low),
        high=_signed(slope.high),
    )


def _signed(value: float) -> str:
    return in_decimals(f"{value:+.3g}").replace("-", "−")


def lateness_words(seen: LatenessSeen) -> str:
    """Whether lateness may be why a level hatched less."""
    late, early, again = clean(seen.late), clean(seen.early), seen.count_again_h
    match seen.verdict:
        case "not behind":
            return say(
                "{late} was less far on than {early}, and yet no fewer hatched: lateness is not the reason.",
                late=late,
                early=early,
            )
        case "had time":
            return say("{late} had time enough even for slow cysts: lateness is not the reason.", late=late)
        case "could be late":
            return say(
                "{late} may only be late. Count it again at hour {hour} after setting: then it is as far as"
                " {early} is now.",
                late=late,
                early=early,
                hour=number(again or 0.0),
            )
        case "more than late":
            return say("At {late} fewer hatched than lateness alone explains.", late=late)
        case "stands still":
            return say("At {late} cysts hardly hatch, however long one waits.", late=late)
        case "still rose":
            return say(
                "{late} still rose since the count before: it may only be late. Count again.", late=late
            )
        case "at rest":
            return say("{late} hardly rose since the count before: it is hardly late.", late=late)
        case _:
            return say("Whether {late} is only late is not known: count again some hours later.", late=late)


def equal_words(hours: Sequence[tuple[str, float]]) -> str:
    """What stands before the comparison at equal development: which count of which level it takes."""
    taken = [say("{level} at hour {hour}", level=clean(level), hour=number(hour)) for level, hour in hours]
    return say("At equal development ({taken}):", taken=joined(taken))
