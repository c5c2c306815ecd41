"""The swing letter: water that swings between cold and warm within a day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.heaters import (
    HEATER_SWITCHES,
    heated,
    idle_heaters,
    switches_besides,
    unheated,
    whom_to_ask,
)
from reports.letters.page import Action, Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_CUPS,
    action,
    mains,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    swimmers_best,
)
from reports.letters.stages import animals, hatches, left_over, lives
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
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _facts(setting, trouble)) for trouble in troubles),
        Heading(say("What it means")),
        *(_for_life(setting, troubles) if lives(troubles) else _for_none(setting, troubles)),
        next_letter(setting),
    ]
    lead = say(
        "The water in {names} swings too much: from {low} to {high} within a day.",
        names=names(troubles),
        low=ends[0],
        high=ends[1],
    )
    subject_line = subject(
        say("Swing: {low} to {high}", low=ends[0], high=ends[1]), place(troubles), setting.station
    )
    return letter("swing", subject_line, lead, blocks, setting)


def _for_life(setting: Setting, troubles: Sequence[SwingTrouble]) -> tuple[Block, ...]:
    """What it means for what is still to hatch, and for animals, where there are any; and what helps."""
    sill = say(
        "Sun by day and cold glass by night make water swing like that. A window sill swings too "
        "much for them: that is common practice, not a measured limit."
    )
    moved = unheated(troubles)
    helps = (
        say(
            "move {them}, gently, away from the window, to a place that is as warm by night as by day.",
            them=them(moved),
        )
        if moved
        else say(HEATER_SWITCHES)
    )
    sentences = []
    if hatches(troubles):
        sentences.append(
            say("The hatch goes faster and slower by turns, so the times told for it are less sure.")
        )
    if animals(troubles):
        sentences.append(say("Animals that already swim live best at {best}.", best=swimmers_best(setting)))
    return (
        Paragraph(" ".join([sill, *_by_heater(troubles)])),
        Paragraph(" ".join(sentences)),
        action(setting, helps),
        *switches_besides(troubles),
        *nobody_must_come(setting, whom_to_ask(troubles, ASK_ABOUT_CUPS)),
    )


def _by_heater(troubles: Sequence[SwingTrouble]) -> list[str]:
    if not heated(troubles):
        return []
    return [say("A heater that does not switch on, or not off, makes it swing, too.")]


def _for_none(setting: Setting, troubles: Sequence[SwingTrouble]) -> tuple[Block, ...]:
    """What it means where nothing is known to live; of what was left over from a harvest nothing is known."""
    rest = left_over(troubles)
    none = say("Nothing is known to live here now, so it harms nothing yet.")
    means = Paragraph(" ".join([say(_SWINGS), *(rest or [none])]))
    if heated(troubles):
        helps, ask = idle_heaters(troubles), whom_to_ask(troubles, ASK_ABOUT_CUPS)
        return means, action(setting, helps), *nobody_must_come(setting, ask), mains()
    if rest:
        goes_on = say(
            "if the batch goes on, move {them}, gently, away from the window, to a place that is as warm by "
            "night as by day.",
            them=them(troubles),
        )
        return means, action(setting, goes_on)
    return (
        means,
        Action(
            say(
                "nothing now. Before cysts are set here, move {them} away from the window, to a place that "
                "is as warm by night as by day.",
                them=them(troubles),
            )
        ),
    )


def _facts(setting: Setting, trouble: SwingTrouble) -> tuple[str, ...]:
    unit, now = setting.unit, setting.written_at
    swing_k = trouble.highest_c - trouble.lowest_c
    began = min(trouble.lowest_at, trouble.highest_at, key=lambda at: at.timestamp())
    return (
        say(
            "Coldest: {temperature}, {when}.",
            temperature=amounts.temperature(trouble.lowest_c, unit),
            when=times.moment(trouble.lowest_at, now),
        ),
        say(
            "Warmest: {temperature}, {when}.",
            temperature=amounts.temperature(trouble.highest_c, unit),
            when=times.moment(trouble.highest_at, now),
        ),
        say(
            "Apart: {difference}. Limit: {limit}.",
            difference=amounts.difference(swing_k, unit),
            limit=amounts.difference(trouble.limit_k, unit),
        ),
        say(
            "Seen from {when} on, for {length}.",
            when=times.moment(began, now),
            length=times.duration(times.elapsed(began, now)),
        ),
    )
