"""The outbox: nothing said is lost, nothing is said twice, whatever the post does meanwhile."""

import email
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from email import policy
from email.message import EmailMessage
from pathlib import Path

import pytest

from daemon.alarms.watch import Watch
from daemon.app import House
from daemon.beat import Loop
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.config import parse_station
from daemon.post.carrier import LetterRefused, Outgoing, Unreachable
from daemon.requests.alarm_shelf_desk import AlarmShelfDesk
from daemon.store import deliveries, letters
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers
from sensors.probe_bench import InlineBench
from tests.kit.cold_tray import COLD, HOUR, MIDDAY, POST, STATION, TEXT, TRAYS, Water, course
from tests.kit.station import station_text, vessel
from tests.kit.undrawn import drawn

pytestmark = pytest.mark.usefixtures("undrawn")


class Post:
    """A post that takes letters, or not, as its script says at each try."""

    def __init__(self, script: Callable[[int], Exception | None] = lambda _try: None) -> None:
        self.tries = 0
        self.taken: list[bytes] = []
        self._script = script

    def carry(self, letter: Outgoing) -> None:
        self.reach()
        self.taken.append(letter.message)

    def reach(self) -> None:
        self.tries += 1
        trouble = self._script(self.tries)
        if trouble is not None:
            raise trouble


@contextmanager
def house(folder: Path, post: Post, clock: PlayedClock, course: Callable[[int], float]) -> Iterator[House]:
    began, store = clock.now_s(), WritingStore(folder, durable=False)
    deeds = [Deed(MIDDAY - 4 * HOUR, "tray", "set", 0.05, {"salt_g_per_l": 25.0})] if began == MIDDAY else []
    around = Surroundings(
        bench=InlineBench([Water(course)]),
        clock=clock,
        workers=InlineWorkers(),
        carriers={"mail": post},
        folder=folder,
        free_bytes=lambda: 20_000_000_000,
        played_deeds=lambda at: [deeds.pop(0) for _ in range(len(deeds)) if deeds[0].at <= at],
    )
    made = House(STATION, TEXT, store, around)
    yield made
    store.close()


def beat_until(made: House, clock: PlayedClock, until: int) -> None:
    every_s = STATION.sample_every_s
    Loop(made, clock, every_s, threading.Event(), next_job_s=made.next_job_s, until_s=until).run()


class PutBackClock(PlayedClock):
    """A clock that a time service puts back, by an hour or more, one hour after the start."""

    def __init__(self, began: int, by_s: int = HOUR) -> None:
        super().__init__(began)
        self._by_s = by_s

    def now_s(self) -> int:
        return super().now_s() - (self._by_s if self.monotonic_s() >= HOUR else 0)


def live(
    folder: Path, post: Post, began: int, hours: float, course: Callable[[int], float]
) -> list[letters.LetterRow]:
    """The station from `began` for some hours; the letters of all its days."""
    clock, until = PlayedClock(began), began + round(hours * HOUR)
    with house(folder, post, clock, course) as made:
        beat_until(made, clock, until)
    store = WritingStore(folder, durable=False)
    rows = letters.in_state(store.connection, "held", "queued", "sent", "parked", "merged")
    store.close()
    return rows


def subjects(post: Post) -> list[str]:
    return [str(email.message_from_bytes(m, policy=policy.default)["Subject"]) for m in post.taken]


def test_a_letter_the_post_cannot_take_is_tried_again_and_sent_once(tmp_path: Path) -> None:
    post = Post(lambda number: Unreachable("post: no line") if number <= 3 else None)
    rows = live(tmp_path, post, MIDDAY, 2.5, COLD)
    cold = [row for row in rows if row.kind == "cold"]
    assert [(row.state, row.attempts) for row in cold] == [("sent", 4)]
    assert len(post.taken) == 1


def test_a_letter_the_post_refuses_for_good_is_parked_with_its_reason(tmp_path: Path) -> None:
    rows = live(tmp_path, Post(lambda _try: LetterRefused("550 no such person")), MIDDAY, 2.5, COLD)
    (cold,) = (row for row in rows if row.kind == "cold")
    assert cold.state == "parked"
    store = WritingStore(tmp_path, durable=False)
    assert [way.trouble for way in deliveries.of(store.connection, cold.id)] == ["550 no such person"]
    store.close()


def test_what_waits_when_the_station_stops_goes_when_it_is_on_again(tmp_path: Path) -> None:
    down = Post(lambda _try: Unreachable("post: no line"))
    live(tmp_path, down, MIDDAY, 2.5, COLD)
    up = Post()
    rows = live(tmp_path, up, MIDDAY + 3 * HOUR, 1.1, COLD)
    assert [row.state for row in rows if row.kind == "cold"] == ["sent"]
    assert subjects(up) == ["Cold: 17.0 °C, tray, Room 7"]


def test_a_restart_neither_repeats_an_alarm_nor_forgets_it(tmp_path: Path) -> None:
    post = Post()
    live(tmp_path, post, MIDDAY, 2.5, COLD)
    live(tmp_path, post, MIDDAY + round(2.6 * HOUR), 2.0, COLD)
    assert subjects(post) == ["Cold: 17.0 °C, tray, Room 7"]


def test_a_letter_held_over_the_night_tells_how_things_stand_in_the_morning(tmp_path: Path) -> None:
    post = Post()
    live(tmp_path, post, MIDDAY, 20, course((8, 24.0), (18, 14.0)))
    cold = next(m for m in post.taken if b"X-Naupliad-Kind: cold" in m)
    letter = email.message_from_bytes(cold, policy=policy.default)
    assert str(letter["Date"]) == "Thu, 14 Jan 2027 07:15:00 +0000"
    assert "14.0 °C" in str(letter["Subject"])


def test_a_cold_night_that_is_over_by_morning_is_not_told_as_an_alarm(tmp_path: Path) -> None:
    post = Post()
    rows = live(tmp_path, post, MIDDAY, 20, course((8, 24.0), (10, 17.0), (13, 17.0), (15, 24.0)))
    assert [row.state for row in rows if row.kind == "cold"] == ["merged"]
    assert not any(subject.startswith("Cold") for subject in subjects(post))


def test_heat_past_the_limit_goes_at_night_and_to_the_one_in_reserve_too(tmp_path: Path) -> None:
    post = Post()
    live(tmp_path, post, MIDDAY, 12, course((8, 24.0), (10, 34.5)))
    hot = next(m for m in post.taken if b"X-Naupliad-Kind: hot" in m)
    letter = email.message_from_bytes(hot, policy=policy.default)
    assert letter["To"].addresses[1].addr_spec == "office@school.example"
    assert datetime.strptime(str(letter["Date"]), "%a, %d %b %Y %H:%M:%S %z").hour == 21


def test_warmth_that_grows_past_the_limit_at_night_is_told_then_and_not_again_in_the_morning(
    tmp_path: Path,
) -> None:
    post = Post()
    rows = live(tmp_path, post, MIDDAY, 24, course((8, 24.0), (10, 31.0), (12, 31.0), (13, 34.0)))
    hot = [email.message_from_bytes(m, policy=policy.default) for m in post.taken if b"Kind: hot" in m]
    assert [str(letter["Date"]) for letter in hot] == ["Thu, 14 Jan 2027 00:45:00 +0000"]
    assert sorted(row.state for row in rows if row.kind == "hot") == ["merged", "sent"]


def test_a_letter_for_several_vessels_is_about_all_of_them(tmp_path: Path) -> None:
    """Else nobody could say later whether its trouble still stands, or that the second vessel was told of."""
    jar = vessel("jar", "water", cold_c=20.0)
    two = station_text(*TRAYS, jar, POST, name="Room 7", every_s=300)
    station = parse_station(two, "station.toml")
    clock, store, post = PlayedClock(MIDDAY), WritingStore(tmp_path, durable=False), Post()
    deeds = [
        Deed(MIDDAY - 4 * HOUR, vessel, "set", 0.05, {"salt_g_per_l": 25.0}) for vessel in ("tray", "jar")
    ]
    around = Surroundings(
        bench=InlineBench([Water(COLD)]),
        clock=clock,
        workers=InlineWorkers(),
        carriers={"mail": post},
        folder=tmp_path,
        free_bytes=lambda: 20_000_000_000,
        played_deeds=lambda _at: [deeds.pop(0) for _ in range(len(deeds))],
    )
    made = House(station, two, store, around)
    beat_until(made, clock, MIDDAY + 3 * HOUR)
    cold = [row for row in letters.in_state(store.connection, "sent", "merged") if row.kind == "cold"]
    store.close()
    assert [(row.state, row.about) for row in cold] == [("sent", ("jar", "tray")), ("merged", ("jar",))]


def test_a_night_whose_trouble_is_over_is_not_called_all_well(tmp_path: Path) -> None:
    post = Post()
    live(tmp_path, post, MIDDAY, 33, course((8, 24.0), (10, 17.0), (13, 17.0), (15, 24.0)))
    night = email.message_from_bytes(post.taken[-1], policy=policy.default)
    assert str(night["Subject"]).startswith("Thu 14 Jan: too cold for a time")
    body = night.get_body(("plain",))
    assert body is not None
    assert "the water was too cold, Wed 21:10 to" in " ".join(body.get_content().split())


def test_the_nights_letter_carries_its_chart(tmp_path: Path) -> None:
    post = Post()
    with drawn():
        live(tmp_path, post, MIDDAY, 8.5, lambda _at: 24.0)
    night = next(m for m in post.taken if b"X-Naupliad-Kind: nightly" in m)
    pictures = [p for p in email.message_from_bytes(night).walk() if p.get_content_type() == "image/png"]
    assert [p.get_payload(decode=True) for p in pictures] == [
        (tmp_path / "charts" / "2027-01-13.png").read_bytes()
    ]


def test_the_nights_letter_goes_without_its_chart_when_that_cannot_be_drawn(tmp_path: Path) -> None:
    (tmp_path / "charts").write_text("a file where the folder should be")
    post = Post()
    with drawn():
        live(tmp_path, post, MIDDAY, 8.5, lambda _at: 24.0)
    night = next(m for m in post.taken if b"X-Naupliad-Kind: nightly" in m)
    assert b"image/png" not in night


def test_the_nights_letter_is_of_its_very_second_though_no_beat_falls_on_it(tmp_path: Path) -> None:
    rows = live(tmp_path, Post(), MIDDAY + 137, 8.5, course((0, 24.0)))
    assert [row.sent_at for row in rows if row.kind == "nightly"] == [MIDDAY + 8 * HOUR]


def test_a_clock_put_back_an_hour_neither_stops_the_station_nor_says_anything_twice(tmp_path: Path) -> None:
    post, clock = Post(), PutBackClock(MIDDAY)
    with house(tmp_path, post, clock, course((0, 17.0), (1, 17.0))) as made:
        beat_until(made, clock, MIDDAY + 3 * HOUR)
        assert made.beliefs.of("tray").reached == MIDDAY + 3 * HOUR
    assert subjects(post) == ["Cold: 17.0 °C, tray, Room 7"]
    store = WritingStore(tmp_path, durable=False)
    steps = store.connection.execute("SELECT step_s FROM clock_step").fetchall()
    store.close()
    assert steps == [(-HOUR,)]


def test_a_clock_put_back_a_month_does_not_make_the_night_wait_for_a_month(tmp_path: Path) -> None:
    month_s = 30 * 24 * HOUR
    clock = PutBackClock(MIDDAY, month_s)
    with house(tmp_path, Post(), clock, course((0, 24.0))) as made:
        every_s, until = STATION.sample_every_s, MIDDAY + 9 * HOUR
        Loop(
            made,
            clock,
            every_s,
            threading.Event(),
            next_job_s=made.next_job_s,
            until_s=until,
            true_s=clock.true_s,
        ).run()
    store = WritingStore(tmp_path, durable=False)
    nights = [row.sent_at for row in letters.in_state(store.connection, "sent") if row.kind == "nightly"]
    store.close()
    assert nights == [MIDDAY + 8 * HOUR - month_s]


def test_a_probe_that_says_the_same_for_more_than_a_day_is_told_of_as_a_doubt(tmp_path: Path) -> None:
    post = Post()
    live(tmp_path, post, MIDDAY, 33, lambda _at: 24.0)
    night = email.message_from_bytes(post.taken[-1], policy=policy.default)
    assert str(night["Subject"]).startswith("Thu 14 Jan: 1 probe in doubt")
    body = night.get_body(("plain",))
    assert body is not None
    told = " ".join(body.get_content().split())
    assert "The probe water: it has shown the same value for more than a day; maybe it is stuck" in told


def letter_of(post: Post, kind: str) -> EmailMessage:
    (message,) = (m for m in post.taken if f"X-Naupliad-Kind: {kind}".encode() in m)
    return email.message_from_bytes(message, policy=policy.default)


def text_of(letter: EmailMessage) -> str:
    body = letter.get_body(("plain",))
    assert body is not None
    return " ".join(body.get_content().split())


def test_two_kinds_of_trouble_that_waited_for_the_morning_are_one_letter(tmp_path: Path) -> None:
    """The power fails in the evening and comes again at night, and the water is cold by then."""
    post = Post()
    live(tmp_path, post, MIDDAY, 9.0, lambda _at: 24.0)
    rows = live(tmp_path, post, MIDDAY + 14 * HOUR, 6.0, lambda _at: 16.0)
    cold, outage = (next(row for row in rows if row.kind == kind) for kind in ("cold", "outage"))
    assert (cold.state, outage.state, outage.merged_into) == ("sent", "merged", cold.id)
    assert not [m for m in post.taken if b"Kind: outage" in m]
    assert "Also" in text_of(letter_of(post, "cold"))
    assert "was off" in text_of(letter_of(post, "cold"))


FRIDAY = MIDDAY + 2 * 24 * HOUR


def test_the_morning_of_a_return_brings_one_letter_that_tells_all(tmp_path: Path) -> None:
    """Water that falls to the low mark on Sunday is no news before Monday, and then no letter of its own."""
    post = Post()
    rows = live(tmp_path, post, MIDDAY, 5 * 24 - 4.0, lambda _at: 27.0)
    monday = [row for row in rows if row.sent_at is not None and row.sent_at > FRIDAY + 60 * HOUR]
    assert [row.kind for row in monday if row.kind != "nightly"] == ["return"]
    (water,) = (row for row in rows if row.kind == "water")
    assert (water.state, water.merged_into) == ("merged", monday[0].id)
    told = text_of(letter_of(post, "return"))
    assert "Also" in told
    assert "below the mark" in told.split("Also")[1]


def test_what_is_due_of_a_hatch_with_the_letter_before_a_weekend_stands_in_that(tmp_path: Path) -> None:
    """Nobody has told of swimmers by Friday noon: the question goes with the letter at half past one."""
    post = Post()
    rows = live(tmp_path, post, MIDDAY, 50.0, lambda _at: 27.0)
    first, second = (row for row in rows if row.kind == "hatch")
    (leave,) = (row for row in rows if row.kind == "leave")
    assert (first.state, second.state, second.merged_into) == ("sent", "merged", leave.id)
    assert "Also" in text_of(letter_of(post, "leave"))


def test_heat_past_the_limit_on_the_morning_of_a_return_has_its_own_letter(tmp_path: Path) -> None:
    post = Post()
    live(tmp_path, post, MIDDAY, 5 * 24 - 4.0, course((114.5, 24.0), (115.2, 35.0)))
    assert "34" in str(letter_of(post, "hot")["Subject"]) or "33" in str(letter_of(post, "hot")["Subject"])
    assert str(letter_of(post, "return")["Subject"]).startswith("Back")


def test_a_quiet_time_holds_what_is_raised_in_it_and_heat_past_the_limit_breaks_it(tmp_path: Path) -> None:
    post, clock = Post(), PlayedClock(MIDDAY)
    quiet(tmp_path, MIDDAY + 6 * HOUR)
    with house(tmp_path, post, clock, course((0.4, 20.6), (0.5, 17.0), (4.0, 17.0), (4.5, 35.0))) as made:
        beat_until(made, clock, MIDDAY + 4 * HOUR)
        assert post.taken == []
        beat_until(made, clock, MIDDAY + 5 * HOUR)
    assert [subject.split(":")[0] for subject in subjects(post)] == ["Hot"]


def test_what_a_quiet_time_held_goes_when_it_is_over_if_it_still_stands(tmp_path: Path) -> None:
    post, clock = Post(), PlayedClock(MIDDAY)
    quiet(tmp_path, MIDDAY + 6 * HOUR)
    with house(tmp_path, post, clock, COLD) as made:
        beat_until(made, clock, MIDDAY + 7 * HOUR)
    assert subjects(post) == ["Cold: 17.0 °C, tray, Room 7"]
    assert "18:00" in str(email.message_from_bytes(post.taken[0], policy=policy.default)["Date"])


def quiet(folder: Path, until: int) -> None:
    """As `naupliad quiet` asks where no daemon runs."""
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        desk = AlarmShelfDesk(STATION, connection, Watch(STATION), lambda _changes: None)
        assert desk.answer({"ask": "quiet", "until": until}, MIDDAY) == {"quiet_until": until}
    store.close()


def test_a_letter_the_post_has_not_taken_yet_counts_as_the_letter_of_its_day(tmp_path: Path) -> None:
    """It has its words: what is noticed later cannot go along with it, and waits for the next morning."""
    down = Post(lambda _try: Unreachable("post: no line"))
    live(tmp_path, down, MIDDAY, 2.5, COLD)
    up = Post()
    rows = live(tmp_path, up, MIDDAY + 4 * HOUR, 2.0, COLD)
    (outage,) = (row for row in rows if row.kind == "outage")
    assert (outage.state, outage.due_at) == ("held", MIDDAY + 19 * HOUR + 900)
