"""The swing letter: water that swings between cold and warm within a day."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.blocks import Action, Block, Body, paragraphs
from reports.letters.heaters import (
    HEATER_SWITCHES,
    heated,
    idle_heaters,
    switches_besides,
    unheated,
    whom_to_ask,
)
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    action,
    ending,
    mains,
    name,
    names,
    nobody_must_come,
    place,
    swimmers_best,
)
from reports.letters.stages import animals, hatches, left_over, lives, over_lines
from reports.letters.vessel_kinds import them
from reports.records import LetterText, Setting

_SWINGS = to_say("Sun by day and cold glass by night make water swing like that.")


@dataclass(frozen=True, slots=True)
class SwingTrouble:
    """Water that was too cold and too warm within a day for animals to bear well; `limit_k` is the limit,
    `stage` one of `reports.letters.stages`; `has_heater`: a heater should hold it."""

    vessel: str
    count: int
    lowest_c: float
    lowest_at: datetime
    highest_c: float
    highest_at: datetime
    limit_k: float
    stage: str
    vessel_kind: str
    has_heater: bool = False


@in_its_language
def swing_letter(setting: Setting, troubles: Sequence[SwingTrouble]) -> LetterText:
    """Water that was much colder and much warmer within a day; `troubles` holds at least one."""
    widest = max(troubles, key=lambda trouble: trouble.highest_c - trouble.lowest_c)
    ends = [amounts.temperature(value, setting.unit, 0) for value in (widest.lowest_c, widest.highest_c)]
    body = replace(
        _for_life(setting, troubles) if lives(troubles) else _for_none(setting, troubles),
        known=known([Known(name(one), _facts(setting, one)) for one in troubles], say("Vessel")),
        ending=ending(setting),
    )
    lead = say(
        "The water in {names} swings too much: from {low} to {high} within a day.",
        names=names(troubles),
        low=ends[0],
        high=ends[1],
    )
    subject_line = subject(
        say("Swing: {low} to {high}", low=ends[0], high=ends[1]), place(troubles), setting.station
    )
    return letter("swing", subject_line, lead, body, setting)


def _for_life(setting: Setting, troubles: Sequence[SwingTrouble]) -> Body:
    """What helps, and what it means for what is still to hatch, and for animals, where there are any."""
    moved, heaters = unheated(troubles), switches_besides(troubles)
    helps = (
        say(
            "move {them}, gently, away from the window. Choose a place as warm by night as by day.",
            them=them(moved),
        )
        if moved
        else say(HEATER_SWITCHES)
    )
    return Body(
        action(setting, helps),
        care=heaters.care,
        besides=(*heaters.asked, *nobody_must_come(setting, whom_to_ask(troubles, ASK_ABOUT_CUPS))),
        spare=paragraphs(*_means(setting, troubles)),
    )


def _means(setting: Setting, troubles: Sequence[SwingTrouble]) -> list[str]:
    """What it means, the more important first."""
    means = [say("A heater that stays on or off makes it swing, too.")] if heated(troubles) else []
    means.append(
        say("A window sill swings too much for what lives in it (common practice, not a measured limit).")
    )
    if hatches(troubles):
        means.append(say("The hatch goes faster and slower by turns, so its times are less sure."))
    if animals(troubles):
        means.append(say("Swimming animals live best at {best}.", best=swimmers_best(setting)))
    return [*means, say(_SWINGS)]


def _for_none(setting: Setting, troubles: Sequence[SwingTrouble]) -> Body:
    """The same where nothing is known to live; of what was left over from a harvest nothing is known."""
    rest = left_over(troubles)
    none = say("Nothing is known to live here now, so it harms nothing yet.")
    means = [" ".join(rest or [none])]
    spare: list[Block] = [*over_lines(troubles), *paragraphs(say(_SWINGS))]
    if heated(troubles):
        besides = nobody_must_come(setting, whom_to_ask(troubles, ASK_ABOUT_CUPS))
        return Body(
            action(setting, idle_heaters(troubles)), care=[mains()], besides=besides, means=means, spare=spare
        )
    if rest:
        goes_on = say(
            "if the batch goes on, move {them}, gently, away from the window. Choose a place as warm by "
            "night as by day.",
            them=them(troubles),
        )
        return Body(action(setting, goes_on), means=means, spare=spare)
    nothing = say(
        "nothing now. Before eggs (cysts) are set here, move {them} away from the window, to a place as warm "
        "by night as by day.",
        them=them(troubles),
    )
    return Body(Action(nothing), means=means, spare=spare)


def _facts(setting: Setting, trouble: SwingTrouble) -> tuple[Fact, ...]:
    unit = setting.unit
    swing_k = trouble.highest_c - trouble.lowest_c
    return (
        _read(setting, say("Coldest"), trouble.lowest_c, trouble.lowest_at),
        _read(setting, say("Warmest"), trouble.highest_c, trouble.highest_at),
        fact(say("Apart"), amounts.difference(swing_k, unit)),
        fact(say("Limit"), amounts.difference(trouble.limit_k, unit)),
    )


def _read(setting: Setting, label: str, value_c: float, at: datetime) -> Fact:
    temperature, when = amounts.temperature(value_c, setting.unit), times.moment(at, setting.written_at)
    return fact(label, say("{temperature}, {when}", temperature=temperature, when=when))
