"""What an experiment shows: a sentence for children, and one for a report.

They say what was seen, then what follows from it and nothing more. Where chance may have made the difference
they never say that there is none, and where the cups were too few they say so.
"""

from reports.amounts import in_decimals, number
from reports.experiment.figures import (
    OFTEN,
    RARE,
    are_alike,
    are_near,
    chance,
    could_show,
    is_rare,
    most_and_fewest,
    of_hundred,
)
from reports.experiment.findings import ComparedSeen, Findings, LevelSeen, SeenTest
from reports.experiment.lateness import equal_opening, equal_words, may_be_late
from reports.language import say, say_many
from reports.words import clean

# An interval that takes in more than half of all that can be says nothing to a child [P].
_TELLS_LITTLE = 0.5


def for_children(findings: Findings) -> str:
    """What to say to a class; that a level may only be late is part of it.

    Where equal development was counted that is what it says, after what was seen at an hour asked for.
    """
    equal, at_equal = findings.equal, findings.at_equal
    if equal is None or at_equal is None:
        return " ".join([compared_words(findings), *may_be_late(findings)])
    words = [equal_words(equal), compared_words(at_equal)]
    if findings.hours is not None:
        all_at = say("All counted at hour {hour}:", hour=in_decimals(f"{findings.hours:g}"))
        words = [all_at, most_and_fewest(findings), *words]
    return " ".join(words)


def compared_words(compared: ComparedSeen) -> str:
    """What levels side by side show, in a class's words."""
    tested = compared.tested
    if tested.why_none == "one level":
        return f"{_one_level(compared.levels[0])} {why_no_p(tested)}"
    if are_alike(compared) and not is_rare(tested):
        return _alike(compared)
    if tested.why_none == "one cup":
        return f"{most_and_fewest(compared)} {_one_cup_each()}"
    return f"{most_and_fewest(compared)} {_for_children(tested, near=are_near(compared))}"


def _alike(compared: ComparedSeen) -> str:
    """Levels of one share: all may be late where it is none, and more cups might tell them apart."""
    if compared.levels[0].share == 0.0:
        none = say("Nothing hatched yet at any level.")
        return f"{none} {_none_yet()}"
    not_apart = say("So these counts do not tell the levels apart.")
    return f"{most_and_fewest(compared)} {not_apart}"


def _none_yet() -> str:
    return say("Count again later, or test the tin.")


def _one_level(level: LevelSeen) -> str:
    hatched, of = sum(y for y, _ in level.cups), sum(n for _, n in level.cups)
    if len(level.cups) == 1:
        return say(
            "In this one cup {hatched} of {of} cysts hatched. Another cup could differ.",
            hatched=hatched,
            of=of,
        )
    low, high = of_hundred(level.low), of_hundred(level.high)
    if hatched == 0:
        none = say("None of {of} cysts hatched. Of 100 it may well be up to {high}.", of=of, high=high)
        return f"{none} {_none_yet()}"
    if hatched == of:
        return say("All {of} cysts hatched. Of 100 it may well be only {low}.", of=of, low=low)
    seen = say("{hatched} of {of} cysts hatched.", hatched=hatched, of=of)
    if level.high - level.low > _TELLS_LITTLE:
        others = say("These are too few cups to say how many it would be in others.")
    else:
        others = say("Of 100 it may well be anything from {low} to {high}.", low=low, high=high)
    return f"{seen} {others}"


def _one_cup_each() -> str:
    return say(
        "A level with a single cup shows nothing for sure: it may be the level or just that cup."
        " Use two cups or more at every level."
    )


def _for_children(tested: SeenTest, *, near: bool) -> str:
    p = tested.p or 0.0
    if is_rare(tested):
        return say(
            "Chance alone rarely makes cups so different, so we take it that the levels are not all alike."
        )
    if could_show(tested):
        return f"{_by_chance(p)} {_not_known()}"
    if p == tested.smallest_p and not near:
        return say(
            "That looks like a difference, but with so few cups nobody can be sure. Chance alone makes cups"
            " as different as that in about {times} of 100 classes.",
            times=of_hundred(p, RARE),
        )
    few = say("With so few cups nobody can be sure, whatever hatched.")
    return f"{few} {_not_known()}"


def _by_chance(p: float) -> str:
    """How often chance makes such a difference, in words and figures."""
    if p > OFTEN:
        return say(
            "Chance alone often makes cups as different as that: in about {times} of 100 classes.",
            times=of_hundred(p, OFTEN),
        )
    return say(
        "Chance alone makes cups as different as that now and then, in about {times} of 100 classes: not"
        " rarely enough to be sure.",
        times=of_hundred(p, RARE),
    )


def _not_known() -> str:
    return say("So we do not know whether the level matters.")


def for_report(findings: Findings) -> str:
    """The same for a report: shares with intervals, the test and its p, and what may be concluded."""
    equal, at_equal = findings.equal, findings.at_equal
    if equal is None or at_equal is None:
        parts = [*_reported(_at_hour(findings.hours), findings), _concluded(findings.tested)]
    else:
        at_an_hour = [] if findings.hours is None else _reported(_at_hour(findings.hours), findings)
        parts = [*at_an_hour, *_reported(equal_opening(equal), at_equal), _concluded(at_equal.tested)]
    return " ".join(part for part in [*parts, *may_be_late(findings)] if part)


def _reported(opening: str, compared: ComparedSeen) -> list[str]:
    shares = "; ".join(
        say(
            "{level}: {share} ({low} to {high}), {cups}",
            level=clean(level.level),
            share=number(level.share, 2),
            low=number(level.low, 2),
            high=number(level.high, 2),
            cups=say_many("{count} cup", "{count} cups", len(level.cups)),
        )
        for level in compared.levels
    )
    opened = say("{opening}, with its interval (95 %): {shares}.", opening=opening, shares=shares)
    return [opened, _unit(compared), _test_words(compared)]


def _at_hour(hours: float | None) -> str:
    if hours is None:
        return say("Share hatched")
    return say("Share hatched {hours} h after setting", hours=number(hours, 0 if hours.is_integer() else 1))


def _unit(compared: ComparedSeen) -> str:
    if any(len(level.cups) == 1 for level in compared.levels):
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


def _test_words(compared: ComparedSeen) -> str:
    tested = compared.tested
    if tested.p is None or tested.smallest_p is None:
        return ""
    made = {
        "test": named_test(tested),
        "statistic": _statistic(compared),
        "chance": chance(tested.p),
    }
    if tested.degrees is not None:  # of the F test there is a bound only, which it never reaches
        return say("{test}: {statistic}{chance}.", **made)
    return say(
        "{test}: {statistic}{chance}; the smallest these cups could give is {smallest}.",
        **made,
        smallest=chance(tested.smallest_p),
    )


def _statistic(compared: ComparedSeen) -> str:
    tested = compared.tested
    if tested.statistic is None:
        return ""
    if tested.degrees is None:
        return f"H({len(compared.levels) - 1}) = {in_decimals(f'{tested.statistic:.2f}')}, "
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
