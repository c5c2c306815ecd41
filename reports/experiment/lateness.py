"""Whether a level may only be late, and how a share goes with a numbered level."""

import re
from collections.abc import Sequence

from reports.amounts import in_decimals, number
from reports.experiment.figures import of_hundred
from reports.experiment.findings import EqualSeen, Findings, LatenessSeen, SlopeSeen
from reports.language import say
from reports.words import clean, joined

_NUMBER = re.compile(r"^[0-9]+(?:[.,][0-9]+)?")
_MAY_BE_LATE = ("could be late", "still rose")


def beside(findings: Findings) -> list[str]:
    """What stands beside the sentences, a line each."""
    lines = [slope_words(findings.slope, _step(findings))] if findings.slope is not None else []
    if findings.why_no_slope == "bent":
        lines.append(_bent(findings))
    lines += [lateness_words(late) for late in findings.lateness if late.verdict not in _MAY_BE_LATE]
    if findings.lateness_open:
        lines.append(lateness_open())
    return lines


def lateness_open() -> str:
    """That warmth or salt may be the reason, where too little is known of them."""
    return say(
        "A cold or salty cup is late before it is poor. Where cups differed in that, write hours,"
        " water_c and salt_g_per_l into the counts."
    )


def count_again_open() -> str:
    """The same where nothing but hours can be told of the cups."""
    return say(
        "A cold or salty cup is late before it is poor. Where cups may have differed in that, count again"
        " some hours later: then it shows which."
    )


def may_be_late(findings: Findings) -> list[str]:
    """That levels may only be late, where they may: no sentence about them is true without it."""
    return [lateness_words(late) for late in findings.lateness if late.verdict in _MAY_BE_LATE]


def _step(findings: Findings) -> str:
    """One of what the levels are counted in, such as 1 g/L."""
    return f"1 {_NUMBER.sub('', clean(findings.levels[0].level)).strip()}".strip()


def slope_words(slope: SlopeSeen, step: str) -> str:
    """The slope with its interval for each `step` more, and what it is not good for."""
    return say(
        "Slope: the log odds of hatching change by {slope} ({low} to {high}) for each {step} more. That"
        " holds for a straight line only: look at the plot.",
        step=step,
        slope=_signed(slope.per_unit),
        low=_signed(slope.low),
        high=_signed(slope.high),
    )


def why_no_slope(findings: Findings) -> str:
    """Why there is no slope; "" where there is one, and where levels are no doses."""
    match findings.why_no_slope:
        case "bent":
            return _bent(findings)
        case "not shown":
            return say("No slope: it was not shown that the levels are not all alike.")
        case _:
            return ""


def _bent(findings: Findings) -> str:
    shares = [level.share for level in findings.levels]
    if max(shares) > max(shares[0], shares[-1]):
        return say("Most hatched at a level in between: no single slope describes that.")
    return say("Fewest hatched at a level in between: no single slope describes that.")


def _signed(value: float) -> str:
    return in_decimals(f"{value:+.3g}").replace("-", "−")


def lateness_words(seen: LatenessSeen) -> str:
    """Whether lateness may be why a level hatched less."""
    late, early, again = clean(seen.late), clean(seen.early), seen.count_again_h
    match seen.verdict:
        case "not behind":
            return say(
                "{late} was farther on than {early}, and yet fewer hatched: lateness is not the reason.",
                late=late,
                early=early,
            )
        case "caught up":
            return _caught_up(seen)
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


def _caught_up(seen: LatenessSeen) -> str:
    (hour, share), (early_hour, most) = seen.caught_up
    return say(
        "When {late} was as far on as {early} (at hour {hour} and hour {early_hour}), {share} of 100 had"
        " hatched there against {most} of 100.",
        late=clean(seen.late),
        early=clean(seen.early),
        hour=number(hour),
        early_hour=number(early_hour),
        share=of_hundred(share, most),
        most=of_hundred(most, share),
    )


def each_at(hours: Sequence[tuple[str, float]]) -> str:
    """Which level was counted at which hour."""
    taken = [
        say("{level} at hour {hour}", level=clean(level), hour=in_decimals(f"{hour:g}"))
        for level, hour in hours
    ]
    return joined(taken)


def equal_words(equal: EqualSeen) -> str:
    """What stands before the comparison at equal development: which count of which level it takes."""
    taken = each_at(equal.hours)
    if equal.by_hours_alone:
        return say(
            "Each counted at its own hour ({taken}), about equally far on if all were equally warm and"
            " salty:",
            taken=taken,
        )
    return say("Each counted when about equally far on ({taken}):", taken=taken)


def equal_opening(equal: EqualSeen) -> str:
    """The same as the beginning of a report."""
    taken = each_at(equal.hours)
    if equal.by_hours_alone:
        return say("Share hatched, each level at its own hour ({taken})", taken=taken)
    return say("Share hatched at equal development ({taken})", taken=taken)
