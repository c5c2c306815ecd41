"""The outage letter: the station was off."""

from dataclasses import dataclass

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import (
    ASK_AN_ADULT_ABOUT_STATION,
    action,
    mains,
    name,
    next_letter,
    nobody_must_come,
    silence,
)
from reports.letters.stages import hatches, lives
from reports.records import LetterText, Range, Setting, Span

_PLUG = to_say("look, with dry hands, whether the station's plug and power strip are firm, dry and whole.")
_OFF = to_say("The station {station} was off for {length}. It is on again.")
_PERHAPS_OFF = to_say("The station {station} was off for perhaps {length}. It is on again.")
_OFF_SHORT = to_say("Station was off {length}")
_PERHAPS_OFF_SHORT = to_say("Station was off perhaps {length}")

_MEANS = to_say("In that time nothing was read, so what happened is not known, and no letter could warn.")
_MEANS_WITH_BATCH = to_say(
    "In that time nothing was read, so what happened is not known, and no letter could warn. "
    "What lives in the water went on without the station. You do not have to start anything again: "
    "the batch goes on as it was."
)


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
    """The station was off and is on again: for how long, and what it may have cost."""
    began, ended = news.span.began, news.span.ended
    length = times.duration(times.elapsed(began, ended))
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station"), _off_facts(setting, news)),
        *(Facts(name(one), _cost(setting, one)) for one in news.vessels),
        Heading(say("What it means")),
        Paragraph(say(_MEANS_WITH_BATCH if lives(news.vessels) else _MEANS)),
        *_lamp_hint(news),
        action(setting, say(_PLUG)),
        *nobody_must_come(setting, ASK_AN_ADULT_ABOUT_STATION),
        mains(),
        next_letter(setting),
        silence(setting),
    ]
    lead, short = (_OFF, _OFF_SHORT) if news.clock_sure else (_PERHAPS_OFF, _PERHAPS_OFF_SHORT)
    subject_line = subject(say(short, length=length), "", setting.station)
    return letter("outage", subject_line, say(lead, station=setting.station, length=length), blocks, setting)


def _off_facts(setting: Setting, news: OutageNews) -> tuple[str, ...]:
    began, ended, now = news.span.began, news.span.ended, setting.written_at
    lines = (
        say("Last reading before: {when}.", when=times.moment(began, now)),
        say("First reading after: {when}.", when=times.moment(ended, now)),
        say("Nothing read for {length}.", length=times.duration(times.elapsed(began, ended))),
    )
    if news.clock_sure:
        return lines
    return (
        *lines,
        say("The clock was not sure of the time after that, so it may have been longer or shorter."),
    )


def _cost(setting: Setting, one: OutageVessel) -> tuple[str, ...]:
    before, after = (
        amounts.not_known() if value is None else amounts.temperature(value, setting.unit)
        for value in (one.before_c, one.after_c)
    )
    lines = [
        say("Water before: {temperature}.", temperature=before),
        say("Water after: {temperature}.", temperature=after),
    ]
    if hatches([one]):
        lines.append(_delay(one.delay_h))
    if one.lit_after is not None:
        lines.append(
            say("Lamp, when readings came back: lit.")
            if one.lit_after
            else say("Lamp, when readings came back: dark in its hours.")
        )
    return tuple(lines)


def _delay(delay_h: Range | None) -> str:
    if delay_h is None:
        return say("What it did to the hatch is not known.")
    return say("Hatch later by (calculated): {length}.", length=amounts.hours_range(delay_h))


def _lamp_hint(news: OutageNews) -> tuple[Paragraph, ...]:
    seen = {one.lit_after for one in news.vessels if one.lit_after is not None}
    if not seen:
        return ()
    if seen == {True}:
        return (
            Paragraph(
                say(
                    "The lamp was lit when readings came back. So perhaps only the station had no power; "
                    "that is a hint, not proof."
                )
            ),
        )
    return (
        Paragraph(
            say(
                "A lamp was dark in its hours when readings came back. Its power may still be off, or "
                "its timer may have lost the time."
            )
        ),
    )
