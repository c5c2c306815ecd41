"""The whole station with a real mail server that behaves badly: nothing is lost, no beat is missed.

Time is played; the server is aiosmtpd on a loopback address, with TLS and log-in.
"""

import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import pytest

from daemon.app import House
from daemon.beat import Listener, Loop
from daemon.care.deed import Deed
from daemon.clock import PlayedClock
from daemon.post.carrier import Carrier, Outgoing, Unreachable
from daemon.post.kept_mail import KeptMailCarrier
from daemon.post.kept_password import account_of
from daemon.post.smtp import SmtpCarrier
from daemon.setting_up.password_desk import keep_password
from daemon.station import PostServer
from daemon.store import deliveries, letters
from daemon.store.file import WritingStore
from daemon.surroundings import Surroundings
from daemon.workers import InlineWorkers, ThreadWorkers, Workers
from sensors.probe_bench import InlineBench
from tests.kit.cold_tray import COLD, HOUR, MIDDAY, STATION, TEXT, Water, course
from tests.kit.command_line import surroundings
from tests.kit.mail_server import SECRET, Desk, Papers, Start, certify, free_port, mail_servers
from tests.kit.set_up_daemon import place_in
from tests.kit.undrawn import undrawn

pytestmark = pytest.mark.usefixtures("undrawn")

PATIENCE_S = 60.0
Course = Callable[[int], float]
WARM: Course = lambda _at: 24.0  # noqa: E731 - as short as what it says


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Papers:
    return certify(tmp_path_factory.mktemp("papers"), "localhost")


@pytest.fixture
def start() -> Iterator[Start]:
    with mail_servers() as started:
        yield started


@dataclass
class Life:
    """A station at work in played time."""

    house: House
    store: WritingStore
    clock: PlayedClock
    beats: list[int] = field(default_factory=list)

    def until(self, hours: float) -> None:
        """Beat until so many hours after midday."""
        loop = Loop(
            self.house,
            self.clock,
            STATION.sample_every_s,
            threading.Event(),
            next_job_s=self.house.next_job_s,
            until_s=MIDDAY + round(hours * HOUR),
            listeners=[Listener(self.beats.append)],
        )
        loop.run()

    def rows(self, *kinds: str) -> list[letters.LetterRow]:
        every = letters.in_state(self.store.connection, "held", "queued", "sent", "parked", "merged")
        return [row for row in every if not kinds or row.kind in kinds]


@contextmanager
def life(
    folder: Path,
    carriers: dict[str, Carrier],
    water_c: Course,
    *,
    workers: Workers | None = None,
    began: int = MIDDAY,
) -> Iterator[Life]:
    clock, store = PlayedClock(began), WritingStore(folder, durable=False)
    deeds = [Deed(MIDDAY - 4 * HOUR, "tray", "set", 0.05, {"salt_g_per_l": 25.0})] if began == MIDDAY else []
    around = Surroundings(
        bench=InlineBench([Water(water_c)]),
        clock=clock,
        workers=workers or InlineWorkers(),
        carriers=carriers,
        folder=folder,
        free_bytes=lambda: 20_000_000_000,
        played_deeds=lambda at: [deeds.pop(0) for _ in range(len(deeds)) if deeds[0].at <= at],
    )
    house = House(STATION, TEXT, store, around)
    yield Life(house, store, clock)
    store.close()


def over_tls(start: Start, desk: Desk, papers: Papers) -> SmtpCarrier:
    server = start(desk, "tls", ssl_context=papers.server, auth_require_tls=False)
    return SmtpCarrier(server, SECRET, 20.0, papers.client)


def read(message: bytes) -> EmailMessage:
    parsed = message_from_bytes(message, policy=policy.default)
    assert isinstance(parsed, EmailMessage)
    return parsed


def mails(desk: Desk) -> list[EmailMessage]:
    return [read(message) for _, _, message in desk.taken]


def text_of(mail: EmailMessage) -> str:
    body = mail.get_body(("plain",))
    assert body is not None
    return " ".join(body.get_content().split())


def test_a_letter_that_is_greylisted_comes_once_a_little_later(
    tmp_path: Path, start: Start, papers: Papers
) -> None:
    desk = Desk(puts_off=1)
    with life(tmp_path, {"mail": over_tls(start, desk, papers)}, COLD) as station:
        station.until(2.5)
        (cold,) = station.rows("cold")
    assert (cold.state, cold.attempts) == ("sent", 2)
    assert len(desk.taken) == 1
    assert desk.logins == [("cups@school.example", SECRET)] * 2


def test_a_server_that_takes_a_letter_and_drops_the_line_gets_the_very_same_letter_again(
    tmp_path: Path, start: Start, papers: Papers
) -> None:
    """At least once (RFC 5321, 4.1.1.4 and 6.1): the double is known by its Message-ID."""
    desk = Desk(drops_once_taken=1)
    with life(tmp_path, {"mail": over_tls(start, desk, papers)}, COLD) as station:
        station.until(2.5)
        (cold,) = station.rows("cold")
    assert (cold.state, cold.attempts) == ("sent", 2)
    first, second = (message for _, _, message in desk.taken)
    assert first == second
    assert read(first)["Message-ID"] == read(second)["Message-ID"]


def test_a_line_that_breaks_in_the_middle_of_a_letter_loses_nothing(
    tmp_path: Path, start: Start, papers: Papers
) -> None:
    desk = Desk(hang_up=True)
    with life(tmp_path, {"mail": over_tls(start, desk, papers)}, COLD) as station:
        station.until(2.0)
        (before,) = station.rows("cold")
        (way,) = deliveries.of(station.store.connection, before.id)
        desk.hang_up = False
        station.until(3.5)
        (after,) = station.rows("cold")
    assert (before.state, desk.taken[1:]) == ("queued", [])
    assert "the line broke" in way.trouble
    assert (after.state, after.number) == ("sent", 1)


def test_a_server_that_refuses_parks_the_letter_with_its_words_and_it_can_be_tried_again(
    tmp_path: Path, start: Start, papers: Papers
) -> None:
    desk = Desk({"teacher@school.example": "550 5.1.1 nobody of that name"})
    with life(tmp_path, {"mail": over_tls(start, desk, papers)}, COLD) as station:
        station.until(2.5)
        (cold,) = station.rows("cold")
        (way,) = deliveries.of(station.store.connection, cold.id)
        assert (cold.state, desk.taken) == ("parked", [])
        assert "replied 550 5.1.1 nobody of that name" in way.trouble
        desk.replies.clear()
        assert deliveries.try_now(station.store.connection, station.clock.now_s(), [cold.id]) == 1
        station.until(3.0)
        (again,) = station.rows("cold")
    assert (again.state, again.number, again.attempts) == ("sent", 1, 2)
    assert [mail["X-Naupliad-Number"] for mail in mails(desk)] == ["1"]


def test_a_server_that_stalls_delays_no_beat(tmp_path: Path, start: Start, papers: Papers) -> None:
    """The server says nothing for a whole played day, in which every beat comes at its time."""
    desk, wake = Desk(go_on=threading.Event()), threading.Event()
    assert desk.go_on is not None
    workers = ThreadWorkers(wake)
    carrier = over_tls(start, desk, papers)
    with life(tmp_path, {"mail": carrier}, COLD, workers=workers) as station:
        station.until(2.0)
        assert desk.stalled.wait(PATIENCE_S)
        station.until(26.0)
        every_s = STATION.sample_every_s
        assert station.beats == [*range(MIDDAY, MIDDAY + 26 * HOUR + 1, every_s)]
        assert [row.state for row in station.rows("cold")] == ["queued"]
        desk.go_on.set()
        until_taken(desk, wake)
        station.until(26.5)
        assert [row.state for row in station.rows("cold")] == ["sent"]
        workers.close(PATIENCE_S)


def until_taken(desk: Desk, wake: threading.Event) -> None:
    while not desk.taken:
        assert wake.wait(PATIENCE_S)
        wake.clear()


def test_a_dead_webhook_neither_holds_up_mail_nor_doubles_it(
    tmp_path: Path, start: Start, papers: Papers
) -> None:
    desk, wake, never = Desk(), threading.Event(), threading.Event()

    class Dead:
        """A carrier that hangs until the test is over."""

        def carry(self, letter: Outgoing) -> None:
            self.reach()

        def reach(self) -> None:
            never.wait(PATIENCE_S)
            raise Unreachable("webhook: no line")

    workers = ThreadWorkers(wake)
    carriers: dict[str, Carrier] = {"webhook": Dead(), "mail": over_tls(start, desk, papers)}
    with life(tmp_path, carriers, COLD, workers=workers) as station:
        station.until(2.0)
        until_taken(desk, wake)
        never.set()
        workers.close(PATIENCE_S)
        (cold,) = station.rows("cold")
        ways = {way.carrier: way.state for way in deliveries.of(station.store.connection, cold.id)}
    assert cold.state == "sent"
    assert ways == {"mail": "sent", "webhook": "queued"}
    assert len(desk.taken) == 1


# A cold first night that is over, another in the second, and cold that stays from the third on.
HEAP = course(
    (8, 24.0),
    (9, 17.0),
    (13, 17.0),
    (15, 24.0),
    (43, 24.0),
    (44, 17.0),
    (46, 17.0),
    (48, 24.0),
    (66, 24.0),
    (67, 16.0),
)


@dataclass(frozen=True)
class Heap:
    """What came of 60 hours without a post."""

    rows: list[letters.LetterRow]
    mails: list[EmailMessage]
    beats: list[int]
    ways: dict[int, list[deliveries.Delivery]]


@pytest.fixture(scope="module")
def heap(tmp_path_factory: pytest.TempPathFactory, papers: Papers) -> Heap:
    """From six in the evening of the first day nobody listens at the port; 60 h later somebody does again."""
    desk, port = Desk(), free_port()
    server = PostServer("localhost", port, "tls", None, "cups@school.example", ("t@school.example",), ())
    carrier = SmtpCarrier(server, SECRET, 20.0, papers.client)
    with undrawn(), life(tmp_path_factory.mktemp("heap"), {"mail": carrier}, HEAP) as station:
        with mail_servers() as start:
            start(desk, "tls", port, ssl_context=papers.server, auth_require_tls=False)
            station.until(6)
        station.until(66)
        with mail_servers() as start:
            start(desk, "tls", port, ssl_context=papers.server, auth_require_tls=False)
            station.until(92)
        ways = {row.id: deliveries.of(station.store.connection, row.id) for row in station.rows()}
        return Heap(station.rows(), mails(desk), station.beats, ways)


def test_in_sixty_hours_without_a_post_no_beat_is_missed(heap: Heap) -> None:
    assert heap.beats == [*range(MIDDAY, MIDDAY + 92 * HOUR + 1, STATION.sample_every_s)]


def test_after_sixty_hours_without_a_post_nothing_is_lost_and_nothing_doubled(heap: Heap) -> None:
    """Every letter that was written came by itself or stands in the digest, and once."""
    written = {row.number: row for row in heap.rows if row.number is not None}
    assert sorted(written) == list(range(1, len(written) + 1))
    came = [int(mail["X-Naupliad-Number"]) for mail in heap.mails]
    assert len(set(came)) == len(came)
    (digest,) = (mail for mail in heap.mails if mail["X-Naupliad-Kind"] == "digest")
    listed = [n for n in written if f"Letter {n}, " in text_of(digest)]
    assert not set(listed) & set(came)
    assert sorted([*listed, *came]) == sorted(written)
    assert len(listed) >= 3
    for number in listed:
        assert written[number].subject in text_of(digest)
    assert len({mail["Message-ID"] for mail in heap.mails}) == len(heap.mails)


def test_letters_come_in_the_order_of_their_numbers(heap: Heap) -> None:
    came = [int(mail["X-Naupliad-Number"]) for mail in heap.mails]
    assert came == sorted(came)


def test_the_states_say_what_became_of_each_letter(heap: Heap) -> None:
    came = {int(mail["X-Naupliad-Number"]) for mail in heap.mails}
    (digest,) = (row for row in heap.rows if row.kind == "digest")
    for row in heap.rows:
        if row.number in came:
            assert (row.state, row.merged_into) == ("sent", None)
            assert row.sent_at is not None
        elif row.number is not None:
            assert (row.state, row.merged_into, row.sent_at) == ("merged", digest.id, None)
            assert [way.state for way in heap.ways[row.id]] == ["merged"]
        else:
            assert row.state in ("merged", "held")
            assert heap.ways[row.id] == []


def test_tries_grow_rarer_up_to_an_hour(heap: Heap) -> None:
    """1, 2, 5, 15, 30 min and then every hour: of 60 h of silence some sixty tries, not one a beat."""
    tries = sum(row.attempts for row in heap.rows if row.state == "merged")
    assert 55 <= tries <= 75


def test_a_digest_says_that_it_is_history_and_that_the_post_was_down(heap: Heap) -> None:
    (digest,) = (mail for mail in heap.mails if mail["X-Naupliad-Kind"] == "digest")
    assert "held back while the post was down" in str(digest["Subject"])
    assert "The post was down" in text_of(digest)
    assert digest["Auto-Submitted"] == "auto-generated"


class Line:
    """A way out that may be cut."""

    def __init__(self) -> None:
        self.down = True
        self.taken: list[Outgoing] = []

    def carry(self, letter: Outgoing) -> None:
        self.reach()
        self.taken.append(letter)

    def reach(self) -> None:
        if self.down:
            raise Unreachable("post: no line")


def test_what_stands_goes_as_itself_and_two_ways_that_were_down_share_the_digest_of_the_rest(
    tmp_path: Path,
) -> None:
    mail, hook = Line(), Line()
    with life(tmp_path, {"mail": mail, "webhook": hook}, COLD) as station:
        station.until(60)
        assert mail.taken == hook.taken == []
        mail.down = hook.down = False
        station.until(61.1)
        assert len(station.rows("digest")) == 1
    assert mail.taken == hook.taken
    # The last night's letter is four hours old: still fresh.
    assert [letter.kind for letter in mail.taken] == ["cold", "nightly", "digest"]
    late, fresh, digest = (read(letter.message) for letter in mail.taken)
    assert str(late["Subject"]).startswith("Late: Cold:")
    assert str(late["Date"]).startswith("Wed, 13 Jan 2027 13:")
    assert "Late" not in str(fresh["Subject"]) + text_of(fresh)
    assert str(digest["Date"]).startswith("Sat, 16 Jan 2027")
    assert f"Letter {late['X-Naupliad-Number']}, " not in text_of(digest)


def test_one_way_that_was_down_is_told_of_by_both_so_that_no_number_is_missing(tmp_path: Path) -> None:
    mail, hook = Line(), Line()
    hook.down = False
    with life(tmp_path, {"mail": mail, "webhook": hook}, COLD) as station:
        station.until(60)
        mail.down = False
        station.until(61.1)
        assert {row.state for row in station.rows() if row.number is not None} == {"sent"}
    assert [letter.number for letter in hook.taken] == list(range(1, len(hook.taken) + 1))
    (digest,) = (letter for letter in mail.taken if letter.kind == "digest")
    listed = [n for n in range(1, digest.number) if f"Letter {n}, " in text_of(read(digest.message))]
    assert sorted([*listed, *(letter.number for letter in mail.taken)]) == list(range(1, digest.number + 1))


def test_one_late_letter_goes_as_itself_and_says_when_it_was_written(tmp_path: Path, start: Start) -> None:
    desk = Desk()
    server = start(desk, "plain-on-loopback")
    down = [True]

    class Line:
        """The way to the server, which may be cut."""

        def carry(self, letter: Outgoing) -> None:
            self.reach()
            SmtpCarrier(server, None, 20.0).carry(letter)

        def reach(self) -> None:
            if down[0]:
                raise Unreachable("post: no line")

    with life(tmp_path, {"mail": Line()}, COLD) as station:
        station.until(7.9)
        down[0] = False
        station.until(9.0)
        (row,) = station.rows("cold")
    late = next(mail for mail in mails(desk) if mail["X-Naupliad-Kind"] == "cold")
    assert str(late["Subject"]) == "Late: Cold: 17.0 °C, tray, Room 7"
    assert text_of(late).startswith("Late: written on Wednesday 13 January 2027 at 13:")
    assert "still stood when sent" in text_of(late)
    page = late.get_body(("html",))
    assert page is not None
    assert "<strong>Late: written on" in page.get_content()
    assert text_of(late).endswith("Letter 1.")
    assert str(row.subject) == "Cold: 17.0 °C, tray, Room 7"


def test_numbers_go_on_after_a_restart_and_stand_in_the_letters(tmp_path: Path, start: Start) -> None:
    desk = Desk()
    carrier = SmtpCarrier(start(desk, "plain-on-loopback"), None, 20.0)
    with life(tmp_path, {"mail": carrier}, WARM) as station:
        station.until(8.5)
    with life(tmp_path, {"mail": carrier}, WARM, began=MIDDAY + 9 * HOUR) as station:
        station.until(33)
        numbers = sorted(row.number or 0 for row in station.rows())
    assert numbers == list(range(1, len(desk.taken) + 1))
    assert len(numbers) >= 3
    assert [int(mail["X-Naupliad-Number"]) for mail in mails(desk)] == numbers
    for number, mail in enumerate(mails(desk), start=1):
        assert text_of(mail).endswith(f"Letter {number}.")


CRASH = """
import os, sys
from pathlib import Path
from daemon.store import letters
from daemon.store.file import WritingStore
store = WritingStore(Path(sys.argv[1]))
def write(connection):
    held = letters.hold(connection, 1, "cold", "cold", 1, ["tray"])
    letters.write(connection, held, ["tray"], "Cold", b"words", letters.next_number(connection), 1)
with store.transaction() as connection:
    write(connection)
with store.transaction() as connection:
    write(connection)
    os.kill(os.getpid(), 9)
"""


def test_a_number_is_used_once_also_when_the_process_is_killed_while_it_writes(tmp_path: Path) -> None:
    for expected in (1, 2, 3):
        line = [sys.executable, "-c", CRASH, str(tmp_path)]
        assert subprocess.run(line, env=surroundings(), check=False).returncode == -9
        store = WritingStore(tmp_path)
        rows = letters.in_state(store.connection, "queued")
        store.close()
        assert [row.number for row in rows] == list(range(1, expected + 1))


def test_a_letter_that_waits_for_a_password_goes_once_the_set_up_keeps_it(
    tmp_path: Path, start: Start, caplog: pytest.LogCaptureFixture
) -> None:
    desk = Desk()
    server = replace(start(desk, "plain-on-loopback", auth_require_tls=False), user="cups")
    with life(tmp_path, {"mail": KeptMailCarrier(server, tmp_path)}, COLD) as station:
        station.until(2.5)
        (cold,) = station.rows("cold")
        (way,) = deliveries.of(station.store.connection, cold.id)
        assert (way.state, desk.taken) == ("queued", [])
        assert "user 'cups' is set, but no password is kept for it" in way.trouble
        account = account_of(server)
        words = {"host": account.host, "port": account.port, "security": account.security, "user": "cups"}
        keep_password(place_in(tmp_path), {**words, "password": SECRET})
        station.until(4)  # it is tried again within the hour
        assert [row.state for row in station.rows("cold")] == ["sent"]
    assert desk.logins[0] == ("cups", SECRET)
    assert len(mails(desk)) >= 1
    assert SECRET not in caplog.text
    assert SECRET.encode() not in (tmp_path / "station.db").read_bytes()


def test_no_secret_comes_into_the_log_or_the_store(
    tmp_path: Path, start: Start, papers: Papers, caplog: pytest.LogCaptureFixture
) -> None:
    desk = Desk()
    server = start(desk, "tls", ssl_context=papers.server, auth_require_tls=False)
    wrong: Any = SmtpCarrier(replace(server, user="cups"), "wrong-and-secret", 20.0, papers.client)
    with life(tmp_path, {"mail": wrong}, COLD) as station:
        station.until(2.5)
        (cold,) = station.rows("cold")
        (way,) = deliveries.of(station.store.connection, cold.id)
    assert "failed with reply 535" in way.trouble
    assert "wrong-and-secret" not in way.trouble + caplog.text
    assert b"wrong-and-secret" not in (tmp_path / "station.db").read_bytes()
