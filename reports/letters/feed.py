"""The feed letter: animals that may be fed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times
from reports.language import in_its_language, say
from reports.letters.feeding import feed_advice, is_unseen, portion_of_all, portions, tell_lines
from reports.letters.page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    HYGIENE,
    action,
    name,
    names,
    next_letter,
    place,
)
from reports.records import LetterText, Setting, TimeRange

# More vessels than that are not listed in a lead.
_MOST_IN_A_LEAD = 3


@dataclass(frozen=True, slots=True)
class FeedNews:
    """Animals that may be fed now: at instar II, and not fed too lately.

    `small` says that nobody will look for a day or more after today; `volume_ml` and `seen` are as
    `reports.letters.feeding` has them.
    """

    vessel: str
    count: int
    set_at: datetime
    instar_ii_at: TimeRange
    last_fed_at: datetime | None
    small: bool
    volume_ml: float
    seen: bool


@in_its_language
def feed_letter(setting: Setting, news: Sequence[FeedNews]) -> LetterText:
    """Animals that may be fed; `news` holds at least one. Feeding waits for their second stage."""
    able = [one for one in news if _can_eat(setting, one)]
    small = any(one.small for one in news)
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(
            Facts(name(one), (*_facts(setting, one), *(tell_lines(one, small=small) if one in able else ())))
            for one in news
        ),
        Paragraph(say("When they can eat is calculated from what was told, not measured.")),
        Heading(say("What it means")),
        Paragraph(
            say(
                "Fresh from the egg the animals cannot eat; they can from their second stage on. A first "
                "feed on day three or four, then once or twice a week, is common practice. Where it is "
                "cooler, all goes slower."
            )
        ),
        Paragraph(
            say(
                "It is easy to give too much: milky water that does not clear in a day, a smell, or "
                "animals at the surface mean too much. Yeast alone feeds them poorly."
            )
        ),
        _to_feed(setting, able, small),
        feeding_care(),
        next_letter(setting),
    ]
    return letter("feed", _subject(setting, news, able, small), _lead(news, able, small), blocks, setting)


def feeding_care() -> Caution:
    """What to mind while feeding."""
    return Caution(" ".join([say(HYGIENE), say("Food is dust too: keep it away from faces.")]))


def _can_eat(setting: Setting, one: FeedNews) -> bool:
    return one.instar_ii_at.p50 is not None and one.instar_ii_at.p50 <= setting.written_at


def _lead(news: Sequence[FeedNews], able: Sequence[FeedNews], small: bool) -> str:
    if not able:
        return say("Animals in {names} are most likely still too young to eat.", names=names(news))
    given = portion_of_all(able, small=small)
    if given is None:
        many = len(able) > _MOST_IN_A_LEAD
        given = say("as listed below") if many else portions(able, small=small)
    if is_unseen(able):
        return say(
            "A feed may be due in {names}: {portion}, if animals swim and the water is clear.",
            names=names(able),
            portion=given,
        )
    return say(
        "The animals in {names} can be fed: {portion}, if the water is clear.",
        names=names(able),
        portion=given,
    )


def _subject(setting: Setting, news: Sequence[FeedNews], able: Sequence[FeedNews], small: bool) -> str:
    if not able:
        return subject(say("No feed yet: too young"), place(news), setting.station)
    day = times.elapsed(min(one.set_at for one in able), setting.written_at).days + 1
    given = portion_of_all(able, small=small)
    if is_unseen(able):
        short = say("Look, then feed, day {day}", day=day)
    elif given is None:
        short = say("Feed, day {day}", day=day)
    else:
        short = say("Feed, day {day}: {portion}", day=day, portion=given)
    return subject(short, place(able), setting.station)


def _to_feed(setting: Setting, able: Sequence[FeedNews], small: bool) -> Action:
    if not able:
        advice = say("look, and do not feed yet.")
        return action(setting, advice)
    return action(setting, feed_advice(able, small=small))


def _facts(setting: Setting, one: FeedNews) -> tuple[str, ...]:
    now = setting.written_at
    fed = say("not told yet")
    if one.last_fed_at is not None:
        ago = times.ago(times.elapsed(one.last_fed_at, now))
        fed = say("{when}, {ago}", when=times.moment(one.last_fed_at, now), ago=ago)
    return (
        say(
            "Set {when}, {ago}.",
            when=times.moment(one.set_at, now),
            ago=times.ago(times.elapsed(one.set_at, now)),
        ),
        say("Able to eat from: {when}.", when=times.moment_range(one.instar_ii_at, now)),
        say("Last fed: {fed}.", fed=fed),
    )
