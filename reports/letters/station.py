"""Letters about the station itself: it was off, its clock is not sure, its card is nearly full."""

from datetime import datetime, timedelta

from reports import words
from reports.letters.page import Action, Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import (
    ASK_ABOUT_STATION,
    ASK_AN_ADULT_ABOUT_STATION,
    action,
    mains,
    name,
    next_letter,
    nobody_must_come,
    silence,
    since,
)
from reports.records import ClockTrouble, LetterText, Setting
from reports.tongue import in_its_language, say, say_many, to_say
from reports.troubles import OutageNews, OutageVessel, StorageTrouble

_PLUG = to_say("look, with dry hands, whether the station's plug and power strip are firm, dry and whole.")
_OFF = to_say("The station {station} was off for {length}. It is on again.")
_PERHAPS_OFF = to_say("The station {station} was off for perhaps {length}. It is on again.")
_OFF_SHORT = to_say("Station was off {length}")
_PERHAPS_OFF_SHORT = to_say("Station was off perhaps {length}")
_PUT_FORWARD = to_say(
    "The station's clock was wrong from {when} on, and was put forward by {length}. The hours in this letter "
    "are the right ones."
)
_PUT_BACK = to_say(
    "The station's clock was wrong from {when} on, and was put back by {length}. The hours in this letter "
    "are the right ones."
)
_FORWARD = to_say("Put forward by {length}.")
_BACK = to_say("Put back by {length}.")
_MB_IN_A_GB = 1000.0
# A clock without a battery may wake decades behind; more is not worth telling to the hour.
_LONGEST_S = 100 * 366 * 86_400


@in_its_language
def outage_letter(setting: Setting, news: OutageNews) -> LetterText:
    """The station was off and is on again: for how long, and what it may have cost."""
    began, ended = news.span.began, news.span.ended
    length = words.duration(words.elapsed(began, ended))
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station"), _off_facts(setting, news)),
        *(Facts(name(one), _cost(setting, one)) for one in news.vessels),
        Heading(say("What it means")),
        Paragraph(
            say(
                "In that time nothing was read, so what happened is not known, and no letter could warn. "
                "The eggs (cysts) and the animals went on without the station. You do not have to start "
                "anything again: the batch goes on as it was."
            )
        ),
        *_lamp_hint(news),
        action(setting, say(_PLUG), say(_PLUG)),
        *nobody_must_come(setting, ASK_AN_ADULT_ABOUT_STATION),
        mains(),
        next_letter(setting),
        silence(setting),
    ]
    lead, short = (_OFF, _OFF_SHORT) if news.clock_sure else (_PERHAPS_OFF, _PERHAPS_OFF_SHORT)
    told = subject(say(short, length=length), "", setting.station)
    return letter("outage", told, say(lead, station=setting.station, length=length), blocks, setting)


def _off_facts(setting: Setting, news: OutageNews) -> tuple[str, ...]:
    began, ended, now = news.span.began, news.span.ended, setting.written_at
    told = (
        say("Last reading before: {when}.", when=words.moment(began, now)),
        say("First reading after: {when}.", when=words.moment(ended, now)),
        say("Nothing read for {length}.", length=words.duration(words.elapsed(began, ended))),
    )
    if news.clock_sure:
        return told
    return (
        *told,
        say("The clock was not sure of the time after that, so it may have been longer or shorter."),
    )


def _cost(setting: Setting, one: OutageVessel) -> tuple[str, ...]:
    before, after = (
        words.not_known() if value is None else words.temperature(value, setting.unit)
        for value in (one.before_c, one.after_c)
    )
    told = [
        say("Water before: {temperature}.", temperature=before),
        say("Water after: {temperature}.", temperature=after),
    ]
    if one.delay_h is None:
        told.append(say("What it did to the hatch is not known."))
    else:
        told.append(say("Hatch later by (calculated): {length}.", length=words.hours_range(one.delay_h)))
    if one.lit_after is not None:
        told.append(
            say("Lamp, when readings came back: lit.")
            if one.lit_after
            else say("Lamp, when readings came back: dark in its hours.")
        )
    return tuple(told)


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


@in_its_language
def clock_letter(setting: Setting, trouble: ClockTrouble) -> LetterText:
    """A clock that is not known to be right, or that was put right by a step."""
    right = trouble.step_s is not None
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station's clock"), _clock_facts(setting, trouble)),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The animals do not mind. But times told in letters, lamp hours and the hours of letters "
                "all come from the clock, so they may be wrong for that while. How warm the water was is "
                "not in doubt."
            )
        ),
        _for_clock(setting, right),
        *(() if right else nobody_must_come(setting, ASK_ABOUT_STATION)),
        next_letter(setting),
    ]
    moment = words.moment(trouble.since, setting.written_at)
    if trouble.step_s is None:
        lead = say(
            "The clock of {station} is not known to be right, since {when}.",
            station=setting.station,
            when=moment,
        )
        told = say("Clock not sure since {when}", when=words.short_moment(trouble.since))
    else:
        step = _length(trouble.step_s)
        lead = say(
            "The clock of {station} was wrong by {step} and has been put right.",
            station=setting.station,
            step=step,
        )
        told = say("Clock was wrong by {step}", step=step)
    return letter("clock", subject(told, "", setting.station), lead, blocks, setting)


def _length(step_s: int) -> str:
    if abs(step_s) < 60:
        return say_many("{count} second", "{count} seconds", abs(step_s))
    return words.duration(timedelta(seconds=min(abs(step_s), _LONGEST_S)))


def put_right(trouble: ClockTrouble, now: datetime) -> str:
    """One line for a letter about more than the clock."""
    sentence = _PUT_FORWARD if (trouble.step_s or 0) > 0 else _PUT_BACK
    return say(sentence, when=words.moment(trouble.since, now), length=_length(trouble.step_s or 0))


def _clock_facts(setting: Setting, trouble: ClockTrouble) -> tuple[str, ...]:
    told = [say("Not sure since {since}.", since=since(trouble.since, setting.written_at))]
    if trouble.step_s is not None:
        told = [
            say(
                "Not sure from {when} on, until it was put right.",
                when=words.moment(trouble.since, setting.written_at),
            ),
            say(_FORWARD if trouble.step_s > 0 else _BACK, length=_length(trouble.step_s)),
        ]
    if trouble.restamped > 0:
        told.append(
            say_many(
                "{count} reading from that time got the right time afterwards.",
                "{count} readings from that time got the right time afterwards.",
                trouble.restamped,
            )
        )
    return tuple(told)


def _for_clock(setting: Setting, right: bool) -> Action:
    if right:
        told = say(
            "look in the care log whether what was told in that time has the right time, and correct "
            "what has not."
        )
    else:
        told = say("look, with dry hands, whether the station's network works: it takes the time from there.")
    return action(setting, told, told)


@in_its_language
def storage_letter(setting: Setting, trouble: StorageTrouble) -> LetterText:
    """A memory card that is nearly full."""
    left = _size(trouble.free_mb)
    told = say(
        "ask the person who set up the station to make room on its memory card. The file "
        "station.db must stay: it holds all readings."
    )
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(
            say("The station's memory card"),
            (
                say("Free: {left}.", left=left),
                say("Wanted: at least {size}.", size=_size(trouble.least_mb)),
                say("Too little since {since}.", since=since(trouble.since, setting.written_at)),
            ),
        ),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The animals are as well as before. When the card is full, no reading can be kept and no "
                "letter written: then nobody would be warned."
            )
        ),
        action(setting, told, told),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    lead = say(
        "The memory card of {station} is nearly full: {left} free.", station=setting.station, left=left
    )
    return letter(
        "storage",
        subject(say("Card nearly full: {left} free", left=left), "", setting.station),
        lead,
        blocks,
        setting,
    )


def _size(size_mb: float) -> str:
    if size_mb < _MB_IN_A_GB:
        return f"{words.number(size_mb)} MB"
    return f"{words.number(size_mb / _MB_IN_A_GB, 1)} GB"
