"""What a calendar says of vessels at every stage, of their letters and of days away."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from icalendar import Calendar

from daemon.export.calendar import calendar, entries
from daemon.export.chances import first_chance, last_chance
from daemon.export.ical import CalendarEntry
from daemon.hours import is_attended
from daemon.stages import STAGES, Stage
from daemon.station import DaySpan, Station
from tests.kit.calendar_file import events_of
from tests.kit.desks import Desks, moment, tray_station
from tests.kit.station import station
from tests.kit.vessel_at_stage import BACK, NAMES, Shelf, name

HOUR = 3600


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    made = Shelf(tmp_path_factory.mktemp("shelf"))
    made.desks.beliefs.write(made.desks.beliefs.running(), made.at)
    yield made
    made.desks.store.close()


@pytest.fixture(scope="module")
def said(shelf: Shelf) -> list[CalendarEntry]:
    return entries(shelf.station, shelf.desks.store.connection, BACK)


def about(said: list[CalendarEntry], vessel: str) -> list[CalendarEntry]:
    """Entries that name a vessel, in their titles or in their texts."""
    name_alone = re.compile(rf"(?<![\w-]){vessel}(?![\w-])")
    return [one for one in said if name_alone.search(f"{one.title}\n{one.text}")]


@pytest.mark.parametrize("stage", [Stage.NOTHING_SET, Stage.ENDED, Stage.HARVESTED])
def test_a_vessel_whose_stage_promises_nothing_is_not_spoken_of(
    said: list[CalendarEntry], stage: Stage
) -> None:
    named = [vessel for vessel, (_, at_stage) in NAMES.items() if at_stage is stage]
    assert named
    assert [one.title for vessel in named for one in about(said, vessel)] == []


@pytest.mark.parametrize("vessel", NAMES)
def test_a_hatch_is_expected_only_where_one_is_ahead_and_water_is_due_only_where_it_is_kept(
    said: list[CalendarEntry], vessel: str
) -> None:
    kind, stage = NAMES[vessel]
    titles = [one.title for one in about(said, vessel)]
    hatches = any("half hatched" in title for title in titles)
    pours = any(title.startswith(("Fill", "Pour")) for title in titles)
    harvests = any(title.startswith("Harvest") or "best time to harvest" in title for title in titles)
    assert hatches == STAGES[stage].hatch_ahead
    assert pours == STAGES[stage].keeps_water
    # A cone that can eat already is past its best time to harvest.
    assert harvests == (kind == "cone" and stage in (Stage.SET, Stage.HATCHING, Stage.HATCHED))


def test_what_is_to_be_done_is_done_while_somebody_is_there(shelf: Shelf, said: list[CalendarEntry]) -> None:
    due = [one for one in said if one.busy]
    assert len(due) > 4
    for one in due:
        assert isinstance(one.began, int)
        assert one.began >= BACK
        assert is_attended(shelf.station, one.began)


def test_a_hatch_spans_what_is_believed_and_says_how_sure_it_is(said: list[CalendarEntry]) -> None:
    (hatch,) = [one for one in about(said, name("tray", Stage.HATCHING)) if not one.busy]
    # The 15th of January 2027 is a Friday.
    assert hatch.title == "tray-hatching (24 cups): half hatched, most likely Fri 12:30"
    assert "most likely Friday 15 January 2027 at 12:30" in hatch.text
    assert (hatch.began, hatch.ended) == (moment(14, "21:00"), moment(16, "11:30"))
    assert "between Thursday 14 January 2027 at 21:00 and Saturday 16 January 2027 at 11:30" in hatch.text
    (late,) = [one for one in about(said, name("tray", Stage.SET)) if not one.busy]
    assert "how late it may be is not known yet" in late.text


def test_no_day_is_called_by_the_day_it_is_read_on(said: list[CalendarEntry]) -> None:
    for one in said:
        assert not {"today", "tomorrow", "yesterday"} & set(f"{one.title} {one.text}".lower().split())


def test_a_harvest_that_nobody_sees_is_no_deed_and_says_so(said: list[CalendarEntry]) -> None:
    (window,) = [
        one for one in about(said, name("cone", Stage.HATCHING)) if "best time to harvest" in one.title
    ]
    assert window.began == moment(15, "16:00")
    assert window.ended == moment(15, "22:30")  # people leave at 15:30 and come on Monday
    assert "Nobody is there in that time" in window.text
    assert not [one for one in about(said, name("cone", Stage.HATCHING)) if one.title.startswith("Harvest")]


def test_who_pours_hears_of_heater_lamp_and_hands(shelf: Shelf, said: list[CalendarEntry]) -> None:
    (heated,) = [one for one in about(said, name("cone", Stage.GROWING)) if one.busy]
    live = heated.text.partition(" Then pour")[0]
    assert "switch off and unplug the heater of" in live
    assert "cone-growing" in live
    for one in said:
        if one.busy:
            assert "Wash your hands" in one.text
            assert "Dry hands" in one.text


def test_filling_is_one_round_a_day_with_an_amount_for_each(said: list[CalendarEntry]) -> None:
    rounds = [one for one in said if one.title.startswith("Fill")]
    days = [datetime.fromtimestamp(int(str(one.began)), UTC).date() for one in rounds]
    assert len(set(days)) == len(days)
    # When people come: for one it is late already.
    (friday,) = [one for one in rounds if one.began == moment(15, "08:00")]
    assert re.fullmatch(r"Fill \d vessels", friday.title)
    for stage in (Stage.HATCHED, Stage.GROWING):
        assert re.search(rf"^{name('tray', stage)} \(24 cups\): [\d.]+ mL a cup$", friday.text, re.MULTILINE)


def test_what_is_being_harvested_is_a_round_of_its_own_with_brine(said: list[CalendarEntry]) -> None:
    (poured,) = [one for one in said if one.title == "Pour brine into 2 vessels"]
    for kind in ("tray", "cone"):
        assert name(kind, Stage.BEING_HARVESTED) in poured.text
    assert "The brine: " in poured.text


def test_cups_that_hatch_alike_are_one_entry(tmp_path: Path) -> None:
    desks = Desks(tray_station("a", "b", "c"), tmp_path, moment(11, "09:00"))
    for vessel in "abc":
        desks.tell("set", 0.05, vessel=vessel)
    desks.live(moment(11, "12:00"), lambda _at: 24.0)
    found = entries(desks.station, desks.store.connection, desks.at)
    (hatch,) = [one for one in found if "half hatched" in one.title]
    assert hatch.title.startswith("3 vessels: half hatched, most likely ")
    assert hatch.text.splitlines()[0] == "a, b and c"
    desks.tell("end", vessel="a")
    (rest,) = [
        one
        for one in entries(desks.station, desks.store.connection, desks.at + 60)
        if "half hatched" in one.title
    ]
    assert rest.title.startswith("b and c: half hatched")
    desks.store.close()


def test_brine_is_never_called_plain_water(shelf: Shelf) -> None:
    """Where salt is short plain water is not advised, as in the letters."""
    salty = replace(
        shelf.station,
        vessels=tuple(replace(one, salinity_low_g_per_kg=30.0) for one in shelf.station.vessels),
    )
    due = [one for one in entries(salty, shelf.desks.store.connection, BACK) if one.title.startswith("Pour")]
    assert due
    for one in due:
        assert one.title.startswith("Pour brine into")
        assert "pour plain water" not in one.text.lower()


def test_the_file_is_as_the_standard_has_it_and_another_program_reads_the_same(
    shelf: Shelf, said: list[CalendarEntry]
) -> None:
    raw = calendar(shelf.station, shelf.desks.store.connection, BACK)
    events = events_of(raw)
    parsed = Calendar.from_ical(raw)
    assert str(parsed["X-WR-CALNAME"]) == "Room 7"
    read = parsed.walk("VEVENT")
    assert len(read) == len(events) == len(said)
    for one, event, entry in zip(read, events, said, strict=True):
        assert (str(one["SUMMARY"]), str(one["DESCRIPTION"])) == (entry.title, entry.text)
        assert (event["SUMMARY"], event["DESCRIPTION"]) == (entry.title, entry.text)
        began = one["DTSTART"].dt
        if isinstance(entry.began, int):
            assert began == datetime.fromtimestamp(entry.began, UTC)
            assert event["DTSTART"].endswith("Z")
        assert one["UID"] == entry.uid
    assert parsed.errors == []


def test_the_same_entry_keeps_its_name_and_rises_in_sequence(tmp_path: Path) -> None:
    shelf = Shelf(tmp_path)
    desks = shelf.desks
    desks.beliefs.write(desks.beliefs.running(), shelf.at)
    before = {one.uid: one for one in entries(shelf.station, desks.store.connection, shelf.at)}
    shelf.live(shelf.at + 2 * HOUR)
    desks.beliefs.write(desks.beliefs.running(), shelf.at)
    after = {one.uid: one for one in entries(shelf.station, desks.store.connection, shelf.at)}
    kept = [uid for uid in before if uid in after and before[uid].sequence]
    assert len(kept) > 5
    assert all(after[uid].sequence > before[uid].sequence for uid in kept)
    assert all(after[uid].revised_at > before[uid].revised_at for uid in kept)
    desks.store.close()


def test_asked_again_without_news_it_gives_the_same_bytes(shelf: Shelf) -> None:
    connection = shelf.desks.store.connection
    assert calendar(shelf.station, connection, BACK + 60) == calendar(shelf.station, connection, BACK + 90)


def test_days_away_that_are_over_are_not_named_and_those_to_come_are_whole_days(shelf: Shelf) -> None:
    away = (DaySpan(date(2027, 1, 14), date(2027, 1, 14)), DaySpan(date(2027, 2, 15), date(2027, 2, 19)))
    found = entries(replace(shelf.station, away=away), shelf.desks.store.connection, BACK)
    assert [(one.began, one.ended) for one in found if isinstance(one.began, date)] == [
        (date(2027, 2, 15), date(2027, 2, 20))
    ]


def test_the_next_planned_letter_is_named(said: list[CalendarEntry]) -> None:
    (letter,) = [one for one in said if "letter" in one.title]
    assert (letter.title, letter.began, letter.ended) == (
        "Expected: nightly letter",
        moment(15, "20:00"),
        None,
    )


def test_in_german_a_calendar_is_german(shelf: Shelf) -> None:
    german = replace(shelf.station, language="de")
    found = entries(german, shelf.desks.store.connection, BACK)
    assert "Freitag, 15. Januar 2027" in " ".join(one.text for one in found)


CHANCES = station(attended=("Mon-Fri 08:00-15:30",), away=["2027-01-18/2027-01-19"])


@pytest.mark.parametrize(
    ("at", "by", "chance"),
    [
        # A low mark on Saturday is filled for on Friday, half an hour before people leave.
        (moment(15, "07:30"), moment(16, "14:00"), moment(15, "15:00")),
        # Due on Friday at noon: half an hour before.
        (moment(15, "07:30"), moment(15, "12:00"), moment(15, "11:30")),
        # Past already, and it is night: when they come.
        (moment(14, "22:00"), moment(14, "20:00"), moment(15, "08:00")),
        # Over the weekend and two days away: on Wednesday.
        (moment(15, "16:00"), moment(17, "12:00"), moment(20, "08:00")),
        # While people are there and it is late already: at the next quarter of an hour.
        (moment(15, "09:05"), moment(15, "09:00"), moment(15, "09:15")),
    ],
)
def test_the_last_chance_lies_in_attended_hours_before_it_is_too_late(at: int, by: int, chance: int) -> None:
    assert last_chance(CHANCES, at, by) == chance


def always() -> Station:
    return station(attended=())


def test_where_somebody_always_is_nothing_is_due_in_the_quiet_of_the_night() -> None:
    # Quiet from 20:00 to 07:00 is the default of the station file.
    assert last_chance(always(), moment(14, "12:00"), moment(15, "03:00")) == moment(14, "19:45")
    assert first_chance(always(), moment(14, "23:00"), moment(15, "12:00")) == moment(15, "07:00")


def test_nobody_who_never_comes_is_asked_for_anything() -> None:
    away = station(attended=("Mon-Fri 08:00-15:30",), away=["2027-01-14/2027-01-31"])
    assert first_chance(away, moment(15, "08:00"), moment(29, "08:00")) is None
