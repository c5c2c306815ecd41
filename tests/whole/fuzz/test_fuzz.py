"""Whatever comes from outside is taken or refused in clear lines: a bounded run of every target.

The longer run of the same targets is `python -m tests.bench.fuzz`. What it found stands below, one test each.
"""

import json
import socket
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from daemon.commissioning.checkup.devices import switch_on
from daemon.commissioning.machine import Machine
from daemon.config import parse_station
from daemon.errors import InputError
from daemon.input.csv import read_moment
from daemon.input.toml import read_toml
from daemon.post import smtp
from daemon.post.carrier import Unreachable
from daemon.post.secrets import SMTP_PASSWORD, read_secret
from daemon.post.smtp import SmtpCarrier
from daemon.post.webhook import WebhookCarrier
from daemon.station import PostServer, WebAddress
from daemon.store import backup
from daemon.store.file import FILE_NAME, WritingStore
from tests.kit.fuzz.lines import LETTER, NOON, UTC_ZONE, Answering
from tests.kit.fuzz.spoiled import Target, is_one_clear_line_each
from tests.kit.fuzz.targets import NAMES, all_targets, trial
from tests.kit.fuzz.words import desks_on
from tests.kit.station import station, station_text

EXAMPLES = 100


@pytest.fixture(scope="module")
def targets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Target]:
    return all_targets(tmp_path_factory.mktemp("fuzz"))


def test_every_target_has_its_run(targets: dict[str, Target]) -> None:
    assert tuple(targets) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_spoiled_input_is_taken_or_refused_in_clear_lines(targets: dict[str, Target], name: str) -> None:
    tally: Counter[bool] = Counter()
    trial(targets[name], EXAMPLES, lambda taken: tally.update([taken]))()
    assert tally[True], "nothing was taken: the examples are not valid, or the spoiling leaves nothing right"


# What was found -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ('{"ask": "withdraw", "id": 1e400}', "request: id: found inf; allowed: a whole number from 0"),
        (
            '{"ask": "withdraw", "id": 1' + "0" * 25 + "}",
            "request: id: found a number of more than 18 digits;",
        ),
        ('{"ask": "withdraw", "id": true}', "request: id: found true;"),
        ('{"ask": "withdraw"}', "request: id: found nothing;"),
        ('{"ask": "post", "letters": [1e400]}', "request: letters: found inf;"),
        ('{"ask": "post", "letters": 3}', "request: letters: found 3; allowed: a list of whole numbers"),
        ('{"ask": "quiet", "until": -1e400}', "request: until: found -inf;"),
        ('{"ask": "take-back", "vessel": ["cup"]}', "request: vessel: found a list of 1;"),
        (
            '{"ask": "record", "at": -99999999999999, "vessel": "cup", "deed": "stir"}',
            "request: at: found -9999",
        ),
        (
            '{"ask": "record", "at": 9, "vessel": "cup", "deed": "remove", "amount": 5}',
            "request: amount: found 5;",
        ),
        ('{"ask": "record", "at": 9, "vessel": null, "deed": "stir"}', "request: vessel: found nothing;"),
        ('{"ask": "' + "x" * 30_000 + '"}', "request: found 'xxxx"),
    ],
)
def test_a_request_of_other_kinds_of_values_is_refused_by_name(
    tmp_path: Path, words: str, fault: str
) -> None:
    store = WritingStore(tmp_path, durable=False)
    try:
        desks = desks_on(store.connection, station())
        with pytest.raises(InputError, match=fault) as refusal:
            desks.answer(json.loads(words), NOON)
    finally:
        store.close()
    is_one_clear_line_each(refusal.value)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("a." * 400_000 + "a = 1", "x.toml:1: found a key of more than 20 parts; allowed: fewer full stops"),
        ('[station]\n"a" . ' + "'b' .c." * 30 + "d = 1", "x.toml:2: found a key of more than 20 parts;"),
        (".".join([r'"a\"b"'] * 150_000) + " = 1", "x.toml:1: found a key of more than 20 parts;"),
        ('a = "\'"\n[' + ".".join([r'"\\"', r"'\'"] * 40_000) + "]", "x.toml:2: found a key of more than 20"),
        (r'a = "' + r"\"" * 400_000, "Unterminated string"),
        ("a = " + "[" * 5000, "lists nested too deep"),
        ("a = " + "9" * 5000, "a number of too many digits"),
    ],
    ids=["dotted", "quoted", "escaped quotes", "escapes of two kinds", "open string", "nested", "digits"],
)
def test_a_toml_that_would_keep_its_reader_for_hours_is_refused_at_once(text: str, fault: str) -> None:
    with pytest.raises(InputError, match=fault.replace("[", r"\[")):
        parse_station(text, "x.toml")


def test_many_sentences_in_a_text_are_no_deep_key() -> None:
    assert parse_station(station_text().replace("Small room", "a. b. " * 9 + "c"), "x.toml")
    prose = "a. b. " * 19 + "c"
    assert read_toml(f'# {prose}\na = """\n{prose}"\n{prose}"""\nb = "{prose}"', "x.toml")


@pytest.mark.parametrize("text", ["1970-01-01T00:00:00+23:59", "2199-12-31T23:59:59-23:59"])
def test_a_time_that_an_offset_moves_out_of_the_years_allowed_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"1970|2199"):
        read_moment(text)


def test_a_deeds_number_that_no_store_holds_is_refused(targets: dict[str, Target]) -> None:
    for name in ("care withdraw", "care correct", "post try"):
        assert not targets["typed words"].meet((name, "1" + "0" * 25))


def test_a_broken_section_of_config_txt_is_not_shown_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "boot").mkdir()
    (tmp_path / "boot" / "config.txt").write_text("[\x1b[2J]\ndtoverlay=w1-gpio\n", encoding="utf-8")
    told = switch_on(Machine(tmp_path), "dtoverlay=w1-gpio")
    assert told.startswith("The line dtoverlay=w1-gpio stands below a broken section in /boot/config.txt")


def test_a_backup_with_a_broken_page_has_a_fault_of_one_line(tmp_path: Path) -> None:
    with closing(WritingStore(tmp_path, durable=False)) as store:
        root = "SELECT rootpage FROM sqlite_master WHERE name = 'outage'"
        (page,) = store.connection.execute(root).fetchone()
    raw = (tmp_path / FILE_NAME).read_bytes()
    spoiled = tmp_path / "station-2027-02-12.db"
    begins = (page - 1) * int.from_bytes(raw[16:18], "big")  # https://sqlite.org/fileformat.html
    spoiled.write_bytes(raw[:begins] + b"\xff" + raw[begins + 1 :])  # a page of no known kind
    fault = backup.fault_of(spoiled)
    assert fault is not None
    assert fault.startswith("*** in database main *** ")
    assert "\n" not in fault


def test_a_password_file_without_end_is_refused() -> None:
    with pytest.raises(InputError, match="/dev/zero holds over 4096 bytes; allowed is one line"):
        read_secret(SMTP_PASSWORD, {SMTP_PASSWORD.variable: "/dev/zero"})


def said_by_webhook(answer: bytes, pieces: int = 1) -> int:
    """What the service asks to be left alone for, 0 where it took the letter."""

    def attend(line: socket.socket) -> None:
        while not line.recv(65_536).endswith(b"}"):
            pass
        for _ in range(pieces):
            line.sendall(answer)

    address = WebAddress(False, "127.0.0.1", Answering(attend).port, "/")
    carrier = WebhookCarrier(address, "secret", "Room 12", UTC_ZONE, now_s=lambda: NOON, timeout_s=5.0)
    try:
        carrier.carry(LETTER)
    except Unreachable as error:
        return error.wait_s
    return 0


def test_blanks_of_any_kind_around_a_retry_after_do_no_harm() -> None:
    assert said_by_webhook(b"HTTP/1.1 503 Later\r\nRetry-After: " + b"\x0b" * 12 + b"5\r\n\r\n") == 5


@pytest.mark.parametrize("size", [b"-5", b"-1", b"f" * 300, b"0x5", b"1_0"])
def test_a_chunk_of_an_impossible_size_does_not_undo_that_the_letter_was_taken(size: bytes) -> None:
    head = b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n"
    said_by_webhook(head + size + b"\r\n" + b"x" * 9000)


MAIL_BEGINS = (b"220 here\r\n", b"250-here\r\n250 AUTH CRAM-MD5\r\n")


def reached(*replies: bytes) -> str:
    """Why a mail server with these replies cannot be reached."""

    def attend(line: socket.socket) -> None:
        for reply in replies:
            line.sendall(reply)
            line.recv(65_536)

    port = Answering(attend).port
    server = PostServer("127.0.0.1", port, "plain-on-loopback", "cups", "cups@school.example", (), ())
    with pytest.raises(Unreachable) as refusal:
        SmtpCarrier(server, "swim-7", 5.0).reach()
    is_one_clear_line_each(refusal.value)
    return str(refusal.value)


def test_a_log_in_question_that_is_no_base64_makes_the_letter_wait() -> None:
    assert "no way to log in as 'cups' that both sides know" in reached(*MAIL_BEGINS, b"334 abcde\r\n")


def test_a_mail_servers_reply_without_end_breaks_the_line_before_it_fills_the_memory() -> None:
    assert "a reply without end" in reached(b"220-more\r\n" * (smtp.REPLY_BYTES // 10 + 2))


def test_a_mail_servers_control_characters_are_not_told_on() -> None:
    assert reached(b"554 go \x1b[2J\x07 away\r\n").endswith("replied 554 go ?[2J? away")
