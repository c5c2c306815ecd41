"""What each tin of cysts has given, in words: for the page and for the command.

The trade's measures stay apart: hatching percentage, hatching efficiency, hatching times, synchrony.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, say_in, say_many, to_say
from reports.page.tins.records import TinBatch, TinRecord, TinTested
from reports.records import Range, Setting
from reports.words import clean

_DONE = {
    "kept": to_say("The test is kept with its tin."),
    "kept-already": to_say(
        "The same test was kept a moment ago, and stands once. Was it a second dish? Then keep it again in a "
        "minute."
    ),
    "withdrawn": to_say("That test is taken back."),
}
_STORED = {
    "freezer": to_say("Kept in the freezer."),
    "fridge": to_say("Kept in the fridge."),
    "cool-and-dry": to_say("Kept cool and dry."),
    "room": to_say("Kept at room temperature."),
}


@dataclass(frozen=True, slots=True)
class TinLines:
    """A tin in words. `alarm` is empty where it does not fall off and its counts agree; a row of `rows` has a
    cell a head; `tests` are numbers of tests with a line each."""

    name: str
    alarm: str
    facts: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    tests: tuple[tuple[int, str], ...] = ()


@in_its_language
def title(_setting: Setting) -> str:
    """Of the view."""
    return say("Tins of cysts")


@in_its_language
def done(_setting: Setting, what: str) -> str:
    """What was done, by its name in an address; empty for a name that is none."""
    return say(_DONE[what]) if what in _DONE else ""


@in_its_language
def unnamed(_setting: Setting) -> str:
    """What is said where nobody named one."""
    return say("No tin is named yet: name it when you set a batch, or in the station file.")


@in_its_language
def heads(_setting: Setting) -> tuple[str, ...]:
    """Of the columns."""
    return (
        say("Batch"),
        say("Cysts"),
        say("Hatching percentage, counted"),
        say("Nauplii per gram, counted"),
        say("T10, calculated"),
        say("T50, calculated"),
        say("T90, calculated"),
        say("Synchrony (T90 − T10), calculated"),
        say("Of all cysts, calculated"),
    )


@in_its_language
def lines(setting: Setting, tins: Sequence[TinRecord]) -> list[TinLines]:
    """Each tin's."""
    return [_tin(setting, one) for one in tins]


def _tin(setting: Setting, one: TinRecord) -> TinLines:
    rows = tuple(_row(setting, batch) for batch in one.batches)
    tests = tuple((test.id, _tested(setting, test)) for test in one.tests)
    return TinLines(clean(one.id), _alarm(one), tuple(_facts(setting, one)), rows, tests)


def _tested(setting: Setting, one: TinTested) -> str:
    told = say(
        "Test {number}, {day}: {hatched} of {put} hatched after {hours} h at {warmth}.",
        number=one.id,
        day=_day(setting, one.at),
        hatched=one.hatched,
        put=one.put,
        hours=amounts.number(one.hours),
        warmth=amounts.temperature(one.water_c, setting.unit),
    )
    if one.umbrella:
        told += " " + say("In the umbrella stage: {count}.", count=one.umbrella)
    if one.percentage is not None:
        told += " " + say("Of full cysts: {share}.", share=_percents(one.percentage))
    if one.doubted:
        told += " " + say("Not used: at that warmth so many cannot have hatched yet.")
    return told


@in_its_language
def taken_together(_setting: Setting, one: TinRecord) -> list[str]:
    """What all counts of a tin say: for who just kept one more."""
    alarm = _alarm(one)
    return [*([alarm] if alarm else []), _expected(one)]


def _expected(one: TinRecord) -> str:
    if one.disagree is not None:
        return say(
            "Expected of the next batch, of all cysts: anything from {low} to {high}, as the counts "
            "disagree.",
            low=amounts.percent(min(one.share.p10, one.disagree[0])),
            high=amounts.percent(max(one.share.p90, one.disagree[1])),
        )
    return say("Expected of the next batch, of all cysts: {share}.", share=amounts.percent_range(one.share))


def _day(setting: Setting, at: datetime) -> str:
    day = times.short_day(at)
    return day if at.year == setting.written_at.year else f"{day} {at.year}"


def _alarm(one: TinRecord) -> str:
    if one.disagree is None and not one.falls:
        return ""
    from reports.tin_alarm import alarm  # few tins bear one

    if one.disagree is not None:
        return alarm("disagree", *one.disagree, len(one.tests) + len(one.batches))
    return "" if one.line is None else alarm("falls", *one.line)


def _facts(setting: Setting, one: TinRecord) -> list[str]:
    opened = (
        say("Opened: not known.")
        if one.opened is None
        else say("Opened: {day}.", day=times.dated(one.opened, setting.written_at.date()))
    )
    used = say("Used: {amount}.", amount=amounts.grams(one.used_g))
    if one.unweighed:
        used += " " + say_many(
            "Of {count} batch it is not known how much.",
            "Of {count} batches it is not known how much.",
            one.unweighed,
        )
    left = [say("Left: about {amount}.", amount=amounts.grams(one.left_g))] if one.left_g is not None else []
    stored = [say(_STORED[one.stored])] if one.stored else []
    return [opened, *stored, used, *left, _expected(one), *_line(one), *_unwatched(one)]


def _unwatched(one: TinRecord) -> list[str]:
    count = sum(batch.percentage is not None and not batch.warmth_known for batch in one.batches)
    if not count:
        return []
    return [
        say_many(
            "In {count} batch the warmth of the water is not known, so its count says nothing of the tin. "
            "Keep it as a test, with its hours, its warmth and when it was counted.",
            "In {count} batches the warmth of the water is not known, so their counts say nothing of the "
            "tin. Keep them as tests, with their hours, their warmth and when they were counted.",
            count,
        )
    ]


def _line(one: TinRecord) -> list[str]:
    if one.line is None or one.falls or one.disagree is not None:
        return []
    first, last, count = one.line
    return [
        say(
            "Over {count} counts: from about {first} to about {last}, which chance may explain.",
            count=count,
            first=amounts.percent(first),
            last=amounts.percent(last),
        )
    ]


def _row(setting: Setting, one: TinBatch) -> tuple[str, ...]:
    return (
        say("{vessel}, {day}", vessel=clean(one.vessel), day=_day(setting, one.set_at)),
        say("not noted") if one.cysts_g is None else amounts.grams(one.cysts_g),
        _percentage(one),
        _with_range(one.efficiency_per_g),
        _hours(one.t10_h),
        _hours(one.t50_h),
        _hours(one.t90_h),
        _hours(one.synchrony_h),
        amounts.not_known() if one.believed is None else _percents(one.believed),
    )


def _percentage(one: TinBatch) -> str:
    if one.percentage is None:
        return _not_counted()
    said = say(
        "{share}; {hatched} of {of}",
        share=_percents(one.percentage),
        hatched=amounts.number(one.hatched),
        of=amounts.number(one.of),
    )
    if not one.warmth_known:
        return say("{said}; warmth not known, not used", said=said)
    return say("{said}, counted too early", said=said) if one.early else said


def _percents(share: Range) -> str:
    return _ranged(
        amounts.percent(share.p50), amounts.number(share.p10 * 100), amounts.number(share.p90 * 100)
    )


def _with_range(amount: Range | None) -> str:
    """To two figures: nobody counts nauplii closer."""
    if amount is None:
        return _not_counted()
    return _ranged(*(amounts.number(_two_figures(value)) for value in (amount.p50, amount.p10, amount.p90)))


def _two_figures(value: float) -> float:
    return float(f"{value:.1e}")


def _hours(length: Range | None) -> str:
    if length is None:
        return amounts.not_known()
    return _ranged(_h(length.p50), amounts.number(length.p10), amounts.number(length.p90))


def _h(hours: float) -> str:
    return f"{amounts.number(hours)} h"


def _ranged(middle: str, low: str, high: str) -> str:
    return say("{middle} ({low} to {high})", middle=middle, low=low, high=high)


def _not_counted() -> str:
    return say_in("of a batch", "not counted")


@in_its_language
def plain(setting: Setting, tins: Sequence[TinRecord]) -> list[str]:
    """All of it as lines of text."""
    if not tins:
        return [unnamed(setting)]
    told: list[str] = []
    for one in lines(setting, tins):
        told += [one.name, *([one.alarm] if one.alarm else []), *one.facts]
        told += [line for _, line in one.tests]
        for row in one.rows:
            told.append(f"  {row[0]}")
            told += [
                "    " + say("{what}: {value}", what=what, value=value)
                for what, value in zip(heads(setting)[1:], row[1:], strict=True)
            ]
        told.append("")
    return [*told, *notes(setting)]


@in_its_language
def notes(_setting: Setting) -> list[str]:
    """What the measures mean: they are never mixed."""
    return [
        say(
            "Hatching percentage: of 100 full cysts, how many hatched. It needs a count of how many "
            "cysts these were; empty shells among them make it too low."
        ),
        say(
            "Nauplii per gram (hatching efficiency): of what is in the tin, shells and all. It needs a count "
            "that says how much water it was from."
        ),
        say(
            "T10, T50, T90: hours from wetting to a tenth, half and nine tenths of those that will hatch. "
            "Warmth makes them shorter, so compare batches that were as warm."
        ),
        say(
            "Counted: the range is that of chance, or of how well it could be measured. Calculated: from "
            "warmth and what was noted. All ranges in this list hold 8 times in 10."
        ),
    ]
