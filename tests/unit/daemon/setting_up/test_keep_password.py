"""A mail password typed into the page: kept for one account, used from the next letter on, never shown."""

import json
import os
import stat
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.config import parse_station
from daemon.errors import InputError, NaupliadError
from daemon.post.carrier import Carrier, Unreachable
from daemon.post.kept_password import FILE_NAME, account_of, kept_for, read_kept
from daemon.post.station_carriers import make_carriers
from daemon.setting_up.file_desk import keep_file, station_file
from daemon.setting_up.password_desk import keep_password
from daemon.setting_up.place import SetUpPlace
from daemon.station import PostServer, Station
from daemon.store.backup import back_up
from daemon.store.file import WritingStore
from tests.kit.command_line import naupliad
from tests.kit.mail_server import SECRET, Desk, Start, mail_servers
from tests.kit.sample_letter import letter, out
from tests.kit.set_up_daemon import asked, place_in
from tests.kit.station import station_text

ACCOUNT = {"host": "mail.school.example", "port": 465, "security": "tls", "user": "shrimp"}
WORDS = {**ACCOUNT, "password": SECRET}
SERVER = PostServer("mail.school.example", 465, "tls", "shrimp", "cups@school.example", (), ())
RIGHT = station_text(driver="rehearsal")
POST = """
[post]
smtp_host = "mail.school.example"
user = "shrimp"
from = "shrimp@school.example"
to = ["teacher@school.example"]
"""


@pytest.fixture
def start() -> Iterator[Start]:
    with mail_servers() as started:
        yield started


def place_of(folder: Path, **environ: str) -> SetUpPlace:
    return place_in(folder, environ)


def of(server: PostServer, password: str = SECRET) -> dict[str, Any]:
    """The words that keep a password for a server."""
    account = account_of(server)
    names = ("host", "port", "security", "user")
    return {**{name: getattr(account, name) for name in names}, "password": password}


def station_with(server: PostServer) -> Station:
    station = parse_station(RIGHT, "station.toml")
    return replace(station, post=replace(station.post, server=server))


def carrier_of(folder: Path, server: PostServer, **environ: str) -> Carrier:
    return make_carriers(station_with(server), folder, environ)["mail"]


def roots(folder: Path) -> dict[str, str]:
    (folder / "secret").write_text("of-the-administrator\n")
    return {"NAUPLIAD_SMTP_PASSWORD_FILE": str(folder / "secret")}


def test_it_is_kept_for_its_owner_alone_and_told_without_itself(tmp_path: Path) -> None:
    place = place_of(tmp_path)
    none = station_file(place)
    assert (none["mail_password"], none["mail_accounts"]) == ("none", [])
    assert keep_password(place, WORDS) == {"kept": True}
    mode = (tmp_path / FILE_NAME).stat().st_mode
    assert stat.S_IMODE(mode) == 0o600
    told = station_file(place)
    assert (told["mail_password"], told["mail_accounts"]) == ("kept", [ACCOUNT])
    assert SECRET not in json.dumps(told)
    assert SECRET not in repr(read_kept(tmp_path))
    assert keep_password(place, {**WORDS, "password": ""}) == {"kept": False}
    assert station_file(place) == none
    assert list(tmp_path.iterdir()) == []
    assert keep_password(place, {"password": ""}) == {"kept": False}


def test_the_port_and_security_that_a_station_file_takes_by_itself_need_not_be_said(tmp_path: Path) -> None:
    place = place_of(tmp_path)
    keep_password(place, {"host": "mail.school.example", "user": "shrimp", "password": SECRET})
    assert station_file(place)["mail_accounts"][0] == ACCOUNT
    keep_password(place, {**WORDS, "port": None, "security": "starttls"})
    assert station_file(place)["mail_accounts"][0] == {**ACCOUNT, "security": "starttls", "port": 587}


def test_it_is_used_from_the_next_letter_on_and_forgotten_as_soon(tmp_path: Path, start: Start) -> None:
    desk = Desk()
    server = replace(start(desk, "plain-on-loopback", auth_require_tls=False), user="cups")
    place, carrier = place_of(tmp_path), carrier_of(tmp_path, server)
    for password in ("wrong", SECRET):
        with pytest.raises(Unreachable):
            carrier.carry(out(1, "cold", letter()))
        keep_password(place, of(server, password))
    carrier.reach()
    carrier.carry(out(1, "cold", letter()))
    assert [login for login in desk.logins if login[1] != "wrong"] == [("cups", SECRET)] * 2
    assert len(desk.taken) == 1
    keep_password(place, {"password": ""})
    with pytest.raises(Unreachable):
        carrier.carry(out(1, "cold", letter()))
    assert len([login for login in desk.logins if login[1] == SECRET]) == 2


def test_while_another_server_is_set_up_letters_go_on_by_the_one_of_now(tmp_path: Path) -> None:
    """Whoever leaves off in the midst of it has changed nothing; what nobody uses any more goes."""
    other, third = replace(SERVER, smtp_host="mail.new.example"), replace(SERVER, user="third")
    place = replace(place_of(tmp_path), followed=station_with(SERVER))
    for server, password in ((SERVER, "of-now"), (third, "left-off"), (other, "typo"), (other, "new")):
        keep_password(place, of(server, password))
    assert [kept_for(tmp_path, server) for server in (SERVER, other, third)] == ["of-now", "new", None]
    hosts = [account["host"] for account in station_file(place)["mail_accounts"]]
    assert hosts == ["mail.new.example", "mail.school.example"]
    assert station_file(place)["mail_accounts"][0]["host"] == "mail.new.example"
    taken_up = replace(place, followed=station_with(other))
    keep_password(taken_up, of(third, "third"))
    assert [kept_for(tmp_path, server) for server in (SERVER, other, third)] == [None, "new", "third"]
    keep_password(taken_up, of(other, "newer"))
    assert [one.password for one in read_kept(tmp_path)] == ["newer"]
    keep_password(taken_up, {"password": ""})
    assert [kept_for(tmp_path, server) for server in (SERVER, other, third)] == [None, None, None]


_OTHERS = st.one_of(
    st.builds(lambda host: replace(SERVER, smtp_host=host), st.sampled_from(["mail.thief.example", ""])),
    st.builds(lambda port: replace(SERVER, smtp_port=port), st.integers(1, 65535).filter(lambda p: p != 465)),
    st.sampled_from(["starttls", "plain-on-loopback"]).map(lambda how: replace(SERVER, security=how)),
    st.one_of(st.none(), st.text()).filter(lambda u: u != "shrimp").map(lambda u: replace(SERVER, user=u)),
)


@given(other=_OTHERS)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_it_is_for_no_other_account(tmp_path: Path, other: PostServer) -> None:
    keep_password(place_of(tmp_path), WORDS)
    assert kept_for(tmp_path, SERVER) == SECRET
    assert kept_for(tmp_path, other) is None


def test_another_server_never_hears_it(tmp_path: Path, start: Start) -> None:
    mine, theirs = Desk(), Desk()
    server = start(mine, "plain-on-loopback", auth_require_tls=False)
    other = replace(start(theirs, "plain-on-loopback", auth_require_tls=False), user="cups@school.example")
    keep_password(place_of(tmp_path), of(server))
    with pytest.raises(Unreachable, match="no password is kept for it"):
        carrier_of(tmp_path, other).carry(out(1, "cold", letter()))
    assert theirs.logins == []


@pytest.mark.parametrize("where", ["credential", "file", "kept"])
def test_the_administrators_goes_first(tmp_path: Path, start: Start, where: str) -> None:
    desk = Desk()
    server = start(desk, "plain-on-loopback", auth_require_tls=False)
    keep_password(place_of(tmp_path), of(server, SECRET if where == "kept" else "wrong"))
    environ = {"credential": {"CREDENTIALS_DIRECTORY": str(tmp_path)}, "kept": {}}.get(where)
    (tmp_path / "smtp-password").write_text(SECRET if where == "credential" else "")
    (tmp_path / "named").write_text(SECRET)
    if environ is None:
        environ = {"NAUPLIAD_SMTP_PASSWORD_FILE": str(tmp_path / "named")}
    carrier_of(tmp_path, server, **environ).carry(out(1, "cold", letter()))
    assert desk.logins == [("cups@school.example", SECRET)]


def test_where_the_administrators_cannot_be_read_no_other_is_taken(tmp_path: Path, start: Start) -> None:
    desk = Desk()
    server = replace(start(desk, "plain-on-loopback", auth_require_tls=False), user="cups")
    keep_password(place_of(tmp_path), of(server))
    environ = {"NAUPLIAD_SMTP_PASSWORD_FILE": str(tmp_path / "gone")}
    carrier = make_carriers(station_with(server), tmp_path, environ, go_on=True)["mail"]
    with pytest.raises(Unreachable, match="no password is kept"):
        carrier.carry(out(1, "cold", letter()))
    assert desk.logins == []


def test_where_the_administrator_keeps_one_none_is_kept_beside_it(tmp_path: Path) -> None:
    keep_password(place_of(tmp_path), WORDS)
    place = place_of(tmp_path, **roots(tmp_path))
    with pytest.raises(InputError) as refused:
        keep_password(place, {**WORDS, "password": "another"})
    assert str(refused.value) == (
        "password: found one that the administrator keeps (smtp-password), which goes first; allowed: to"
        " leave it so, or on the machine: sudo rm /etc/naupliad/smtp-password;"
        " sudo systemctl restart naupliad"
    )
    assert (station_file(place)["mail_password"], station_file(place)["mail_accounts"]) == ("root", [])
    assert kept_for(tmp_path, SERVER) == SECRET
    assert keep_password(place, {"password": ""}) == {"kept": False}  # to forget an old one does no harm


def test_a_first_set_up_beside_the_administrators_password_is_refused_with_what_to_do(tmp_path: Path) -> None:
    for followed in (None, parse_station(RIGHT, "x")):
        place = replace(place_of(tmp_path, **roots(tmp_path)), followed=followed)
        with pytest.raises(InputError) as refused:
            keep_file(place, RIGHT + POST, "")
        assert str(refused.value).endswith(
            "allowed: to write that table into the file by hand, or first, on the machine: sudo rm"
            " /etc/naupliad/smtp-password; sudo systemctl restart naupliad"
        )


@pytest.mark.parametrize(
    "wrong",
    [
        {"password": "two\nlines"},
        {"password": "line\n"},
        {"password": "grün"},
        {"password": "x" * 5000},
        {"password": 7},
        {"host": None},
        {"host": "mail school"},
        {"host": "mail.school.example", "security": "plain-on-loopback"},
        {"security": "plain"},
        {"port": 0},
        {"port": True},
        {"port": 587},
        {"user": None},
        {"user": ""},
        {"user": "a\nb"},
    ],
)
def test_what_is_no_account_or_no_password_is_refused_in_lines_that_do_not_quote_it(
    tmp_path: Path, wrong: dict[str, Any], caplog: pytest.LogCaptureFixture
) -> None:
    place = place_of(tmp_path)
    keep_password(place, {**WORDS, "password": "before"})
    words = {**WORDS, **wrong}
    with pytest.raises(InputError, match="allowed") as refused:
        keep_password(place, words)
    for line in refused.value.faults:
        assert "\n" not in line
        assert str(words["password"])[:5000] not in line or words["password"] == 7
    assert kept_for(tmp_path, SERVER) == "before"
    assert SECRET not in caplog.text


_WHOLE = json.dumps([WORDS]).encode()
_BROKEN = st.one_of(
    st.binary(max_size=60),
    st.sampled_from([b"[" * 100_000, b"{}", b"[]", b"[{}]", b"null", b"[7]", b'"\\ud800"', _WHOLE[:-1]]),
    st.sampled_from(sorted(WORDS)).map(lambda key: json.dumps([WORDS, {**WORDS, key: [SECRET]}]).encode()),
    st.sampled_from(["", "a\nb", "\ud800", "grün"]).map(
        lambda password: json.dumps([{**WORDS, "password": password}]).encode()
    ),
)


@given(raw=_BROKEN)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_a_broken_file_is_none_in_one_line_and_letters_wait_until_it_is_typed_anew(
    tmp_path: Path, raw: bytes
) -> None:
    place = place_of(tmp_path)
    (tmp_path / FILE_NAME).write_bytes(raw)
    with pytest.raises(Unreachable) as waits:
        carrier_of(tmp_path, SERVER).carry(out(1, "cold", letter()))
    assert str(waits.value).startswith("mail.school.example:465: no password: ")
    assert f"{FILE_NAME}: found a file that is broken; allowed: to type the password" in str(waits.value)
    assert "\n" not in str(waits.value)
    assert SECRET not in str(waits.value)
    assert station_file(place)["mail_password"] == "none"
    keep_password(place, WORDS)
    assert station_file(place)["mail_password"] == "kept"


@pytest.mark.parametrize("found", ["pipe", "folder"])
def test_what_is_no_file_is_waited_for_by_nobody(tmp_path: Path, found: str) -> None:
    os.mkfifo(tmp_path / FILE_NAME) if found == "pipe" else (tmp_path / FILE_NAME).mkdir()
    with pytest.raises(Unreachable, match=f"no password: .*{FILE_NAME}: found a {found}; allowed"):
        carrier_of(tmp_path, SERVER).carry(out(1, "cold", letter()))
    assert station_file(place_of(tmp_path))["mail_password"] == "none"


def test_a_full_disk_leaves_the_one_that_was_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place = place_of(tmp_path)
    keep_password(place, {**WORDS, "password": "before"})

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NaupliadError, match="No space left on device") as refused:
        keep_password(place, WORDS)
    assert SECRET not in str(refused.value)
    assert kept_for(tmp_path, SERVER) == "before"
    assert list(tmp_path.iterdir()) == [tmp_path / FILE_NAME]


def test_it_stands_in_no_log_answer_backup_or_export(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("DEBUG")
    WritingStore(tmp_path).close()
    with asked(place_of(tmp_path)) as told:
        answers = [told("keep-password", **WORDS), told("station-file"), told("keep-password", **ACCOUNT)]
        wrong = told("keep-password", **{**WORDS, "security": SECRET, "port": SECRET})
    assert answers[0] == {"kept": True}
    assert answers[1]["mail_accounts"][0] == ACCOUNT
    assert answers[2] == {"error": "request: password: found nothing; allowed: a text"}
    assert len(wrong["faults"]) == 2
    assert SECRET not in json.dumps(answers) + caplog.text
    away = tmp_path / "away"
    back_up(tmp_path, away / "backup", date(2027, 1, 15))
    naupliad("export", away / "export", "--state", tmp_path)
    naupliad("checkup", "--state", tmp_path, "--json")
    for path in tmp_path.rglob("*"):
        if path.is_file() and path.name != FILE_NAME:
            assert SECRET.encode() not in path.read_bytes(), path
