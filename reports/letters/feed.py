"""The feed letter: animals that may be fed."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import times
from reports.language import in_its_language, say, to_say
from reports.letters import record
from reports.letters.blocks import Action, Block, Body, Caution, Paragraph
from reports.letters.feeding import feed_advice, feed_record, is_unseen, portion_of_all
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import letter, subject
from reports.letters.sentences import HYGIENE, action, ending, names, place
from reports.records import LetterText, Setting, TimeRange

FOOD_DUST = to_say("Keep food dust from faces, too.")


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
    body = Body(
        action=_to_feed(setting, able, small),
        care=[feeding_care()],
        record=record.of_each([feed_record(one, small=small) for one in able]),
        known=_known(setting, news, able, small),
        spare=[Paragraph(one) for one in _means(able)],
        ending=ending(setting),
    )
    return letter("feed", _subject(setting, news, able, small), _lead(news, able), body, setting)


def feeding_care() -> Caution:
    """What to mind while feeding."""
    return Caution(" ".join([say(HYGIENE), say(FOOD_DUST)]))


def _means(able: Sequence[FeedNews]) -> list[str]:
    if not able:
        return [say("Fresh from the egg the animals cannot eat; they can from their second stage on.")]
    return [
        say("Milky water for a day, a smell, or animals at the surface mean too much food."),
        say("Once or twice a week is common practice. Yeast alone feeds them poorly."),
    ]


def _can_eat(setting: Setting, one: FeedNews) -> bool:
    return one.instar_ii_at.p50 is not None and one.instar_ii_at.p50 <= setting.written_at


def _lead(news: Sequence[FeedNews], able: Sequence[FeedNews]) -> str:
    if not able:
        return say("The animals in {names} are most likely still too young to eat.", names=names(news))
    if is_unseen(able):
        return say("A feed may be due in {names}, if animals swim there.", names=names(able))
    return say("The animals in {names} can be fed.", names=names(able))


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


def _known(setting: Setting, news: Sequence[FeedNews], able: Sequence[FeedNews], small: bool) -> list[Block]:
    """The food has a column of its own where it differs."""
    listed = able and portion_of_all(able, small=small) is None
    return known(
        [
            Known(
                one.vessel,
                (
                    *((_food(one, small=small if one in able else None),) if listed else ()),
                    *_facts(setting, one, able=one in able),
                ),
            )
            for one in news
        ],
        say("Vessel"),
    )


def _food(one: FeedNews, *, small: bool | None) -> Fact:
    given = say("none yet") if small is None else portion_of_all([one], small=small) or ""
    return fact(say("Food"), given)


def _facts(setting: Setting, one: FeedNews, *, able: bool) -> tuple[Fact, ...]:
    now = setting.written_at
    fed = fed_on = say("not noted")
    if one.last_fed_at is not None:
        fed = times.moment(one.last_fed_at, now)
        fed_on = times.short_day(one.last_fed_at.astimezone(now.tzinfo))
    last = Fact(say("Last fed"), fed, fed_on)
    if able:
        return (last,)
    return fact(say("Able to eat (calculated)"), times.short_range(one.instar_ii_at, now)), last
