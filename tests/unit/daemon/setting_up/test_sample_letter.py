"""A sample letter by the ways out of a text that is not kept: real servers, and nothing stored."""

import threading
from collections.abc import Iterator
from dataclasses import replace
from email import message_from_bytes, policy
from pathlib import Path
from typing import Any

import pytest

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.setting_up.file_desk import MOST_TEXT_BYTES
from daemon.setting_up.password_desk import keep_password
from daemon.setting_up.sample_desk import SampleDesk
from daemon.station import PostServer
from tests.kit.file_machine import PlayedTime, machine
from tests.kit.mail_server import SECRET, Desk, Start, free_port, mail_servers
from tests.kit.set_up_daemon import asked, place_in
from tests.kit.station import post, station_text, table
from tests.kit.web_server import Hook, web_server

GUARD_S = 10.0


@pytest.fixture
def start() -> Iterator[Start]:
    with mail_servers() as started:
        yield started


def text_of(*tables: str, driver: str = "rehearsal", **keys: Any) -> str:
    return "\n".join([station_text(driver=driver, **keys), *tables])


def mailing(server: PostServer, **keys: Any) -> str:
    return text_of(post(server.smtp_port, **keys))


def desk_of(folder: Path, time: PlayedTime | None = None, **more: Any) -> SampleDesk:
    return SampleDesk(place_in(folder), machine(folder, time), **more)


def everything(folder: Path) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


@pytest.fixture
def hook() -> Iterator[Hook]:
    with web_server(Hook()) as served:
        yield served


def test_it_goes_by_the_ways_of_the_text_and_nothing_is_stored(
    tmp_path: Path, start: Start, hook: Hook
) -> None:
    mail = Desk()
    url = f"http://localhost:{hook.port}/letters?key=tell-nobody"
    text = text_of(post(start(mail, "plain-on-loopback").smtp_port), table("[webhook]", url=url))
    environ = {"NAUPLIAD_WEBHOOK_SECRET_FILE": str(tmp_path / "secret")}
    (tmp_path / "secret").write_text("a-secret-to-sign-with")
    desk = SampleDesk(place_in(tmp_path, environ), machine(tmp_path))
    assert desk.answer({"text": text}) == {
        "ways": [
            {"way": "mail", "delivered": True, "account": "it is on its way to teacher@school.example"},
            {
                "way": "webhook",
                "delivered": True,
                "account": f"it is on its way to http://localhost:{hook.port}",
            },
        ]
    }
    ((_, to, raw),) = mail.taken
    letter = message_from_bytes(raw, policy=policy.default)
    assert (to, letter["X-Naupliad-Kind"]) == (["teacher@school.example"], "sample")
    assert len(hook.asked) == 1
    assert everything(tmp_path) == ["secret"]


def test_it_is_written_in_the_language_of_the_text(tmp_path: Path, start: Start) -> None:
    mail = Desk()
    text = text_of(post(start(mail, "plain-on-loopback").smtp_port), language="de")
    assert desk_of(tmp_path).answer({"text": text})["ways"][0]["delivered"]
    assert message_from_bytes(mail.taken[0][2], policy=policy.default)["Content-Language"] == "de"


def test_what_did_not_go_is_told_with_why(tmp_path: Path, start: Start) -> None:
    text = text_of(post(free_port()))
    (way,) = desk_of(tmp_path).answer({"text": text})["ways"]
    assert (way["way"], way["delivered"]) == ("mail", False)
    assert "cannot be reached: Connection refused" in way["account"]
    assert "\n" not in way["account"]
    refused = start(Desk(replies={"teacher@school.example": "550 no such address"}), "plain-on-loopback")
    (way,) = desk_of(tmp_path).answer({"text": mailing(refused)})["ways"]
    assert "replied 550 no such address" in way["account"]
    assert everything(tmp_path) == []


def test_a_kept_password_goes_to_the_server_it_was_typed_for_and_to_no_other(
    tmp_path: Path, start: Start
) -> None:
    mine, theirs = Desk(), Desk()
    server = start(mine, "plain-on-loopback", auth_require_tls=False)
    other = start(theirs, "plain-on-loopback", auth_require_tls=False)
    account = {"host": "localhost", "port": server.smtp_port, "security": "plain-on-loopback", "user": "cups"}
    keep_password(place_in(tmp_path), {**account, "password": SECRET})
    desk = desk_of(tmp_path)
    assert desk.answer({"text": mailing(server, user="cups")})["ways"][0]["delivered"]
    assert mine.logins == [("cups", SECRET)]
    (way,) = desk.answer({"text": mailing(other, user="cups")})["ways"]
    assert (way["delivered"], theirs.logins) == (False, [])
    assert "no password is kept for it" in way["account"]


def test_roots_password_goes_to_no_other_server_by_a_sample(tmp_path: Path, start: Start) -> None:
    theirs = Desk()
    other = start(theirs, "plain-on-loopback", auth_require_tls=False)
    (tmp_path / "secret").write_text(SECRET)
    environ = {"NAUPLIAD_SMTP_PASSWORD_FILE": str(tmp_path / "secret")}
    followed = parse_station(text_of(post(25, user="cups")), "x")
    for known in (None, followed):
        place = replace(place_in(tmp_path, environ), followed=known)
        with pytest.raises(InputError, match="smtp-password"):
            SampleDesk(place, machine(tmp_path)).answer({"text": mailing(other, user="cups")})
    assert (theirs.logins, theirs.taken) == ([], [])
    own = replace(place_in(tmp_path, environ), followed=parse_station(mailing(other, user="cups"), "x"))
    assert SampleDesk(own, machine(tmp_path)).answer({"text": mailing(other, user="cups")})["ways"][0][
        "delivered"
    ]


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("x = 1\n", "allowed"),
        (text_of(), r"found no way out of the house .* allowed: \[post\]"),
        (text_of(post(25), driver="tape"), "tape"),
        (text_of(post(25)) + "#" * MOST_TEXT_BYTES, "allowed: up to 49152 bytes"),
        (7, "allowed: a text"),
    ],
    ids=["faulty", "files", "tape", "long", "no text"],
)
def test_a_text_that_could_not_be_kept_or_has_no_way_out_sends_nothing(
    tmp_path: Path, text: object, fault: str
) -> None:
    with pytest.raises(InputError, match=fault):
        desk_of(tmp_path).answer({"text": text})
    assert everything(tmp_path) == []


def test_there_are_six_an_hour(tmp_path: Path, start: Start) -> None:
    mail, time = Desk(), PlayedTime()
    text = mailing(start(mail, "plain-on-loopback"))
    desk = desk_of(tmp_path, time)
    for _ in range(6):
        desk.answer({"text": text})
        time.sleep(60)
    with pytest.raises(InputError) as refused:
        desk.answer({"text": text})
    assert str(refused.value) == "sample letter: found 6 within an hour; allowed: the next in 54 min"
    with pytest.raises(InputError, match="no way out"):  # what sends nothing does not count
        desk.answer({"text": text_of()})
    time.sleep(54 * 60)
    desk.answer({"text": text})
    assert len(mail.taken) == 7
    with pytest.raises(InputError, match="the next in 1 min"):
        desk.answer({"text": text})


@pytest.fixture
def stalling() -> Iterator[Desk]:
    """A server that does not answer until `go_on`, or until a test that fails has waited long enough."""
    go_on = threading.Event()
    gives_up = threading.Timer(GUARD_S, go_on.set)
    gives_up.start()
    yield Desk(go_on=go_on)
    go_on.set()
    gives_up.cancel()
    gives_up.join()


def test_a_server_that_stalls_is_answered_in_time_and_no_other_goes_meanwhile(
    tmp_path: Path, start: Start, stalling: Desk
) -> None:
    mail = stalling
    text = mailing(start(mail, "plain-on-loopback"))
    desk = desk_of(tmp_path, patience_s=0.05)
    (way,) = desk.answer({"text": text})["ways"]
    assert way["delivered"] is False
    assert way["account"] == "nothing came of it in 0.05 s; it is tried for up to two minutes"
    with pytest.raises(InputError, match="found one still on its way; allowed: to wait"):
        desk.answer({"text": text})
    assert mail.go_on is not None
    mail.go_on.set()
    for thread in [one for one in threading.enumerate() if one.name == "sample mail"]:
        thread.join(GUARD_S)
    assert len(mail.taken) == 1
    assert desk_of(tmp_path).answer({"text": text})["ways"][0]["delivered"]


def test_over_the_inbox_a_second_is_refused_at_once(tmp_path: Path, start: Start, stalling: Desk) -> None:
    mail = stalling
    assert mail.go_on is not None
    text = mailing(start(mail, "plain-on-loopback"))
    with asked(place_in(tmp_path)) as told:
        answers: list[dict[str, Any]] = []
        first = threading.Thread(target=lambda: answers.append(told("sample-letter", text=text)))
        first.start()
        assert mail.stalled.wait(GUARD_S)
        assert told("sample-letter", text=text) == {
            "error": "sample letter: found one still on its way; allowed: to wait for what comes of it"
        }
        assert told("station-file")["text"] is None  # other words are answered meanwhile
        mail.go_on.set()
        first.join(GUARD_S)
        assert answers[0]["ways"][0]["delivered"]
        assert "error" not in told("sample-letter", text=text)
    assert len(mail.taken) == 2


def test_a_fault_of_our_own_is_told_and_logged(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    from daemon.post.kept_mail import KeptMailCarrier

    def broken(*_: object) -> None:
        raise RuntimeError("spilt")

    monkeypatch.setattr(KeptMailCarrier, "carry", broken)
    (way,) = desk_of(tmp_path).answer({"text": text_of(post(25))})["ways"]
    assert (way["delivered"], way["account"]) == (False, "the daemon failed at this; its log says how")
    assert "spilt" in caplog.text
