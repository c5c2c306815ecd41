"""Letters: their bytes, carriers and password, against a real SMTP server and the library's parser."""

import gc
import logging
import re
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.post.carrier import Carrier, Deferred, LetterRefused, Unreachable, retry_at
from daemon.post.folder import FolderCarrier
from daemon.post.message import marked, message_id_for, words_of
from daemon.post.secrets import SMTP_PASSWORD, read_secret
from daemon.post.smtp import SmtpCarrier
from daemon.station import PostServer
from tests.kit.command_line import PATIENCE_S
from tests.kit.dripping_server import TLS_RECORD, dripping
from tests.kit.mail_server import SECRET, Desk, Papers, Start, certify, free_port, mail_servers
from tests.kit.sample_letter import AT_S, ID, letter, out, read

PNG = b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 40


# --- the letter's bytes ---------------------------------------------------------------------------------


def test_the_same_letter_has_the_same_bytes() -> None:
    with_chart = {"chart_png": PNG, "chart_cid": "night@naupliad"}
    assert letter(**with_chart) == letter(**with_chart)
    assert letter(**with_chart) != letter(**with_chart, message_id="<other@school.example>")


def test_a_letter_reads_back_with_its_words_and_headers() -> None:
    parsed = read(letter(zone=ZoneInfo("America/New_York"), date_s=AT_S))
    assert parsed["Subject"] == "Tray A is cold: 18.2 °C"
    assert parsed["Date"] == "Fri, 19 Feb 2027 12:00:00 -0500"
    assert parsed["Message-ID"] == ID
    assert parsed["X-Naupliad-Kind"] == "cold"
    assert parsed["Auto-Submitted"] == "auto-generated"  # RFC 3834, 5
    assert parsed["Content-Language"] == "en"  # RFC 3282, 2
    assert read(letter(language="de"))["Content-Language"] == "de"
    assert parsed["In-Reply-To"] is None
    assert parsed.get_content_type() == "multipart/alternative"
    plain, page = parsed.get_body(("plain",)), parsed.get_body(("html",))
    assert plain is not None
    assert page is not None
    assert "18.2 °C.\r\n.\r\nSwitch the lamp" in plain.get_content()
    assert "<p>The water is at 18.2 °C.</p>" in page.get_content()
    assert (
        next(parsed.iter_parts()).get_content_type() == "text/plain"
    )  # the plainest first (RFC 2046, 5.1.4)


def test_the_date_is_in_the_stations_zone_in_summer() -> None:
    july_s = int(datetime(2027, 7, 1, tzinfo=UTC).timestamp())
    assert read(letter(date_s=july_s))["Date"] == "Thu, 01 Jul 2027 01:00:00 +0100"


def test_a_chart_stands_inside_the_page_under_its_name() -> None:
    parsed = read(letter(chart_png=PNG, chart_cid="night@naupliad"))
    related = parsed.get_body(("related",))
    assert related is not None
    chart = list(related.iter_parts())[1]
    assert chart["Content-ID"] == "<night@naupliad>"
    assert chart.get_content_type() == "image/png"
    assert chart.get_content() == PNG


def test_a_chart_without_a_name_is_refused() -> None:
    with pytest.raises(ValueError, match="belong together"):
        letter(chart_png=PNG)


def test_every_line_is_ascii_and_short_enough_for_any_server() -> None:
    message = letter(
        html=f"<p>{'é' * 3000}</p>",
        text="ü" * 3000,
        chart_png=PNG,
        chart_cid="night@naupliad",
        subject="é" * 300,
    )
    assert message.isascii()
    assert message.replace(b"\r\n", b"").count(b"\n") == 0
    assert max(len(line) for line in message.split(b"\r\n")) <= 78  # RFC 5322, 2.1.1


def test_only_the_top_says_its_mime_version() -> None:
    assert letter(chart_png=PNG, chart_cid="night@naupliad").count(b"MIME-Version") == 1


@pytest.mark.parametrize("length", [10, 40, 63])
def test_a_follow_up_names_the_first_letter_plainly_however_long_the_domain(length: int) -> None:
    first = message_id_for("Room 12", 1, AT_S, f"cups@{'a' * length}.{'b' * length}.example")
    message = letter(thread=first)
    assert f"In-Reply-To: {first}".encode() in message.replace(b"\r\n ", b" ")
    assert read(message)["References"] == first


def test_a_subject_with_line_ends_cannot_bring_headers_of_its_own() -> None:
    parsed = read(letter(subject="Tray A\r\nBcc: all@school.example"))
    assert parsed["Bcc"] is None
    assert parsed["Subject"] == "Tray A Bcc: all@school.example"


def test_without_a_post_both_ends_are_the_station_itself() -> None:
    parsed = read(letter(sender="", to=[]))
    assert (parsed["From"], parsed["To"]) == ("naupliad@localhost", "naupliad@localhost")


@given(
    subject=st.text(st.characters(codec="utf-8", exclude_categories=["C"]), max_size=200),
    text=st.text(st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1, max_size=500),
)
def test_any_words_read_back_as_they_were(subject: str, text: str) -> None:
    message = letter(subject=subject, text=text)
    parsed = read(message)
    plain = parsed.get_body(("plain",))
    assert plain is not None
    assert plain.get_content().split() == text.split()
    assert parsed["Subject"].split() == subject.split()


def test_message_ids_differ_by_letter_moment_station_and_sender() -> None:
    changes = [("Room 12", 8, AT_S, "a@b.example"), ("Room 13", 7, AT_S, "a@b.example")]
    changes += [("Room 12", 7, AT_S + 1, "a@b.example"), ("Room 12", 7, AT_S, "c@b.example")]
    base = message_id_for("Room 12", 7, AT_S, "a@b.example")
    assert len({base, *(message_id_for(*facts) for facts in changes)}) == 5
    assert base == message_id_for("Room 12", 7, AT_S, "a@b.example")
    assert base.endswith("@b.example>")
    assert message_id_for("Zürich 3", 1, 0, "").endswith("@localhost>")
    assert message_id_for("Room 12", 1, 0, "cups@bücher.example").endswith(
        "@xn--bcher-kva.example>"
    )  # RFC 3492's coding [M]


# --- trying again ---------------------------------------------------------------------------------------


def test_pauses_grow_to_an_hour_and_stay_there() -> None:
    assert [retry_at(tries, 1000) - 1000 for tries in range(1, 9)] == [
        60,
        120,
        300,
        900,
        1800,
        3600,
        3600,
        3600,
    ]


# --- letters as files -----------------------------------------------------------------------------------


def test_a_letter_becomes_a_file_named_by_its_number_and_kind(tmp_path: Path) -> None:
    carrier: Carrier = FolderCarrier(tmp_path / "out")
    carrier.carry(out(1, "cold", b"one"))
    carrier.carry(out(12345, "nightly", b"two"))
    found = {file.name: file.read_bytes() for file in (tmp_path / "out" / "letters").iterdir()}
    assert found == {"0001-cold.eml": b"one", "12345-nightly.eml": b"two"}


def test_a_letter_half_written_before_a_power_cut_is_written_anew(tmp_path: Path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / ".0001-cold.eml.part").write_bytes(b"ha")
    FolderCarrier(tmp_path).carry(out(1, "cold", b"whole"))
    assert [file.name for file in (tmp_path / "letters").iterdir()] == ["0001-cold.eml"]
    assert (tmp_path / "letters" / "0001-cold.eml").read_bytes() == b"whole"


def test_a_folder_that_cannot_be_written_makes_the_letter_wait(tmp_path: Path) -> None:
    (tmp_path / "letters").write_text("a file where the folder should be")
    with pytest.raises(Unreachable, match=r"0001-cold\.eml: the letter cannot be written"):
        FolderCarrier(tmp_path).carry(out(1, "cold", b"one"))


# --- the password ---------------------------------------------------------------------------------------


def test_the_systemd_credential_comes_first_and_loses_its_line_end(tmp_path: Path) -> None:
    (tmp_path / "smtp-password").write_text(f"{SECRET}\n")
    (tmp_path / "other").write_text("not this one")
    environ = {"CREDENTIALS_DIRECTORY": str(tmp_path), "NAUPLIAD_SMTP_PASSWORD_FILE": str(tmp_path / "other")}
    assert read_secret(SMTP_PASSWORD, environ) == SECRET


def test_the_empty_credential_of_the_unit_stands_for_none(tmp_path: Path) -> None:
    (tmp_path / "smtp-password").write_text("\n")
    (tmp_path / "other").write_text(f" {SECRET} \r\n")
    environ = {"CREDENTIALS_DIRECTORY": str(tmp_path)}
    assert read_secret(SMTP_PASSWORD, environ) is None
    assert (
        read_secret(SMTP_PASSWORD, {**environ, "NAUPLIAD_SMTP_PASSWORD_FILE": str(tmp_path / "other")})
        == f" {SECRET} "
    )


def test_no_password_is_kept_where_nothing_names_one(tmp_path: Path) -> None:
    assert read_secret(SMTP_PASSWORD, {}) is None
    assert read_secret(SMTP_PASSWORD, {"CREDENTIALS_DIRECTORY": str(tmp_path)}) is None


@pytest.mark.parametrize(
    ("held", "fault"),
    [
        (None, "cannot be read"),
        (b"\n", "is empty"),
        (f"{SECRET}\nsecond line".encode(), "several lines"),
        (f"{SECRET}é".encode(), "outside ASCII"),
    ],
)
def test_a_password_file_that_does_not_serve_is_told_without_its_words(
    tmp_path: Path, held: bytes | None, fault: str
) -> None:
    file = tmp_path / "password"
    if held is not None:
        file.write_bytes(held)
    with pytest.raises(InputError, match=fault) as caught:
        read_secret(SMTP_PASSWORD, {"NAUPLIAD_SMTP_PASSWORD_FILE": str(file)})
    assert str(file) in str(caught.value)
    assert "swim" not in str(caught.value)


# --- SMTP, against a real server ------------------------------------------------------------------------


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Papers:
    return certify(tmp_path_factory.mktemp("papers"), "localhost")


@pytest.fixture
def start() -> Iterator[Start]:
    """Starts servers; the answer says how to reach them."""
    with mail_servers() as started:
        yield started


def test_a_letter_goes_over_tls_with_log_in_and_arrives_byte_for_byte(start: Start, papers: Papers) -> None:
    desk = Desk()
    server = start(desk, "tls", ssl_context=papers.server, auth_require_tls=False)
    message = letter(to=["teacher@school.example", "second@school.example"])
    SmtpCarrier(replace(server, user="cups"), SECRET, 5.0, papers.client).carry(out(1, "cold", message))
    assert desk.logins == [("cups", SECRET)]
    both = ["teacher@school.example", "second@school.example"]
    assert desk.taken == [("cups@school.example", both, message)]


def test_a_letter_goes_over_starttls_logged_in_by_the_senders_address(start: Start, papers: Papers) -> None:
    desk = Desk()
    server = start(desk, "starttls", tls_context=papers.server, require_starttls=True)
    SmtpCarrier(server, SECRET, 5.0, papers.client).carry(out(1, "cold", letter()))
    assert desk.logins == [("cups@school.example", SECRET)]
    assert len(desk.taken) == 1


def test_a_letter_goes_to_a_relay_on_the_same_machine_without_log_in(start: Start) -> None:
    desk = Desk()
    SmtpCarrier(start(desk, "plain-on-loopback"), None, 5.0).carry(out(1, "cold", letter()))
    assert desk.taken[0][2] == letter()
    assert desk.logins == []


@pytest.mark.parametrize("by", ["sent", "read"])
def test_nothing_stays_of_letters_that_are_gone(start: Start, by: str) -> None:
    """The library makes an expression of the boundaries of each letter that it parses."""
    carrier = SmtpCarrier(start(Desk(), "plain-on-loopback"), None, 5.0)

    def expressions_after(numbers: range) -> int:
        for number in numbers:
            message = letter(message_id=f"<naupliad.{number}@school.example>")
            if by == "sent":
                carrier.carry(out(number, "cold", message))
            else:
                words_of(message)
        gc.collect()
        return sum(isinstance(one, re.Pattern) for one in gc.get_objects())

    assert expressions_after(range(1, 3)) == expressions_after(range(3, 30))


def test_a_relay_that_listens_at_one_of_the_loopback_addresses_is_found(
    start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk = Desk()
    server = replace(start(desk, "plain-on-loopback"), smtp_host="relay.test")
    ask = socket.getaddrinfo

    def look_up(host: Any, port: Any, *how: Any, **more: Any) -> Any:
        names = ["127.0.0.2", "127.0.0.1"] if host == "relay.test" else [host]
        return [entry for name in names for entry in ask(name, port, *how, **more)]

    monkeypatch.setattr(socket, "getaddrinfo", look_up)
    SmtpCarrier(server, None, 5.0).carry(out(1, "cold", letter()))
    assert len(desk.taken) == 1


def test_plain_never_leaves_the_machine() -> None:
    # 192.0.2.1 stands for any host elsewhere (RFC 5737)
    server = PostServer(
        "192.0.2.1", 25, "plain-on-loopback", None, "cups@school.example", ("t@school.example",), ()
    )
    with pytest.raises(Unreachable, match=r"is at 192\.0\.2\.1, but security plain-on-loopback"):
        SmtpCarrier(server, None, 0.5).carry(out(1, "cold", letter()))


def test_a_server_without_starttls_gets_neither_letter_nor_password(start: Start, papers: Papers) -> None:
    desk = Desk()
    server = start(desk, "starttls", auth_require_tls=False)
    with pytest.raises(Unreachable, match="offers no STARTTLS"):
        SmtpCarrier(server, SECRET, 5.0, papers.client).carry(out(1, "cold", letter()))
    assert (desk.taken, desk.logins) == ([], [])


@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_a_certificate_nobody_vouches_for_is_refused(start: Start, papers: Papers, security: str) -> None:
    desk = Desk()
    how = {"ssl_context": papers.server} if security == "tls" else {"tls_context": papers.server}
    with pytest.raises(Unreachable, match=r"no encrypted line: .*CERTIFICATE_VERIFY_FAILED"):
        SmtpCarrier(start(desk, security, **how), SECRET, 5.0).carry(out(1, "cold", letter()))
    assert (desk.taken, desk.logins) == ([], [])


@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_a_certificate_for_another_host_is_refused(start: Start, tmp_path: Path, security: str) -> None:
    other = certify(tmp_path, "elsewhere.example")
    how = {"ssl_context": other.server} if security == "tls" else {"tls_context": other.server}
    with pytest.raises(Unreachable, match=r"no encrypted line: .*CERTIFICATE_VERIFY_FAILED"):
        SmtpCarrier(start(Desk(), security, **how), None, 5.0, other.client).carry(out(1, "cold", letter()))


@pytest.mark.parametrize("security", ["tls", "starttls"])
def test_a_certificate_that_expired_is_refused(start: Start, tmp_path: Path, security: str) -> None:
    old, desk = certify(tmp_path, "localhost", days=-1), Desk()
    how = {"ssl_context": old.server} if security == "tls" else {"tls_context": old.server}
    with pytest.raises(Unreachable, match=r"no encrypted line: .*certificate has expired"):
        SmtpCarrier(start(desk, security, **how), SECRET, 5.0, old.client).carry(out(1, "cold", letter()))
    assert (desk.taken, desk.logins) == ([], [])


def test_a_wrong_password_makes_the_letter_wait_and_is_not_told(start: Start, papers: Papers) -> None:
    server = start(Desk(), "starttls", tls_context=papers.server)
    with pytest.raises(
        Unreachable, match=r"log-in as 'cups@school\.example' failed with reply 535"
    ) as caught:
        SmtpCarrier(server, "wrong-and-secret", 5.0, papers.client).carry(out(1, "cold", letter()))
    assert "secret" not in str(caught.value)


def test_a_user_without_a_password_is_told(start: Start) -> None:
    server = replace(start(Desk(), "plain-on-loopback"), user="cups")
    with pytest.raises(Unreachable, match="user 'cups' is set, but no password"):
        SmtpCarrier(server, None, 5.0).carry(out(1, "cold", letter()))


def test_a_password_for_a_server_without_log_in_is_told(start: Start) -> None:
    server = start(Desk(), "plain-on-loopback")  # offers no log-in over an open line
    with pytest.raises(Unreachable, match="takes no log-in, but a password is kept"):
        SmtpCarrier(server, SECRET, 5.0).carry(out(1, "cold", letter()))


@pytest.mark.parametrize("step", ["MAIL", "teacher@school.example", "DATA"])
@pytest.mark.parametrize(
    ("reply", "fault"),
    [
        ("451 4.3.0 try later", Unreachable),
        ("452 4.2.2 mailbox full", Unreachable),
        ("550 5.1.1 no such address", LetterRefused),
        ("554 5.7.1 looks like junk", LetterRefused),
        ("530 5.7.0 log in first", Unreachable),
    ],
)
def test_replies_of_4xx_make_a_letter_wait_and_5xx_end_it(
    start: Start, step: str, reply: str, fault: type[Exception]
) -> None:
    server = start(Desk({step: reply}), "plain-on-loopback")
    with pytest.raises(fault, match=rf"letter 12 \(cold\): localhost:\d+: .*replied {reply}"):
        SmtpCarrier(server, None, 5.0).carry(out(12, "cold", letter()))


@pytest.mark.parametrize(
    ("reply", "only_this_letter"),
    [
        ("450 4.2.1 busy", True),
        ("451 4.7.1 greylisted", True),
        ("421 4.3.2 closing", False),
        ("530 5.7.0 no", False),
    ],
)
def test_a_letter_that_is_put_off_holds_up_no_other_but_a_service_that_ends_does(
    start: Start, reply: str, only_this_letter: bool
) -> None:
    """421 is about the whole service (RFC 5321, 3.8 and 4.2.3), 530 about the account (RFC 4954, 6)."""
    server = start(Desk({"teacher@school.example": reply}), "plain-on-loopback")
    with pytest.raises(Unreachable) as caught:
        SmtpCarrier(server, None, 5.0).carry(out(12, "cold", letter()))
    assert isinstance(caught.value, Deferred) == only_this_letter


def test_to_reach_a_server_is_to_log_in_and_give_nothing(start: Start, papers: Papers) -> None:
    desk = Desk()
    server = start(desk, "tls", ssl_context=papers.server, auth_require_tls=False)
    SmtpCarrier(server, SECRET, 5.0, papers.client).reach()
    assert (desk.logins, desk.taken) == ([("cups@school.example", SECRET)], [])
    with pytest.raises(Unreachable, match="failed with reply 535"):
        SmtpCarrier(server, "wrong", 5.0, papers.client).reach()


def test_a_letter_bears_its_number_in_a_header_and_a_sample_none() -> None:
    assert read(letter(number=17))["X-Naupliad-Number"] == "17"
    assert read(letter())["X-Naupliad-Number"] is None


def test_a_letter_marked_late_is_the_same_letter_under_a_note() -> None:
    whole = letter(
        number=17,
        html="<html><body class='a'>\n<p>The water is at 18.2 °C.</p></body></html>",
        chart_png=PNG,
        chart_cid="night@naupliad",
    )
    late = marked(whole, "Late: Tray A is cold", "Late: written on Friday & sent now.")
    assert late == marked(whole, "Late: Tray A is cold", "Late: written on Friday & sent now.")
    before, after = read(whole), read(late)
    kept = ("Message-ID", "Date", "To", "From", "X-Naupliad-Number", "X-Naupliad-Kind", "Auto-Submitted")
    assert [after[name] for name in kept] == [before[name] for name in kept]
    assert after["Subject"] == "Late: Tray A is cold"
    words = words_of(late)
    assert words.text == f"Late: written on Friday & sent now.\n\n{words_of(whole).text}"
    assert words.html.startswith("<html><body class='a'>\n<p><strong>Late: written on Friday &amp; sent now.")
    related = after.get_body(("related",))
    assert related is not None
    assert list(related.iter_parts())[1].get_content() == PNG
    assert late.count(b"MIME-Version") == 1
    assert max(len(line) for line in late.split(b"\r\n")) <= 78  # RFC 5322, 2.1.1


def test_an_address_that_is_refused_does_not_keep_the_letter_from_the_others(
    start: Start, caplog: pytest.LogCaptureFixture
) -> None:
    desk = Desk({"gone@school.example": "550 5.1.1 no such address"})
    message = letter(to=["gone@school.example", "teacher@school.example"])
    with caplog.at_level(logging.WARNING, "daemon.post.smtp"):
        SmtpCarrier(start(desk, "plain-on-loopback"), None, 5.0).carry(out(3, "cold", message))
    assert desk.taken[0][1] == ["teacher@school.example"]
    assert caplog.messages == [
        "letter 3 (cold) went out, but not to gone@school.example: replied 550 5.1.1 no such address"
    ]


def test_a_letter_waits_when_one_address_may_be_taken_later(start: Start) -> None:
    desk = Desk({"gone@school.example": "550 no", "teacher@school.example": "450 not now"})
    carrier = SmtpCarrier(start(desk, "plain-on-loopback"), None, 5.0)
    message = letter(to=["gone@school.example", "teacher@school.example"])
    with pytest.raises(Unreachable, match="no address was taken"):
        carrier.carry(out(3, "cold", message))


def test_an_address_outside_ascii_ends_the_letter(start: Start) -> None:
    server = start(Desk(), "plain-on-loopback")
    with pytest.raises(LetterRefused, match="an address cannot be sent"):
        SmtpCarrier(replace(server, sender="cüps@school.example"), None, 5.0).carry(out(3, "cold", letter()))


def test_a_line_that_breaks_makes_the_letter_wait(start: Start) -> None:
    desk = Desk(hang_up=True)
    with pytest.raises(Unreachable, match="the line broke"):
        SmtpCarrier(start(desk, "plain-on-loopback"), None, 5.0).carry(out(1, "cold", letter()))


def test_nobody_at_the_port_makes_the_letter_wait() -> None:
    server = PostServer("localhost", free_port(), "plain-on-loopback", None, "c@s.example", (), ())
    with pytest.raises(Unreachable, match=r"localhost:\d+: cannot be reached: Connection refused"):
        SmtpCarrier(server, None, 5.0).carry(out(1, "cold", letter()))


@pytest.mark.parametrize("host", ["no-such-host.invalid", "a" * 70 + ".example"])
@pytest.mark.parametrize("security", ["tls", "starttls", "plain-on-loopback"])
def test_a_name_nobody_knows_makes_the_letter_wait(host: str, security: str) -> None:
    server = PostServer(host, 25, security, None, "cups@school.example", (), ())  # .invalid: RFC 6761, 6.4
    with pytest.raises(Unreachable, match=r"cannot be (reached|looked up)"):
        SmtpCarrier(server, None, 5.0).carry(out(1, "cold", letter()))


# --- SMTP, against servers that behave badly ------------------------------------------------------------


def play(replies: dict[bytes, bytes]) -> Iterator[PostServer]:
    """A server that follows a script: the first word of a line decides the reply."""
    with socket.create_server(("127.0.0.1", 0)) as listener:

        def serve() -> None:
            client, _ = listener.accept()
            with client, client.makefile("rb") as lines:
                client.sendall(replies[b""])
                for line in lines:
                    word = line.split()[0].upper() if line.strip() else b"-"
                    if reply := replies.get(word):
                        client.sendall(reply.replace(b"%", line.strip()))
                        if not reply.endswith(b"\n"):
                            return  # it breaks off

        thread = threading.Thread(target=serve, daemon=True)
        thread.start()
        port = int(listener.getsockname()[1])
        yield PostServer("127.0.0.1", port, "plain-on-loopback", None, "c@s.example", (), ())
        thread.join(5.0)


AGREES = {
    b"": b"220 hello\r\n",
    b"EHLO": b"250-hello\r\n250 AUTH PLAIN\r\n",
    b"MAIL": b"250 ok\r\n",
    b"RCPT": b"250 ok\r\n",
    b"DATA": b"354 go on\r\n",
    b".": b"250 taken\r\n",
    b"QUIT": b"221 bye\r\n",
}


@pytest.fixture
def scripted(request: pytest.FixtureRequest) -> Iterator[PostServer]:
    yield from play({**AGREES, **request.param})


@pytest.mark.parametrize("scripted", [{b"AUTH": b"500 unknown: %\r\n"}], indirect=True)
def test_a_server_that_repeats_the_password_does_not_bring_it_into_the_message(scripted: PostServer) -> None:
    with pytest.raises(Unreachable, match="failed with reply 500") as caught:
        SmtpCarrier(scripted, SECRET, 5.0).carry(out(1, "cold", letter()))
    assert "AUTH PLAIN" not in str(caught.value)
    assert caught.value.__suppress_context__


@pytest.mark.parametrize("scripted", [{b"": b"554 no service for you\r\n"}], indirect=True)
def test_a_server_that_serves_nobody_makes_the_letter_wait(scripted: PostServer) -> None:
    with pytest.raises(Unreachable, match="replied 554 no service for you"):
        SmtpCarrier(scripted, None, 5.0).carry(out(1, "cold", letter()))


@pytest.mark.parametrize("scripted", [{b"QUIT": b"500 what?\r\n"}], indirect=True)
def test_a_letter_once_taken_counts_whatever_comes_of_the_goodbye(scripted: PostServer) -> None:
    SmtpCarrier(scripted, None, 5.0).carry(out(1, "cold", letter(text="word\n")))


@pytest.mark.parametrize("scripted", [{b"": b""}], indirect=True)
def test_a_server_that_says_nothing_makes_the_letter_wait(scripted: PostServer) -> None:
    with pytest.raises(Unreachable, match=r"cannot be reached: .*timed out"):
        SmtpCarrier(scripted, None, 0.2).carry(out(1, "cold", letter()))


CUT_OFF = r"cut off, as it took over 0\.8 s"


@pytest.mark.parametrize(
    ("security", "says", "told"),
    [
        ("plain-on-loopback", [b"220-"], CUT_OFF),
        ("plain-on-loopback", [b"220 hello\r\n", b"250-"], CUT_OFF),
        # Python's own time for a handshake is for all of it.
        ("tls", [b"", TLS_RECORD], "handshake operation timed out"),
        (
            "starttls",
            [b"220 hi\r\n", b"250-hi\r\n250 STARTTLS\r\n", b"220 go on\r\n", TLS_RECORD],
            "handshake operation timed out",
        ),
    ],
    ids=["greeting", "reply", "TLS", "STARTTLS"],
)
def test_a_server_that_drips_is_left_after_a_while_wherever_it_does(
    security: str, says: list[bytes], told: str
) -> None:
    """Each byte comes before a step times out; the whole talk has an end all the same."""
    with ThreadPoolExecutor(1) as beside, dripping(*says) as port:
        server = PostServer("127.0.0.1", port, security, None, "c@s.example", (), ())
        carried = beside.submit(SmtpCarrier(server, None, 0.2).carry, out(1, "cold", letter()))
        with pytest.raises(Unreachable, match=rf"127\.0\.0\.1:{port}: .*{told}"):
            carried.result(PATIENCE_S)


@pytest.mark.parametrize("says", ["nothing", "hello in TLS"])
def test_a_server_that_stalls_in_tls_makes_the_letter_wait(papers: Papers, says: str) -> None:
    """One that never answers the handshake, and one that completes it and never greets."""
    with socket.create_server(("127.0.0.1", 0)) as listener, ThreadPoolExecutor(1) as beside:

        def serve() -> None:
            client, _ = listener.accept()
            with client, suppress(OSError):
                line = papers.server.wrap_socket(client, server_side=True) if says != "nothing" else client
                while line.recv(1000):
                    pass
                line.close()

        served = beside.submit(serve)
        port = int(listener.getsockname()[1])
        server = PostServer("localhost", port, "tls", None, "c@s.example", (), ())
        with pytest.raises(Unreachable, match=r"cannot be reached: .*timed out"):
            SmtpCarrier(server, None, 0.3, papers.client).carry(out(1, "cold", letter()))
        served.result(PATIENCE_S)


def test_a_connection_that_is_not_taken_up_has_an_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """A name with many addresses, at none of which anybody answers: their times do not add up."""
    with socket.create_server(("127.0.0.1", 0), backlog=0) as listener, ExitStack() as callers:
        port = int(listener.getsockname()[1])
        for _ in range(3):  # the queue is full: who comes now is not heard
            caller = callers.enter_context(socket.socket())
            caller.setblocking(False)
            caller.connect_ex(("127.0.0.1", port))
        address = (socket.AF_INET, socket.SOCK_STREAM, 6, "", ("127.0.0.1", port))
        monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: [address] * 100)
        server = PostServer("relay.test", port, "starttls", None, "c@s.example", (), ())
        with pytest.raises(Unreachable, match="cut off, as it took over"):
            SmtpCarrier(server, None, 0.5).carry(out(1, "cold", letter()))


@pytest.mark.parametrize("scripted", [{b".": b"250"}, {b".": b"250 taken"}], indirect=True)
def test_a_reply_that_breaks_off_is_no_word_that_the_letter_was_taken(scripted: PostServer) -> None:
    with pytest.raises(Deferred, match="the line broke"):
        SmtpCarrier(scripted, None, 5.0).carry(out(1, "cold", letter(text="word\n")))


@pytest.mark.parametrize("length", range(1, 60))
def test_no_reader_loses_a_space_of_a_subject_that_is_folded(length: int) -> None:
    """Wherever the line ends: between two words that need encoding the library's own fold loses it."""
    for end in ("26.1 °C, Unheate…", "°C, cup, Röntgen…", "plain"):
        subject = f"{'Thu 10 Jun: 1 alarm open and more, 14.0 to ' * 2}"[:length].strip() + f" {end}"
        assert str(read(letter(subject=subject))["Subject"]) == subject
