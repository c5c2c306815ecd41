"""The outage letter: the station was off."""

from dataclasses import dataclass

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.blocks import Body, Caution
from reports.letters.known import Fact, Known, fact, known, listed
from reports.letters.page import letter, subject
from reports.letters.sentences import NOBODY_HAS_TO_COME, action, ending, name, nobody_must_come
from reports.letters.stages import hatches, lives
from reports.records import LetterText, Range, Setting, Span

_PLUG = to_say("look, with dry hands, whether the station's plug and power strip are firm, dry and whole.")
_CARE = to_say(
    "Touch nothing wet or damaged, and do not reach over the water. A fuse or safety switch that tripped "
    "stays off: call the person in charge."
)
_OFF = to_say("The station was off from {began} to {ended}.")
_PERHAPS_OFF = to_say("The station was off, perhaps from {began} to {ended}.")
_OFF_SHORT = to_say("Station was off {length}")
_PERHAPS_OFF_SHORT = to_say("Station was off perhaps {length}")


@dataclass(frozen=True, slots=True)
class OutageVessel:
    """A vessel over a stretch without readings: water before and after, °C, and what it may have cost.

    `delay_h` is by how much later the hatch is than if the water had stayed as before; `lit_after` whether
    the lamp burned when readings came back in its hours (None: not known), a hint that only the station
    had no power. `stage` is one of `reports.letters.stages`.
    """

    vessel: str
    count: int
    before_c: float | None
    after_c: float | None
    delay_h: Range | None
    lit_after: bool | None
    stage: str


@dataclass(frozen=True, slots=True)
class OutageNews:
    """A stretch in which the station was off; `clock_sure` is False where its length is not certain."""

    span: Span
    clock_sure: bool
    vessels: tuple[OutageVessel, ...]


@in_its_language
def outage_letter(setting: Setting, news: OutageNews) -> LetterText:
    """The station was off and is on again: since when, and what it may have cost."""
    cost = [Known(name(one), _cost(setting, one)) for one in news.vessels]
    body = Body(
        action(setting, say(_PLUG)),
        care=(Caution(say(_CARE)),),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=known(cost, say("Vessel")) if cost else (),
        means=_means(news),
        ending=ending(setting),
    )
    length = times.duration(times.elapsed(news.span.began, news.span.ended))
    lead, short = (_OFF, _OFF_SHORT) if news.clock_sure else (_PERHAPS_OFF, _PERHAPS_OFF_SHORT)
    off = say(
        lead,
        began=times.moment(news.span.began, setting.written_at),
        ended=times.moment(news.span.ended, setting.written_at),
    )
    return letter("outage", subject(say(short, length=length), "", setting.station), off, body, setting)


def _means(news: OutageNews) -> tuple[str, ...]:
    went_on = (
        say("What lives in the water went on: start nothing again.")
        if lives(news.vessels)
        else say("Meanwhile nothing was read, and no letter could warn.")
    )
    if news.clock_sure:
        return went_on, *_lamp_hint(news)
    unsure = say("The clock was not sure: it may have been longer or shorter.")
    return went_on, *_lamp_hint(news), unsure


def _cost(setting: Setting, one: OutageVessel) -> tuple[Fact, ...]:
    before, after = (
        amounts.not_known() if value is None else amounts.temperature(value, setting.unit)
        for value in (one.before_c, one.after_c)
    )
    facts = [
        Fact(say("Water"), say("{before} before, {after} after", before=before, after=after)),
        Fact(say("Water before"), None, before),
        Fact(say("Water after"), None, after),
    ]
    if hatches([one]):
        later = amounts.not_known() if one.delay_h is None else amounts.hours_range(one.delay_h)
        facts.append(fact(say("Hatch later by (calculated)"), later))
    return tuple(facts)


def _lamp_hint(news: OutageNews) -> tuple[str, ...]:
    seen = {one.lit_after for one in news.vessels if one.lit_after is not None}
    if not seen:
        return ()
    if seen == {True}:
        return (say("The lamp was lit afterwards: perhaps only the station had no power."),)
    dark = [one for one in news.vessels if one.lit_after is False]
    if len(news.vessels) > 1:
        return (
            say(
                "Dark afterwards, in their lamp hours: {names}. Their power may still be off, or a timer be "
                "wrong.",
                names=listed([one.vessel for one in dark]),
            ),
        )
    return (
        say("The lamp was dark afterwards, in its hours. Its power may still be off, or its timer be wrong."),
    )
