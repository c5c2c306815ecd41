"""All nights in a list, and one night with its letter: what each was found to be, in a line."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from reports import times, words
from reports.language import in_its_language, say, spoken
from reports.page.alarms import name_of_alarm
from reports.records import NightRecord, Setting


@dataclass(frozen=True, slots=True)
class NightEntry:
    """A night by the date on which its letter is due.

    `subject` is its letter's (None: it has none, or none yet), `alarms` the conditions that rang in it;
    `read` whether there are readings of it, `over` whether it has ended.
    """

    night: date
    subject: str | None
    alarms: tuple[str, ...]
    read: bool
    over: bool


@dataclass(frozen=True, slots=True)
class NightLine:
    """A night in a list: its date as an address has it, its day, and what there is to say of it."""

    address: str
    day: str
    line: str
    read: bool


@in_its_language
def by_month(setting: Setting, entries: Sequence[NightEntry]) -> Mapping[str, list[NightLine]]:
    """The nights under their months, in the order in which they are given."""
    months: dict[str, list[NightLine]] = {}
    for one in entries:
        day = times.dated(one.night, setting.written_at)
        line = NightLine(one.night.isoformat(), day, _line(setting, one), one.read)
        months.setdefault(times.month(one.night), []).append(line)
    return months


def _line(setting: Setting, one: NightEntry) -> str:
    if not one.read:
        return say("Nothing was read.")
    if one.subject is not None:
        return _finding(setting, one.subject, one.night)
    rang = words.joined([name_of_alarm(condition) for condition in one.alarms])
    if not one.over:
        return say("Not over yet. Alarms so far: {alarms}.", alarms=rang) if rang else say("Not over yet.")
    return say("Alarms: {alarms}. No letter.", alarms=rang) if rang else say("No alarm, no letter.")


def _finding(setting: Setting, subject: str, night: date) -> str:
    """A nightly letter's subject without what stands above it: the day, and the station it is of."""
    day, station = f"{times.short_day(night)}: ", f", {setting.station}"
    return words.capital(words.clean(subject).removeprefix(day).removesuffix(station))


def list_title(language: str) -> str:
    """The list's."""
    with spoken(language):
        return say("Nights")


@in_its_language
def night_title(setting: Setting, night: date) -> str:
    """One night's."""
    return say("The night of {day}", day=times.dated(night, setting.written_at))


@in_its_language
def no_night(setting: Setting, there: tuple[date, date] | None) -> str:
    """What is said of a night of which nothing is known; `there` are the first and the last with readings."""
    if there is None:
        return say("Nothing was read yet, so there is no night to show.")
    first, last = (times.dated(night, setting.written_at) for night in there)
    return say(
        "No reading is of that night. The first is of {first}, the last of {last}.", first=first, last=last
    )


def letter_anew(setting: Setting, record: NightRecord) -> Markup:
    """The night's letter, made anew from the records."""
    # Only where one is read: what reads HTML and writes this letter takes 1 MiB.
    from reports.letters.nightly import nightly_letter
    from reports.page.letter_words import letter_words

    return letter_words(nightly_letter(setting, record, with_chart=False).html, "")
