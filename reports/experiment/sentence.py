"""What an experiment shows: a sentence for children, and one for a report.

They say what was seen, then what follows from it and nothing more. Where chance may have made the difference
they never say that there is none, and where the cups were too few they say so.
"""

from reports.amounts import in_decimals, number
from reports.experiment.figures import chance, could_show, is_rare, most_and_fewest, of_hundred
from reports.experiment.findings import ComparedSeen, Findings, LevelSeen, SeenTest
from reports.experiment.lateness import may_be_late
from reports.language import say, say_many
from reports.words import clean


def for_children(findings: Findings) -> str:
    """What to say to a class; that a level may only be late is part of it."""
    return " ".join([compared_words(findings), *may_be_late(findings)])


def compared_words(compared: ComparedSeen) -> str:
    """What levels side by side show, in a class's words."""
    match compared.tested.why_none:
        case "one level":
            return _one_level(compared.levels[0])
        case "one cup":
            return f"{most_and_fewest(compared)} {_one_cup_each()}"
    return f"{most_and_fewest(compared)} {_for_children(compared.tested)}"


def _one_level(level: LevelSeen) -> str:
    hatched, of = sum(y for y, _ in level.cups), sum(n for _, n in level.cups)
    if len(level.cups) == 1:
        return say(
            "In this one cup {hatched} of {of} cysts hatched. Another cup could differ.",
            hatched=hatched,
            of=of,
        )
    return say(
        "Of 100 cysts about {share} hatched. It may well be anything from {low} to {high}.",
        share=of_hundred(level.share),
        low=of_hundred(level.low),
        high=of_hundred(level.high),
    )


def _one_cup_each() -> str:
    return say(
        "A level with a single cup shows nothing for sure: it may be the level or just that cup."
        " Use two cups or more at every level."
    )


def _for_children(tested: SeenTest) -> str:
    if is_rare(tested):
        return say(
            "Chance alone rarely makes cups so different, so we take it that the levels are not all alike."
        )
    if could_show(tested):
        return say(
            "Chance alone often makes cups as different as that. So we do not know whether the level matters."
        )
    return say(
        "These cups could not have shown a difference, however large: there are too few."
        " So we do not know whether the level matters."
    )


def for_report(findings: Findings) -> str:
    """The same for a report: shares with intervals, the test and its p, and what may be concluded."""
    shares = "; ".join(
        say(
            "{level}: {share} ({low} to {high}), {cups}",
            level=clean(level.level),
            share=number(level.share, 2),
            low=number(level.low, 2),
            high=number(level.high, 2),
            cups=say_many("{count} cup", "{count} cups", len(level.cups)),
        )
        for level in findings.levels
    )
    parts = [_opening(findings, shares), _unit(findings), _test_words(findings), _concluded(findings.tested)]
    return " ".join(part for part in [*parts, *may_be_late(findings)] if part)


def _opening(findings: Findings, shares: str) -> str:
    if findings.hours is None:
        return say("Share hatched, with its interval (95 %): {shares}.", shares=shares)
    hours = number(findings.hours, 0 if findings.hours.is_integer() else 1)
    return say(
        "Share hatched {hours} h after setting, with its interval (95 %): {shares}.",
        hours=hours,
        shares=shares,
    )


def _unit(findings: Findings) -> str:
    if any(len(level.cups) == 1 for level in findings.levels):
        return say("The interval of a single cup is of that cup alone.")
    return say("The cup is the unit.")


def named_test(tested: SeenTest) -> str:
    """The test in words; "" for none."""
    match tested.test:
        case "Fisher exact":
            return say("Fisher's exact test")
        case "Kruskal-Wallis exact":
            return say("Kruskal–Wallis rank test, exact")
        case "Kruskal-Wallis by drawn dealings":
            return say("Kruskal–Wallis rank test, by 9,999 dealings drawn at random")
        case "quasi-binomial F":
            return say("quasi-binomial F test")
        case _:
            return ""


def _test_words(findings: Findings) -> str:
    tested = findings.tested
    if tested.p is None or tested.smallest_p is None:
        return ""
    return say(
        "{test}: {statistic}{chance}; the smallest these cups could give is {smallest}.",
        test=named_test(tested),
        statistic=_statistic(findings),
        chance=chance(tested.p),
        smallest=chance(tested.smallest_p),
    )


def _statistic(findings: Findings) -> str:
    tested = findings.tested
    if tested.statistic is None:
        return ""
    if tested.degrees is None:
        return f"H({len(findings.levels) - 1}) = {in_decimals(f'{tested.statistic:.2f}')}, "
    between, inside = tested.degrees
    return f"F({between}, {inside}) = {in_decimals(f'{tested.statistic:.2f}')}, "


def why_no_p(tested: SeenTest) -> str:
    """Why there is no p; "" where there is one."""
    match tested.why_none:
        case "one level":
            return say("There is no other level to compare with.")
        case "one cup":
            return say(
                "No p: with one cup at a level its effect cannot be separated from that cup (Hurlbert 1984,"
                " pseudoreplication)."
            )
        case _:
            return ""


def _concluded(tested: SeenTest) -> str:
    if why := why_no_p(tested):
        return why
    if is_rare(tested):
        return say("At 5 % the levels are not all alike.")
    if could_show(tested):
        return say("No difference was shown at 5 %, which does not show that there is none.")
    return say("At 5 % this design could not have shown any difference: there are too few cups.")
