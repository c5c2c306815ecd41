"""Letters about the station itself: it was off, its clock is not sure, its card is nearly full."""

from datetime import datetime, timedelta

from reports import words
from reports.letter_page import Action, Block, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import action, mains, name, next_letter, nobody_must_come, silence, since
from reports.records import (
    ClockTrouble,
    LetterText,
    OutageNews,
    OutageVessel,
    Setting,
    StorageTrouble,
)

_MB_IN_A_GB = 1000.0
# A clock without a battery may wake decades behind; more is not worth telling to the hour.
_LONGEST_S = 100 * 366 * 86_400


def outage_letter(setting: Setting, news: OutageNews) -> LetterText:
    """The station was off and is on again: for how long, and what it may have cost."""
    began, ended = news.span.began, news.span.ended
    length = words.duration(words.elapsed(began, ended))
    blocks: list[Block] = [
        Heading("What is known"),
        Facts("The station", _off_facts(setting, news)),
        *(Facts(name(one), _cost(setting, one)) for one in news.vessels),
        Heading("What it means"),
        Paragraph(
            "In that time nothing was read, so what happened is not known, and no letter could warn. The "
            "eggs (cysts) and the animals went on without the station. You do not have to start anything "
            "again: the batch goes on as it was."
        ),
        *_lamp_hint(news),
        action(
            setting,
            "look, with dry hands, whether the station's plug and power strip are firm, dry and whole.",
            "look, with dry hands, whether the station's plug and power strip are firm, dry and whole.",
        ),
        *nobody_must_come(setting, "an adult who knows the station"),
        mains(),
        next_letter(setting),
        silence(setting),
    ]
    perhaps = "" if news.clock_sure else "perhaps "
    lead = f"The station {setting.station} was off for {perhaps}{length}. It is on again."
    return letter(
        "outage", subject(f"Station was off {perhaps}{length}", "", setting.station), lead, blocks, setting
    )


def _off_facts(setting: Setting, news: OutageNews) -> tuple[str, ...]:
    began, ended, now = news.span.began, news.span.ended, setting.written_at
    told = (
        f"Last reading before: {words.moment(began, now)}.",
        f"First reading after: {words.moment(ended, now)}.",
        f"Nothing read for {words.duration(words.elapsed(began, ended))}.",
    )
    if news.clock_sure:
        return told
    return (*told, "The clock was not sure of the time after that, so it may have been longer or shorter.")


def _cost(setting: Setting, one: OutageVessel) -> tuple[str, ...]:
    before, after = (
        "not known" if value is None else words.temperature(value, setting.unit)
        for value in (one.before_c, one.after_c)
    )
    told = [f"Water before: {before}.", f"Water after: {after}."]
    if one.delay_h is None:
        told.append("What it did to the hatch is not known.")
    else:
        told.append(f"Hatch later by (calculated): {words.hours_range(one.delay_h)}.")
    if one.lit_after is not None:
        told.append(f"Lamp, when readings came back: {'lit' if one.lit_after else 'dark in its hours'}.")
    return tuple(told)


def _lamp_hint(news: OutageNews) -> tuple[Paragraph, ...]:
    seen = {one.lit_after for one in news.vessels if one.lit_after is not None}
    if not seen:
        return ()
    if seen == {True}:
        return (
            Paragraph(
                "The lamp was lit when readings came back. So perhaps only the station had no power; that "
                "is a hint, not proof."
            ),
        )
    return (
        Paragraph(
            "A lamp was dark in its hours when readings came back. Its power may still be off, or its "
            "timer may have lost the time."
        ),
    )


def clock_letter(setting: Setting, trouble: ClockTrouble) -> LetterText:
    """A clock that is not known to be right, or that was put right by a step."""
    right = trouble.step_s is not None
    blocks: list[Block] = [
        Heading("What is known"),
        Facts("The station's clock", _clock_facts(setting, trouble)),
        Heading("What it means"),
        Paragraph(
            "The animals do not mind. But times told in letters, lamp hours and the hours of letters all "
            "come from the clock, so they may be wrong for that while. How warm the water was is not in "
            "doubt."
        ),
        _for_clock(setting, right),
        *(() if right else nobody_must_come(setting, "someone who knows the station")),
        next_letter(setting),
    ]
    moment = words.moment(trouble.since, setting.written_at)
    if trouble.step_s is None:
        lead = f"The clock of {setting.station} is not known to be right, since {moment}."
        told = f"Clock not sure since {words.short_moment(trouble.since)}"
    else:
        step = _length(trouble.step_s)
        lead = f"The clock of {setting.station} was wrong by {step} and has been put right."
        told = f"Clock was wrong by {step}"
    return letter("clock", subject(told, "", setting.station), lead, blocks, setting)


def _length(step_s: int) -> str:
    if abs(step_s) < 60:
        return words.many(abs(step_s), "second")
    return words.duration(timedelta(seconds=min(abs(step_s), _LONGEST_S)))


def put_right(trouble: ClockTrouble, now: datetime) -> str:
    """One line for a letter about more than the clock."""
    way = "forward" if (trouble.step_s or 0) > 0 else "back"
    return (
        f"The station's clock was wrong from {words.moment(trouble.since, now)} on, and was put {way} by "
        f"{_length(trouble.step_s or 0)}. The hours in this letter are the right ones."
    )


def _clock_facts(setting: Setting, trouble: ClockTrouble) -> tuple[str, ...]:
    told = [f"Not sure since {since(trouble.since, setting.written_at)}."]
    if trouble.step_s is not None:
        way = "forward" if trouble.step_s > 0 else "back"
        told = [
            f"Not sure from {words.moment(trouble.since, setting.written_at)} on, until it was put right.",
            f"Put {way} by {_length(trouble.step_s)}.",
        ]
    if trouble.restamped > 0:
        told.append(
            f"{words.many(trouble.restamped, 'reading')} from that time got the right time afterwards."
        )
    return tuple(told)


def _for_clock(setting: Setting, right: bool) -> Action:
    if right:
        told = (
            "look in the care log whether what was told in that time has the right time, and correct what "
            "has not."
        )
    else:
        told = "look, with dry hands, whether the station's network works: it takes the time from there."
    return action(setting, told, told)


def storage_letter(setting: Setting, trouble: StorageTrouble) -> LetterText:
    """A memory card that is nearly full."""
    left = _size(trouble.free_mb)
    told = (
        "ask the person who set up the station to make room on its memory card. The file station.db must "
        "stay: it holds all readings."
    )
    blocks: list[Block] = [
        Heading("What is known"),
        Facts(
            "The station's memory card",
            (
                f"Free: {left}.",
                f"Wanted: at least {_size(trouble.least_mb)}.",
                f"Too little since {since(trouble.since, setting.written_at)}.",
            ),
        ),
        Heading("What it means"),
        Paragraph(
            "The animals are as well as before. When the card is full, no reading can be kept and no letter "
            "written: then nobody would be warned."
        ),
        action(setting, told, told),
        *nobody_must_come(setting, "someone who knows the station"),
        next_letter(setting),
        silence(setting),
    ]
    lead = f"The memory card of {setting.station} is nearly full: {left} free."
    return letter(
        "storage", subject(f"Card nearly full: {left} free", "", setting.station), lead, blocks, setting
    )


def _size(size_mb: float) -> str:
    if size_mb < _MB_IN_A_GB:
        return f"{words.number(size_mb)} MB"
    return f"{words.number(size_mb / _MB_IN_A_GB, 1)} GB"
