"""What is held when an alarm rings: once for what stands, for when it may go, nothing that was foreseen."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest

from daemon.alarms.conditions import AlarmKey
from daemon.alarms.lifecycle import State
from daemon.alarms.watch import Change
from daemon.care.deed import Deed
from daemon.letters.alarm_letters import AlarmLetters
from daemon.station import Station
from daemon.store import deeds
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from daemon.store.runs import Outage
from daemon.watching.alarm_desk import keep
from daemon.watching.beliefs import Beliefs
from sensors.reading import Quality, Reading
from tests.kit.desks import HOUR, moment, tray_station

NIGHT = 14 * HOUR


@dataclass
class Room:
    """Alarms that ring and clear by hand, and the letters that are held for them and go when they are due."""

    station: Station
    folder: Path
    since: dict[tuple[str, str], int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.store = WritingStore(self.folder, durable=False)
        self.connection = self.store.connection
        self.letters = AlarmLetters(self.station, self.connection, Beliefs(self.station, self.connection, 0))

    def ring(
        self,
        at: int,
        condition: str,
        value: float | None,
        vessel: str = "tray",
        probe: str = "",
        **also: bool,
    ) -> None:
        began = self.since.setdefault((vessel, condition), at - HOUR)
        self.now(at)
        key = AlarmKey(vessel, condition, probe)
        change = Change(
            at, key, State.UNACKNOWLEDGED, value, began, rang=True, worse=also.get("worse", False)
        )
        keep(self.connection, [change])
        self.letters.rang(change)

    def clear(self, at: int, condition: str, vessel: str = "tray") -> None:
        self.now(at)
        self.since.pop((vessel, condition), None)
        keep(self.connection, [Change(at, AlarmKey(vessel, condition), State.RETURNED, None)])

    def now(self, at: int) -> None:
        """What is due by now went out, what goes at one moment as one."""
        rows = letter_store.due(self.connection, "held", at)
        for row in rows:
            first = next(other for other in rows if (other.due_at, other.kind) == (row.due_at, row.kind))
            state = "sent" if first.id == row.id else "merged"
            self.connection.execute(
                "UPDATE letter SET state = ?, sent_at = ?, written_at = ?, merged_into = ? WHERE id = ?",
                (state, row.due_at, row.due_at, None if first.id == row.id else first.id, row.id),
            )

    def read(self, at: int, water_c: float) -> None:
        reading_store.add(self.connection, [Reading(at, "water", water_c, Quality.GOOD)])

    def held(self) -> list[LetterRow]:
        return letter_store.in_state(self.connection, "held")

    def went(self, until: int) -> list[tuple[str, int]]:
        """What went out by then: kind and moment."""
        self.now(until)
        return [(row.kind, row.sent_at or 0) for row in letter_store.in_state(self.connection, "sent")]


@pytest.fixture
def room(tmp_path: Path) -> Callable[..., Room]:
    def made(*vessels: str, urgent: tuple[str, ...] = (), after_min: int = 0, **told: object) -> Room:
        at = tray_station(*vessels, cold_c=20.0, **told)
        post = replace(at.post, urgent=urgent, urgent_after_min=after_min)
        return Room(replace(at, post=post), tmp_path)

    return made


def test_a_forecast_past_the_animals_limit_keeps_the_quiet_and_a_reading_does_not(
    room: Callable[..., Room],
) -> None:
    here = room()
    here.ring(moment(13, "22:00"), "hot-ahead", 36.0)
    assert here.went(moment(14, "07:00")) == []
    here.ring(moment(14, "07:05"), "hot", 33.5)
    assert ("hot", moment(14, "07:05")) in here.went(moment(14, "07:05"))


def test_what_was_foreseen_today_brings_no_second_letter_unless_it_comes_worse_than_foreseen(
    room: Callable[..., Room],
) -> None:
    here = room()
    here.ring(moment(13, "09:00"), "hot-ahead", 31.5)
    here.ring(moment(13, "11:00"), "hot", 30.2)
    here.ring(moment(13, "12:00"), "hot", 32.4, worse=True)
    assert here.went(moment(14, "08:00")) == [("hot", moment(13, "09:00"))]
    here.ring(moment(13, "13:00"), "hot", 32.8, worse=True)
    assert [row.due_at for row in here.held()] == [moment(14, "07:15")]


def test_a_forecast_is_said_once_a_day(room: Callable[..., Room]) -> None:
    here = room()
    for hour in ("09:00", "11:00", "13:00"):
        here.ring(moment(13, hour), "hot-ahead", 31.5)
        here.clear(moment(13, hour) + HOUR, "hot-ahead")
    here.ring(moment(14, "08:30"), "hot-ahead", 31.5)
    assert here.went(moment(14, "20:00")) == [("hot", moment(13, "09:00"))]


def test_the_same_trouble_anew_goes_no_sooner_than_a_day_after(room: Callable[..., Room]) -> None:
    here = room()
    here.ring(moment(12, "09:00"), "cold", 19.5)
    here.clear(moment(12, "11:00"), "cold")
    here.ring(moment(12, "14:00"), "cold", 19.5)
    assert [row.due_at for row in here.held()] == [moment(13, "09:00")]


def test_cold_is_said_again_when_it_is_much_colder_than_was_read(room: Callable[..., Room]) -> None:
    here = room()
    here.read(moment(12, "09:00"), 19.0)
    here.ring(moment(12, "09:00"), "cold", 19.0)
    here.ring(moment(12, "14:00"), "cold", 16.5, worse=True)
    assert here.held() == []
    here.ring(moment(12, "15:00"), "cold", 16.0, worse=True)
    assert [row.due_at for row in here.held()] == [moment(13, "07:15")]


def test_a_probe_that_vessels_share_is_one_trouble_and_another_probe_is_another(
    room: Callable[..., Room],
) -> None:
    here = room("a", "b", "c")
    for name in ("a", "b", "c"):
        here.ring(moment(14, "22:00"), "probe", None, name, "light")
    (letter,) = here.held()
    assert letter.about == ("a", "b", "c")
    here.clear(moment(15, "07:20"), "probe", "b")
    here.ring(moment(15, "07:40"), "probe", None, "b", "light")
    assert here.held() == [], "nobody was there since"
    here.ring(moment(15, "07:50"), "probe", None, "a", "water")
    assert [row.due_at for row in here.held()] == [moment(18, "07:15")]


def test_who_asks_for_cold_at_any_hour_is_told_at_night_after_the_minutes_they_gave(
    room: Callable[..., Room],
) -> None:
    asked = room(urgent=("cold",), after_min=90)
    asked.ring(moment(13, "14:00"), "lamp", 0.0)
    asked.ring(moment(14, "02:00"), "cold", 19.0)
    assert [row.due_at for row in asked.held()] == [moment(14, "02:30")]
    asked.ring(moment(14, "02:10"), "lamp", 0.0)
    assert sorted(row.due_at for row in asked.held()) == [moment(14, "02:30"), moment(15, "07:15")]


def test_what_is_asked_for_at_any_hour_does_not_wait_for_a_forecast_that_waits(
    room: Callable[..., Room],
) -> None:
    asked = room(urgent=("cold",))
    asked.ring(moment(13, "23:00"), "cold-ahead", 18.0)
    assert [row.due_at for row in asked.held()] == [moment(14, "07:15")]
    asked.ring(moment(14, "02:00"), "cold", 19.0)
    assert [row.due_at for row in asked.held()] == [moment(14, "02:00")]


def cold_night(here: Room, day: int, coldest_c: float) -> None:
    """Cold from ten in the evening to half past eight."""
    evening = moment(day, "22:00")
    for hour in range(11):
        here.read(evening + hour * HOUR, coldest_c)
    here.ring(evening + HOUR, "cold", coldest_c)
    here.now(moment(day + 1, "07:15"))
    here.clear(moment(day + 1, "08:30"), "cold")


def test_after_two_nights_of_the_same_cold_no_letter_comes_of_the_third(room: Callable[..., Room]) -> None:
    here = room(lamp=[])
    for day in (11, 12, 13, 14):
        cold_night(here, day, 18.5)
    mornings = [moment(day, "07:15") for day in (12, 13)]
    assert here.went(moment(15, "12:00")) == [("cold", at) for at in mornings]


def test_a_night_that_is_clearly_colder_than_those_is_told_of(room: Callable[..., Room]) -> None:
    here = room(lamp=[])
    for day in (11, 12, 13):
        cold_night(here, day, 18.5)
    here.ring(moment(14, "23:00"), "cold", 18.5)
    assert here.held() == []
    here.ring(moment(15, "02:00"), "cold", 17.4, worse=True)
    assert [row.due_at for row in here.held()] == [moment(15, "07:15")]


def test_cold_that_outlasts_the_night_is_told_of_at_noon_once(room: Callable[..., Room]) -> None:
    here = room(lamp=[])
    for day in (11, 12, 13):
        cold_night(here, day, 18.5)
    here.ring(moment(14, "23:00"), "cold", 18.5)
    here.letters.still_cold(moment(15, "11:00"))
    assert here.held() == []
    here.letters.still_cold(moment(15, "12:00"))
    here.letters.still_cold(moment(15, "13:00"))
    assert [row.due_at for row in here.held()] == [moment(15, "12:00")]


def test_cold_that_a_letter_told_of_is_not_told_of_again_at_noon(room: Callable[..., Room]) -> None:
    here = room(lamp=[])
    here.ring(moment(11, "23:00"), "cold", 18.5)
    here.now(moment(12, "08:00"))
    here.letters.still_cold(moment(12, "12:00"))
    assert here.held() == []


def test_cold_that_a_letter_about_another_vessel_told_of_is_not_told_of_again_at_noon(
    room: Callable[..., Room],
) -> None:
    here = room("a", "b")
    here.ring(moment(11, "20:30"), "cold", 18.5, "b")
    here.ring(moment(12, "02:00"), "cold", 18.5, "a")
    waiting = {row.about[0]: row.id for row in here.held()}
    letter_store.merge(here.connection, waiting["a"])
    letter_store.write(here.connection, waiting["b"], ["a", "b"], "cold", b"", 1, moment(12, "07:15"))
    here.connection.execute("UPDATE letter SET state = 'sent', sent_at = due_at WHERE state = 'queued'")
    here.letters.still_cold(moment(12, "12:00"))
    assert here.held() == []


def cold_mornings(here: Room, *days: int, water_c: float = 18.5) -> None:
    """Cold from seven until after noon."""
    for day in days:
        for hour in range(6):
            here.read(moment(day, "07:00") + hour * HOUR, water_c)
        here.ring(moment(day, "09:00"), "cold", water_c)
        here.now(moment(day, "12:30"))
        here.clear(moment(day, "13:00"), "cold")


def test_what_comes_each_day_is_told_three_times_and_then_stands_in_the_nightly_letter(
    room: Callable[..., Room],
) -> None:
    here = room()
    days = [11, 12, 13, 14, 15, 18, 19, 20, 21, 22]
    cold_mornings(here, *days)
    assert here.went(moment(23, "08:00")) == [("cold", moment(day, "09:00")) for day in days[:3]]
    cold_mornings(here, 28)
    assert here.went(moment(29, "08:00"))[3:] == [("cold", moment(28, "09:00"))], "it had been over"


def test_a_batch_that_is_set_into_a_cold_that_goes_on_has_its_own_letters_after_a_week(
    room: Callable[..., Room],
) -> None:
    here = room()
    cold_mornings(here, *range(11, 23))
    assert len(here.went(moment(23, "08:00"))) == 3
    again = Deed(moment(25, "09:00"), "tray", "set", 0.05, {"salt_g_per_l": 25.0})
    deeds.add(here.connection, again, again.at)
    cold_mornings(here, *range(25, 31))
    told = [moment(day, "09:00") for day in (25, 26, 27)]
    assert [at for _, at in here.went(moment(31, "08:00"))[3:]] == told


def test_what_comes_each_day_is_told_of_again_when_it_is_worse_than_ever(room: Callable[..., Room]) -> None:
    here = room()
    cold_mornings(here, 11, 12, 13, 14)
    cold_mornings(here, 15, water_c=17.6)
    assert len(here.went(moment(16, "08:00"))) == 3
    cold_mornings(here, 18, water_c=17.4)
    assert here.went(moment(19, "08:00"))[3:] == [("cold", moment(18, "09:00"))]


def test_where_no_nightly_letter_says_it_what_comes_each_day_is_told_of_again_after_a_week(
    room: Callable[..., Room],
) -> None:
    here = room()
    here.station = replace(here.station, post=replace(here.station.post, nightly=False))
    here.letters = AlarmLetters(here.station, here.connection, Beliefs(here.station, here.connection, 0))
    cold_mornings(here, 11, 12, 13, 14, 15, 19)
    assert [at for _, at in here.went(moment(20, "08:00"))] == [
        moment(day, "09:00") for day in (11, 12, 13, 19)
    ]


def test_heat_that_is_read_past_what_animals_bear_is_told_however_often_it_was(
    room: Callable[..., Room],
) -> None:
    here = room()
    for day in (11, 12, 13, 14):
        here.read(moment(day, "14:00"), 33.5)
        here.ring(moment(day, "14:00"), "hot", 31.0)
        here.clear(moment(day, "18:00"), "hot")
    assert len(here.went(moment(14, "20:00"))) == 3
    here.ring(moment(15, "14:00"), "hot", 33.6)
    assert here.went(moment(15, "14:00"))[3:] == [("hot", moment(15, "14:00"))]


def test_cups_that_grow_too_hot_one_after_the_other_have_one_letter(room: Callable[..., Room]) -> None:
    here = room("a", "b")
    here.read(moment(13, "13:59"), 33.4)
    hot = letter_store.hold(here.connection, moment(13, "14:00"), "hot", "hot", moment(13, "14:00"), ["a"])
    letter_store.write(here.connection, hot, ["a", "b"], "hot", b"", 1, moment(13, "14:00"))
    here.letters.urge("b", moment(13, "13:00"), moment(13, "14:20"))
    assert here.held() == []
    here.letters.urge("b", moment(13, "17:00"), moment(13, "18:20"))
    assert [row.about for row in here.held()] == [("b",)]


def test_who_asks_for_cold_at_any_hour_is_told_of_it_however_often_it_comes(
    room: Callable[..., Room],
) -> None:
    here = room(urgent=("cold",))
    cold_mornings(here, 11, 12, 13, 14)
    assert len(here.went(moment(15, "08:00"))) == 4


def test_over_a_weekend_nothing_is_said_again_to_an_empty_room(room: Callable[..., Room]) -> None:
    here = room()
    here.ring(moment(16, "09:00"), "lamp", 0.0)
    for hour in range(1, 40, 3):
        here.clear(moment(16, "09:00") + hour * HOUR, "lamp")
        here.ring(moment(16, "10:00") + hour * HOUR, "lamp", 0.0)
    assert here.went(moment(18, "07:00")) == [("lamp", moment(16, "09:00"))]


@pytest.mark.parametrize(
    ("off", "set_before", "told"), [(6 * HOUR, False, 1), (8 * 24 * HOUR, False, 0), (8 * 24 * HOUR, True, 1)]
)
def test_a_station_that_was_put_away_without_a_batch_tells_of_no_outage(
    tmp_path: Path, off: int, set_before: bool, told: int
) -> None:
    began, store = moment(11, "09:00"), WritingStore(tmp_path, durable=False)
    if set_before:
        deeds.add(store.connection, Deed(began - HOUR, "tray", "set", 0.2, {"salt_g_per_l": 25.0}), began)
    at = began + off
    letters = AlarmLetters(tray_station(), store.connection, Beliefs(tray_station(), store.connection, at))
    letters.outage(Outage(began, at, True), at)
    assert [row.kind for row in letter_store.in_state(store.connection, "held")] == ["outage"] * told
    store.close()


def test_a_quiet_time_that_ends_at_night_lets_letters_go_in_the_morning(tmp_path: Path) -> None:
    room = Room(tray_station(), tmp_path)
    shelf_store.add(room.connection, moment(13, "16:00"), "", "", moment(14, "01:43"))
    room.ring(moment(13, "17:00"), "lamp", 0.0)
    (held,) = letter_store.in_state(room.connection, "held")
    assert held.due_at == moment(14, "07:15")
    room.store.close()
