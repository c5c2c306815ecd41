"""Each invariant finds what it is there for: a plain weekend, with a word of a letter or the store forged.

Those that cases and random histories show broken are not forged again here.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daemon.care.deed import Deed
from daemon.config import parse_station
from sensors.reading import Quality, Reading
from tests.kit.histories.history import Entry, History
from tests.kit.invariants.every import INVARIANTS
from tests.kit.invariants.record import Record
from tests.kit.invariants.rows import AlarmRow, Done, Series
from tests.kit.plays import Plays
from tests.kit.station import probe, station_text, vessel

ZONE = ZoneInfo("Europe/Lisbon")


def _at(day: int, hour: int) -> int:
    return int(datetime(2027, 2, day, hour, tzinfo=ZONE).timestamp())


THURSDAY, FRIDAY, SATURDAY, MONDAY = 11, 12, 13, 15


@pytest.fixture(scope="module")
def plays(shared: Path) -> Plays[Path]:
    """Played once, however many processes run."""
    return Plays(shared / "forged", _played)


def _played(_name: str, folder: Path) -> Path:
    _weekend().play(folder / "out")
    return folder / "out"


def _weekend() -> History:
    """A tray set on Thursday; on Saturday the heating fails."""
    text = station_text(
        probe("water", "water_c", "tape", file="tape.csv"),
        vessel("tray", "water", count=24, brim_ml=30.0),
        every_s=1800,
    )
    times = range(_at(THURSDAY, 8), _at(MONDAY, 12), 1800)
    readings = tuple(Reading(at, "water", _water_c(at), Quality.GOOD) for at in times)
    at = _at(THURSDAY, 9)
    entries = (Entry(at, Deed(at, "tray", "set", 0.2, {"salt_g_per_l": 25.0})),)
    return History("weekend", text, parse_station(text, "station.toml"), readings, entries)


def _water_c(at: int) -> float:
    hours = max(0.0, (at - _at(SATURDAY, 8)) / 3600)
    return round(max(14.0, 24.0 - hours) + 0.1 * (at // 1800 % 2), 4)


@pytest.fixture
def record(plays: Plays[Path]) -> Record:
    """The weekend, to be forged."""
    return Record(_weekend().station, plays["weekend"])


Forge = Callable[[Record], None]


def _said(kind: str, pattern: str, instead: str) -> Forge:
    """Other words in the letters of a kind."""

    def forge(record: Record) -> None:
        record.letters = [
            replace(x, text=re.sub(pattern, instead, x.text)) if x.kind == kind else x for x in record.letters
        ]

    return forge


def _headed(kind: str, subject: str) -> Forge:
    """Another subject."""

    def forge(record: Record) -> None:
        record.letters = [replace(x, subject=subject) if x.kind == kind else x for x in record.letters]

    return forge


def _done(at: int, deed: str, amount: float | None = None) -> Forge:
    """A deed more."""
    return lambda record: record.deeds.append(Done(at, "tray", deed, amount, {}, at, None))


def _raised(state: str, condition: str = "swing", probe: str = "") -> Forge:
    """An alarm more."""
    return lambda record: record.alarms.append(
        AlarmRow(_at(THURSDAY, 10), "tray", condition, probe, state, None, None)
    )


def _believed(quantity: str, change: float) -> Forge:
    """One of the beliefs another."""

    def forge(record: Record) -> None:
        (rows,) = (rows for _, of, rows in record.beliefs() if of == quantity)
        rows[20:] = [
            replace(row, p50=row.p50 + change, p10=row.p10 + change, p90=row.p90 + change)
            for row in rows[20:]
        ]

    return forge


def _again(kind: str, *hours: int) -> Forge:
    """The first letter of a kind once more, so many hours later."""

    def forge(record: Record) -> None:
        first = next(x for x in record.letters if x.kind == kind)
        record.letters += [
            replace(first, written_at=first.written_at + h * 3600, sent_at=first.sent_at + h * 3600)
            for h in hours
        ]

    return forge


def _read_as(water_c: float) -> Forge:
    """All readings of the water another."""

    def forge(record: Record) -> None:
        record.probes["water"] = Series([(at, water_c, "good") for at, _, _ in record.probes["water"].rows])

    return forge


def _early(kind: str, hours: int) -> Forge:
    """Sent so many hours earlier."""

    def forge(record: Record) -> None:
        record.letters = [
            replace(x, sent_at=x.sent_at - hours * 3600) if x.kind == kind else x for x in record.letters
        ]

    return forge


def _more(kind: str) -> Forge:
    """A letter so many times more than a week has room for."""

    def forge(record: Record) -> None:
        (one,) = (x for x in record.letters if x.kind == kind)
        record.letters += [replace(one, sent_at=one.sent_at + hour * 3600) for hour in (1, 2, 3)]

    return forge


def _unwatched(record: Record) -> None:
    record.watched = lambda _vessel, _at: False  # type: ignore[method-assign]


def _both(*forges: Forge) -> Forge:
    def forge(record: Record) -> None:
        for one in forges:
            one(record)

    return forge


FORGED: dict[str, Forge] = {
    "well_means_no_alarm_stands": _raised("unacknowledged"),
    "well_names_what_is_not_watched": _unwatched,
    "a_pour_has_a_batch": _done(_at(FRIDAY, 10), "end"),
    "nobody_looks_whether_it_stands_at_the_mark_in_vain": _both(
        _said("leave", r"Do this: .*", "Do this: look once whether the water stands at the mark"),
        _believed("loss_ml", -100.0),
    ),
    "a_dead_probe_comes_before_a_pour": _both(
        _raised("unacknowledged", "probe", "water"),
        _said("return", r"Do this: .*", "Do this: pour plain water, not salt water, up to the mark: 9 mL"),
    ),
    "now_is_what_was_read": _said("nightly", r"Water now: [\d.]+", "Water now: 3.0"),
    "the_night_says_the_extremes": _said("nightly", r"Water coldest: [\d.]+", "Water coldest: 3.0"),
    "the_subject_says_the_facts": _headed("cold", "Cold: 3.0 °C, tray, Room 12"),
    "a_batch_was_set_when_it_says": _said("nightly", r"Set: today at 09:00", "Set: today at 10:00"),
    "a_leave_letter_comes_while_they_are_there": _early("leave", 30),
    "absences_are_the_calendar_s": _said("leave", r"from today at 15:30", "from today at 16:30"),
    "back_is_when_somebody_comes": _said("nightly", r"(you are back, [\w\s]+at) 08:00", r"\1 03:00"),
    "what_is_announced_comes": _said(
        "nightly", r"Next letter: tomorrow at [\d:]+", "Next letter: tomorrow at 10:00"
    ),
    "three_planned_letters_a_week": _more("hatch"),
    "letters_of_a_batch_have_one": _done(_at(THURSDAY, 10), "end"),
    "the_night_asks_against_what_stands": _said(
        "nightly", r"Do this: [^\n]*", "Do this: look first at tray. Draw the blind, or move it, gently."
    ),
    "all_out_is_not_looked_for": _both(
        _said("return", r"Do this: .*", "Do this: look for swimmers"), _done(_at(FRIDAY, 12), "hatched", 1.0)
    ),
    "a_letter_asks_for_one_thing": _said("leave", "Do this:", "Perhaps:"),
    "a_letter_is_short": _said("cold", r"\A", "word " * 46),
    "it_can_be_done_when_it_is_read": _said("cold", r"Do this: when you are back, [^,]*,", "Do this:"),
    "care_lines_are_taken": _said("leave", r"top-up [\d.]+", "top-up 9999"),
    "nothing_urgent_means_no_alarm_stands": _said("return", r"^Back after[^.]*\.", "Back: nothing urgent."),
    "a_night_s_subject_says_its_facts": _headed("nightly", "Fri 12 Feb: all well, 3.0 to 99.0 °C, Room 12"),
    "an_alarm_stands_since_when_it_says": _said("nightly", r"at \d\d:\d\d\.\s+Still", "at 03:33. Still"),
    "beyond_since_is_most_of_the_time": _said("cold", r"since:\s+today\s+at", "since: Friday 12 February at"),
    "an_absence_s_extremes_were_read": _said(
        "return",
        r"- Water now",
        "- While you were away: 99.0 °C to 99.5 °C.\n- Nobody was there since Friday 12 February at 15:30.\n"
        "- Water now",
    ),
    "over_now_means_within_limits": _both(
        _said("nightly", r"is too cold, since", "was too cold, from Friday to Saturday. Over now. Since"),
        lambda record: record.alarms.clear(),
    ),
    "one_unplanned_letter_a_day": _again("cold", 1),
    "one_alarm_one_letter": _again("cold", 12, 36),
    "nothing_is_said_twice_to_an_empty_room": _again("cold", 24),
    "not_again_within_a_day_without_a_change": _again("cold", 12, 35),
    "what_comes_each_night_is_not_told_each_night": _again("cold", 12, 36, 46),
    "alarms_are_counted_by_what_failed": _headed("nightly", "Sat 13 Feb: 7 alarms open, Room 12"),
    "cold_or_hot_now_is_read_beyond_the_limit": _read_as(30.0),
    "now_says_what_the_store_says": _done(_at(MONDAY, 10), "end"),
    "beliefs_move_only_where_something_happened": _believed("loss_ml", 90.0),
}


@pytest.mark.parametrize("name", FORGED)
def test_an_invariant_finds_what_it_is_there_for(name: str, record: Record):
    before = {str(finding) for finding in INVARIANTS[name](record)}
    FORGED[name](record)
    assert {str(finding) for finding in INVARIANTS[name](record)} - before
