"""Letters as the daemon writes them at a moment: before people go, fresh, of a hatch that nobody saw."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from daemon.letters.conversions import setting
from daemon.letters.scribe import Scribe
from daemon.store import doubts as doubt_store
from reports.records import LetterText
from sensors.reading import Quality
from tests.kit.desks import HOUR, Desks, moment, tray_station
from tests.kit.letter_text import flat

DAY = 24 * HOUR


def warm(_at: int) -> float:
    return 24.0


def letter(desks: Desks, kind: str, at: int | None = None) -> LetterText | None:
    """What a letter of the kind about the tray would say now, or at a moment without newer readings."""
    known = (desks.station, desks.store.connection, desks.beliefs, desks.alarms.watch, desks.batch_letters)
    return Scribe(*known, lambda: 0).letter(kind, ["tray"], desks.at if at is None else at)


def test_a_leave_letter_is_written_only_in_the_hours_before_people_leave(begin: Callable[..., Desks]) -> None:
    """A row that waited out an outage is about people who are gone, or is days too early."""
    desks = begin(14, "12:00")
    desks.live(moment(14, "13:00"), warm)
    moments = [(14, "13:20"), (15, "13:20"), (15, "13:30"), (15, "15:20"), (15, "15:30"), (16, "10:00")]
    written = [one for one in (*moments, (18, "09:00")) if letter(desks, "leave", moment(*one)) is not None]
    assert written == [(15, "13:30"), (15, "15:20")]


def test_a_return_letter_is_written_only_on_the_day_on_which_people_come(begin: Callable[..., Desks]) -> None:
    """A row that waited out an outage is about people who came, and may be gone again."""
    desks = begin(15, "12:00")
    desks.live(moment(15, "13:00"), warm)
    moments = [(15, "16:00"), (16, "10:00"), (18, "07:15"), (18, "14:00"), (18, "20:00"), (19, "10:00")]
    written = [one for one in moments if letter(desks, "return", moment(*one)) is not None]
    assert written == [(18, "07:15"), (18, "14:00")]


def test_who_comes_twice_on_the_day_of_a_return_reads_of_it_between_the_two(tmp_path: Path) -> None:
    twice = ("Mon-Fri 05:30-07:00", "Mon-Fri 14:00-16:00")
    desks = Desks(tray_station(attended=twice), tmp_path, moment(15, "12:00"))
    desks.tell("set", 0.05)
    desks.live(moment(15, "13:00"), warm)
    assert letter(desks, "return", moment(18, "08:30")) is not None
    assert letter(desks, "return", moment(18, "17:00")) is None


def test_before_you_go_names_the_file_s_lamp_hours_at_any_moment(begin: Callable[..., Desks]) -> None:
    desks = begin(15, "12:00", lamp=["07:00-19:00"])
    desks.live(moment(15, "13:30"), warm)
    for minute in (0, 60, 110):
        text = letter(desks, "leave", desks.at + minute * 60)
        assert text is not None
        assert "Lamp on: 07:00 to 19:00." in flat(text)


@pytest.mark.parametrize("every_s", [60, 600, 1800])
def test_a_reading_is_of_now_for_half_an_hour_or_three_beats(every_s: int) -> None:
    station = replace(tray_station(), sample_every_s=every_s)
    assert setting(station, None, moment(14, "12:00")).fresh_for.total_seconds() == max(1800, 3 * every_s)


@pytest.mark.parametrize(
    ("clock", "leaves"), [("07:00", None), ("08:00", "15:30"), ("15:29", "15:30"), ("15:30", None)]
)
def test_who_is_there_leaves_at_the_end_of_the_attended_hours(clock: str, leaves: str | None) -> None:
    known = setting(tray_station(), None, moment(14, clock))
    assert (None if known.leaves_at is None else f"{known.leaves_at:%H:%M}") == leaves
    assert setting(tray_station(attended=()), None, moment(14, clock)).leaves_at is None


def test_cold_that_was_read_long_ago_is_not_said_to_be_so_now(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "09:00")
    desks.live(moment(12, "15:00"), lambda at: 24.0 if at < moment(12, "13:00") else 12.0)
    now, later = letter(desks, "cold"), letter(desks, "cold", desks.at + 8 * HOUR)
    assert now is not None
    assert later is not None
    assert flat(now).startswith("Cold water in tray: 12.0 °C.") or "(24 cups): 12.0 °C." in flat(now)
    assert now.subject.startswith("Cold: 12.0 °C")
    assert "when it was last read, 8 hours ago: 12.0 °C." in flat(later)
    assert later.subject.startswith("Cold when last read: 12.0 °C")


def test_a_hatch_that_was_seen_is_neither_near_nor_later_than_was_said(begin: Callable[..., Desks]) -> None:
    desks = begin(12, "09:00")
    desks.live(moment(12, "22:00"), warm)
    assert letter(desks, "hatch") is not None
    desks.tell("first-swimmer")
    desks.live(moment(13, "12:00"), lambda _at: 5.0)
    for hours in (0, 12, 48, 120):
        assert letter(desks, "hatch", desks.at + hours * HOUR) is None


def test_animals_to_feed_are_looked_for_first_unless_the_last_who_looked_saw_some(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(11, "09:00")
    desks.live(moment(15, "09:00"), warm)
    for deed, amount, unseen in (
        (None, None, True),
        ("first-swimmer", None, False),
        ("hatched", 0.0, True),
        ("count", 12.0, False),
    ):
        if deed is not None:
            desks.at += 600
            desks.tell(deed, amount)
        feed = letter(desks, "feed")
        assert feed is not None
        assert ("look first whether animals swim" in flat(feed)) == unseen, deed


def test_what_will_have_hatched_by_then_is_as_believed(
    begin: Callable[..., Desks],
) -> None:
    desks = begin(12, "09:00")
    desks.live(moment(13, "03:00"), warm)
    belief, believed = desks.beliefs.of("tray"), desks.beliefs.estimates("tray", desks.at)
    now = belief.hatched_at(desks.at, desks.at)
    assert now.p50 == pytest.approx(believed["hatched_fraction"].p50, abs=0.02)
    half = belief.hatched_at(round(believed["hatch_t50"].p50), desks.at)
    assert half.p10 < 0.5 < half.p90
    assert half.p50 == pytest.approx(0.5, abs=0.1)
    assert belief.hatched_at(desks.at + 4 * DAY, desks.at).p10 > 0.99


@pytest.mark.parametrize("dead", [True, False])
def test_back_at_a_dead_or_doubted_probe_it_comes_before_the_pour(
    begin: Callable[..., Desks], dead: bool
) -> None:
    desks = begin(15, "12:00")
    desks.live(moment(16, "12:00"), warm)
    desks.live(moment(18, "07:10"), warm, quality=Quality.ABSENT if dead else Quality.GOOD)
    if not dead:
        doubt_store.add(desks.store.connection, moment(17, "09:00"), "water", "air")
    text = letter(desks, "return")
    assert text is not None
    assert text.subject.startswith("Back: see to the probe, tray")
    said = flat(text)
    assert said.index("look, with dry hands, whether the probe in tray") < said.index("pour plain water")
    assert ("The probe water: " in said) is not dead
