"""The letters about a batch itself: when they are held, for when, and when there is none."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from daemon.alarms.letter_timing import DatedLetter, coming_letters, planned_fits
from daemon.store import letters as letter_store
from tests.kit.desks import HOUR, Desks, moment, tray_station

DAY = 24 * HOUR
ALWAYS: tuple[str, ...] = ()


def warm(_at: int) -> float:
    return 25.0


@pytest.fixture
def begin(tmp_path: Path) -> Callable[..., Desks]:
    """A station that begins on a January morning."""

    def made(day: int, clock: str = "09:00", *vessels: str, **told: Any) -> Desks:
        return Desks(tray_station(*vessels, **told), tmp_path, moment(day, clock))

    return made


def test_a_hatch_is_told_of_once_and_before_half_of_it_has_come(begin: Callable[..., Desks]) -> None:
    desks = begin(12)
    desks.tell("set", 0.05)
    desks.live(moment(13, "08:00"), warm)
    (letter,) = desks.letters("hatch")
    assert letter.due_at <= moment(13, "08:00")
    desks.live(moment(13, "15:00"), warm)
    assert len(desks.letters("hatch")) == 1


def test_who_told_of_swimmers_is_not_told_of_the_hatch(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "15:00")
    desks.tell("set", 0.05)
    desks.live(moment(12, "17:00"), lambda _at: 20.0)
    assert desks.letters("hatch") == []
    desks.tell("first-swimmer")
    desks.live(moment(15, "09:00"), warm)
    assert desks.letters("hatch") == []


def test_vessels_set_within_some_hours_are_told_of_at_the_same_time(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "09:00", "tray", "jar")
    desks.tell("set", 0.05)
    desks.live(moment(12, "13:00"), warm)
    desks.tell("set", 0.05, vessel="jar")
    desks.live(moment(13, "12:00"), warm)
    tray, jar = desks.letters("hatch")
    assert {tray.about, jar.about} == {("tray",), ("jar",)}
    assert tray.due_at == jar.due_at or abs(tray.due_at - jar.due_at) <= HOUR


def test_a_hatch_in_an_empty_room_waits_for_the_return(begin: Callable[..., Desks]) -> None:
    desks = begin(15, "14:00")
    desks.tell("set", 0.05)
    desks.live(moment(17, "12:00"), warm)
    assert [letter.due_at for letter in desks.letters("hatch")] == [moment(18, "07:15")]


def test_nobody_is_asked_to_feed_before_the_third_day_nor_outside_attended_hours(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(11)
    desks.tell("set", 0.05)
    desks.live(moment(13, "08:50"), warm)
    assert desks.letters("feed") == []
    desks.tell("hatched", 0.9)
    desks.live(moment(14, "12:00"), warm)
    # A hatch letter, and on Friday and Monday those before and after the weekend: three planned in a week.
    assert desks.letters("feed") == []


def test_where_no_absence_is_to_come_feeding_is_asked_for_once_a_week_and_not_at_night(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(11, attended=ALWAYS)
    desks.tell("set", 0.05)
    desks.live(moment(13, "08:50"), warm)
    assert desks.letters("feed") == []
    desks.live(moment(18, "09:00"), warm)
    (letter,) = desks.letters("feed")
    assert letter.at >= moment(13, "09:00")
    assert moment(13, "07:15") <= letter.due_at
    assert 7 <= (letter.due_at - moment(11, "00:00")) % DAY / HOUR < 20


def test_fed_animals_bring_no_letter_for_three_and_a_half_days(begin: Callable[..., Desks]) -> None:
    desks = begin(11, attended=ALWAYS)
    desks.tell("set", 0.05)
    desks.live(moment(13, "08:50"), warm)
    desks.tell("feed", 0.01)
    desks.live(moment(16, "20:00"), warm)
    assert desks.letters("feed") == []
    desks.live(moment(17, "09:00"), warm)
    assert len(desks.letters("feed")) == 1


def test_a_cone_is_told_of_its_harvest_and_not_of_its_hatch(begin: Callable[..., Desks]) -> None:
    desks = begin(12, kind="cone")
    desks.tell("set", 0.05)
    desks.live(moment(14, "09:00"), warm)
    assert desks.letters("hatch") == []
    opens, *closes = desks.letters("harvest")
    assert moment(12, "09:00") < opens.due_at <= moment(13, "07:15")
    assert all(letter.due_at - opens.due_at >= 7 * HOUR for letter in closes)


@pytest.mark.parametrize("clock", ["08:30", "12:00", "15:00"])
def test_a_harvest_that_nobody_will_see_is_said_while_somebody_is_there(
    begin: Callable[..., Desks], clock: str
) -> None:
    """Set on Thursday, it opens in the night to Saturday: said on Friday, with hours left."""
    desks = begin(14, clock, kind="cone")
    desks.tell("set", 0.05)
    desks.live(moment(15, "15:30"), lambda _at: 21.0)
    opens, closes = (
        round(desks.beliefs.estimates("tray", desks.at)[f"harvest_{edge}_at"].p50)
        for edge in ("opens", "closes")
    )
    assert moment(15, "15:30") < opens < closes < moment(18, "08:00")
    (letter,) = desks.letters("harvest")
    assert moment(15, "07:30") <= letter.due_at < moment(15, "13:30")


def test_after_a_harvest_nothing_more_is_said_of_it(begin: Callable[..., Desks]) -> None:
    desks = begin(12, kind="cone")
    desks.tell("set", 0.05)
    desks.live(moment(13, "08:30"), warm)
    desks.tell("harvest", 200.0)
    before = len(desks.letters("harvest"))
    desks.live(moment(14, "09:00"), warm)
    assert len(desks.letters("harvest")) == before


def test_a_planned_letter_counts_those_that_are_sure_to_come() -> None:
    at = moment(14, "09:00")  # a Thursday
    coming = coming_letters(tray_station(), at)
    assert [(letter.kind, letter.at) for letter in coming[:2]] == [
        ("leave", moment(15, "13:30")),
        ("return", moment(18, "07:15")),
    ]
    hatch = DatedLetter(moment(12, "07:15"), "hatch")
    assert planned_fits([hatch], at)
    assert not planned_fits([hatch, *coming], at)
    assert planned_fits(coming, at)
    assert coming_letters(tray_station(attended=ALWAYS), at) == []


def planned(desks: Desks, kind: str, at: int) -> None:
    """A planned letter about the tray that went out at a moment."""
    connection = desks.store.connection
    row = letter_store.hold(connection, at, kind, kind, at, ["tray"])
    connection.execute("UPDATE letter SET state = 'sent', sent_at = ? WHERE id = ?", (at, row))


def test_a_hatch_beyond_the_weeks_budget_goes_in_the_letter_before_the_weekend(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(12)
    for day, kind in ((8, "leave"), (11, "return"), (11, "feed")):
        planned(desks, kind, moment(day, "13:30" if kind == "leave" else "07:15"))
    planned(desks, "feed", moment(12, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(13, "08:00"), warm)
    (letter,) = desks.letters("hatch")
    assert letter.due_at == moment(15, "13:30")


def test_a_harvest_that_would_be_missed_by_then_goes_all_the_same(begin: Callable[..., Desks]) -> None:
    desks = begin(12, kind="cone")
    for day, kind in ((8, "leave"), (11, "return"), (11, "feed")):
        planned(desks, kind, moment(day, "13:30" if kind == "leave" else "07:15"))
    planned(desks, "feed", moment(12, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(13, "10:00"), warm)
    letters = desks.letters("harvest")
    assert letters
    assert letters[0].due_at < moment(14, "08:00")


def full_week(desks: Desks, *moments: int) -> None:
    """Three planned letters that went out."""
    for at in moments:
        planned(desks, "feed", at)


def test_a_hatch_beyond_the_budget_waits_for_room_where_nobody_ever_leaves(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(12, attended=ALWAYS)
    full_week(desks, moment(7, "08:00"), moment(11, "08:00"), moment(12, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(13, "19:50"), warm)
    assert desks.letters("hatch") == []
    desks.live(moment(14, "09:00"), warm)
    assert {letter.due_at for letter in desks.letters("hatch")} == {moment(14, "07:15")}


def test_a_hatch_that_nobody_recorded_is_told_of_once_when_there_is_room(begin: Callable[..., Desks]) -> None:
    """It is near no more by then, but overdue."""
    desks = begin(12, attended=ALWAYS)
    full_week(desks, moment(11, "08:00"), moment(11, "18:00"), moment(12, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(18, "12:00"), warm)
    assert len(desks.letters("hatch")) == 1


def test_a_choice_about_a_harvest_goes_in_the_letter_before_the_weekend_where_the_week_is_full(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(14, "12:00", kind="cone")
    full_week(desks, moment(12, "08:00"), moment(13, "08:00"), moment(14, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(15, "13:00"), lambda _at: 21.0)
    (letter,) = desks.letters("harvest")
    assert letter.due_at == moment(15, "13:30")


def test_a_second_word_of_a_harvest_gives_way_where_the_week_is_full(begin: Callable[..., Desks]) -> None:
    desks = begin(12, kind="cone", attended=ALWAYS)
    full_week(desks, moment(11, "08:00"), moment(11, "18:00"), moment(12, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(14, "12:00"), lambda _at: 21.0)
    assert len(desks.letters("harvest")) == 1


def test_who_is_away_till_the_return_letter_reads_of_the_hatch_in_that(begin: Callable[..., Desks]) -> None:
    """On Sunday evening, of a hatch that comes while they are there again."""
    desks = begin(17, "12:00")
    desks.tell("set", 0.05)
    desks.live(moment(17, "22:00"), warm)
    (letter,) = desks.letters("hatch")
    assert letter.due_at == moment(18, "07:15")
