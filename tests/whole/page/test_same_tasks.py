"""Shelf, today, the letter before people leave and the printed week ask for the same, whatever happened."""

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from html import unescape
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from daemon.hours import local_day
from daemon.page.glance import Glance, glancing
from daemon.page.site import make_site
from daemon.page.to_do import tasks_of
from daemon.page.week import week_from
from daemon.post.message import words_of
from daemon.store import deeds as deed_store
from daemon.store import letters as letter_store
from reports.letters.pouring import is_due, is_to_fill, takes_brine
from reports.page.paper.week import BRINE, FEED, FILL, WeekVessel
from reports.page.shelf import first_of_all, shelf
from reports.page.task import Task
from reports.page.vessel_due import VesselDue
from reports.records import VesselNight
from tests.kit.command_line import naupliad
from tests.kit.histories.drawn import drawn_history
from tests.kit.undrawn import undrawn

# Of one vessel and of several, with absences, a heater that nobody gave, and a cup to fill on a plain day.
SHORT = (9, 1003, 1005, 1010)
LONG = range(1000, 1012)
HOUR = 3600
EVERY_S = 5 * HOUR + 700  # every hour of a day in turn


@pytest.mark.parametrize("seed", SHORT)
def test_shelf_today_week_and_letter_ask_for_the_same(seed: int, tmp_path: Path) -> None:
    assert list(_unlike(seed, tmp_path / "out")) == []


@pytest.mark.long
def test_they_ask_for_the_same_in_a_dozen_random_histories(tmp_path: Path) -> None:
    assert [one for seed in LONG for one in _unlike(seed, tmp_path / str(seed))] == []


STORY = """
[story]
title = "A cold weekend"
tell = "A cup in a room that is not heated on Saturdays and Sundays."
seed = 7
begins = 2027-01-11T08:00:00+01:00
ends = 2027-01-18T14:00:00+01:00

[station]
text = '''
[station]
name = "Room 9"
timezone = "Europe/Berlin"
attended = ["Mon-Fri 07:30-15:30"]
sample_every_s = 600
[[probe]]
id = "water"
measures = "water_c"
driver = "rehearsal"
[[vessel]]
id = "cup"
mark_ml = 250.0
surface_cm2 = 38.5
low_ml = 80.0
brim_ml = 30.0
probes = ["water"]
cold_c = 18.0
hot_c = 30.0
lamp = ["18:00-07:00"]
'''
[room]
day_c = 20.5
[[event]]
at = 2027-01-11T10:00:00+01:00
do = "set"
grams = 0.05
salt_g_per_l = 25
lot = "spring"
[[event]]
at = 2027-01-12T09:00:00+01:00
do = "look"
[[event]]
at = 2027-01-12T14:00:00+01:00
do = "look"
"""
BERLIN = ZoneInfo("Europe/Berlin")


@pytest.fixture(scope="module")
def cold_weekend(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the daemon left of the story; nobody filled the cup, nor fed what is in it."""
    folder = tmp_path_factory.mktemp("story")
    (folder / "story.toml").write_text(STORY, encoding="utf-8")
    with undrawn():
        said = naupliad("rehearse", folder / "story.toml", "--out", folder / "out")
    assert said.code == 0, said.err
    return folder / "out"


def moment(day: int, clock: str) -> int:
    """In January 2027, Unix s."""
    return int(datetime.fromisoformat(f"2027-01-{day}T{clock}").replace(tzinfo=BERLIN).timestamp())


def page_at(state: Path, at: int, path: str) -> str:
    """A view as it stood then, its words in one line."""
    with make_site(state, moment=lambda _state, _connection: at).test_client() as browser:
        page = browser.get(path).get_data(as_text=True)
    return " ".join(unescape(re.sub(r"<svg.*?</svg>|<[^>]+>", " ", page, flags=re.DOTALL)).split())


def test_over_a_week_with_a_cold_weekend_they_ask_for_the_same(cold_weekend: Path) -> None:
    found = []
    for at in range(moment(11, "11:00"), moment(18, "14:00"), EVERY_S):
        with glancing(cold_weekend, lambda _state, _connection, at=at: at) as glance:
            found += [f"{glance.local(at):%a %H:%M}: {one}" for one in _at(glance)]
    assert found + list(_letters(cold_weekend, moment(18, "14:00"))) == []


def test_until_people_leave_the_page_says_what_the_letter_half_an_hour_ago_asked_for(
    cold_weekend: Path,
) -> None:
    for path in ("/", "/today", "/vessel/cup"):
        said = page_at(cold_weekend, moment(15, "14:00"), path)
        assert "Before you go, ask for the heating to stay on" in said, path
        assert "Feed: half a pinch" in said, path
        assert "a pinch into" not in said, path
    with glancing(cold_weekend, lambda _state, _connection: moment(15, "14:00")) as glance:
        written = letter_store.written_between(glance.connection, 0, glance.at)
        (letter,) = (row for row in written if row.kind == "leave")
        message = letter_store.kept_message(glance.connection, letter.id)
    assert message is not None
    poured = re.search(r"Pour: ([0-9.]+ mL)", words_of(message).text)
    assert poured is not None
    assert f"Pour: {poured[1]}" in page_at(cold_weekend, moment(15, "14:00"), "/")
    sheet = page_at(cold_weekend, moment(15, "14:00"), "/paper/week")
    assert "Look Feed Fill Keep warm" in sheet
    assert "half a pinch before a day without anybody" in sheet


def test_what_comes_today_is_known_in_the_morning(cold_weekend: Path) -> None:
    with glancing(cold_weekend, lambda _state, _connection: moment(14, "08:55")) as glance:
        (cup,), _, found = tasks_of(glance)
        (sheet,) = week_from(glance, local_day(glance.at, BERLIN)).vessels
    assert cup.feed is None
    assert cup.feed_at is not None
    assert FEED in (sheet.boxes[0] or ())
    assert not any("food" in task.what for task in found)
    assert "food is due today at 10:00 or later" in page_at(cold_weekend, moment(14, "08:55"), "/today")


def test_on_a_weekend_the_page_says_what_happened_and_what_helps_on_monday(cold_weekend: Path) -> None:
    said = page_at(cold_weekend, moment(17, "08:55"), "/today")
    assert re.search(
        r"When you are back, tomorrow at 07:30, look first at cup\. The water was down to 1[0-7]\.\d °C in "
        r"the last day, too cold.* If it still is, warm the room",
        said,
    )
    assert "When you are back, tomorrow at 07:30, look whether you can see through the water" in said
    assert "Before you go" not in said


def test_nobody_is_asked_to_look_at_what_is_sure_by_what_was_seen(cold_weekend: Path) -> None:
    said = page_at(cold_weekend, moment(13, "08:55"), "/today")
    assert "with a torch" not in said
    assert "only calculated" not in said


def test_the_next_letter_is_announced_once(cold_weekend: Path) -> None:
    for day in range(12, 18):
        assert page_at(cold_weekend, moment(day, "08:55"), "/today").count("Next letter") == 1


def _unlike(seed: int, folder: Path) -> Iterator[str]:
    """Each thing that two of them say unlike."""
    history = drawn_history(seed)
    history.play(folder)
    first, last = history.readings[0].at, history.readings[-1].at
    for at in range(first + HOUR, last, EVERY_S):
        with glancing(folder, lambda _state, _connection, at=at: at) as glance:
            yield from (f"seed {seed}, {glance.local(at):%a %d %H:%M}: {one}" for one in _at(glance))
    yield from (f"seed {seed}: {one}" for one in _letters(folder, last))


def _at(glance: Glance) -> Iterator[str]:
    due, _, found = tasks_of(glance)
    lead = first_of_all(glance.setting, glance.record, found)
    if lead.asks != bool(found):
        yield f"the shelf says {lead.what!r} beside {len(found)} tasks"
    standing = {one.vessel for one in shelf(glance.setting, glance.record, found) if one.first is not None}
    if standing != {name for task in found[1:] for name in task.about}:
        yield "the shelf leaves out a vessel's task"
    week = week_from(glance, local_day(glance.at, glance.station.timezone))
    for known, night, sheet in zip(due, glance.record.vessels, week.vessels, strict=True):
        yield from _today(glance, known, night, sheet, found)


def _today(
    glance: Glance, due: VesselDue, night: VesselNight, sheet: WeekVessel, found: list[Task]
) -> Iterator[str]:
    boxes = sheet.boxes[0]
    if boxes is None:  # nobody comes today any more
        return
    comes = due.feed_at is not None and due.feed_at.date() == glance.setting.written_at.date()
    if (FEED in boxes) != (due.feed is not None or comes):
        yield f"{due.vessel}: food on the sheet {FEED in boxes}, by today {due.feed}, {due.feed_at}"
    if due.feed is not None and not any(due.vessel in task.about for task in found):
        yield f"{due.vessel}: fed, and no task says so"
    if takes_brine(night) and FILL in boxes:
        yield f"{due.vessel}: plain water on the sheet where brine is due"
    if night.open_alarms or night.silenced:
        return  # an alarm's task says itself what comes before pouring
    asked = due.fills or (is_to_fill(glance.setting, night) if due.going is None else is_due(due.going))
    box = BRINE if takes_brine(night) else FILL
    if (box in boxes) != asked:
        yield f"{due.vessel}: {box} by the sheet {box in boxes}, by today {asked}"
    poured = [step for task in found if due.vessel in task.about for step in task.steps]
    if asked and not poured:
        yield f"{due.vessel}: no amount to pour stands in a task"


def _letters(folder: Path, last: int) -> Iterator[str]:
    """The letters before people leave, each beside the page of its moment."""
    with glancing(folder, lambda _state, _connection: last) as glance:
        written = [
            row
            for row in letter_store.written_between(glance.connection, 0, last)
            if row.kind == "leave" and row.written_at is not None
        ]
        late = any(
            one.withdrawn_at is not None or one.recorded_at > one.deed.at + HOUR
            for one in deed_store.every(glance.connection)
        )
        texts = {
            row.written_at: words_of(message).text
            for row in written
            if (message := letter_store.kept_message(glance.connection, row.id)) is not None
        }
    for at, text in texts.items():
        if late or at is None:  # the page knows now what the letter could not
            continue
        with glancing(folder, lambda _state, _connection, at=at: at) as glance:
            _, _, found = tasks_of(glance)
            told = " ".join(text.split())
            if not any(task.what in told or task.what[1:] in told for task in found):
                yield f"{timedelta(seconds=at)}: letter {told[:400]!r}, page {[task.what for task in found]}"
