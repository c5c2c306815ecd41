"""`naupliad checkup` on a Pi made of files: what is in place, what is not, and the exact line to add."""

import errno
import json
import os
import socket
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.commissioning.checkup.devices import switch_on
from daemon.commissioning.checkup.service_account import ENTER, READ, WRITE, service_account
from daemon.page.guard.pin import Cost, page_folder, set_pin
from daemon.post.kept_password import FILE_NAME as KEPT_FILE
from daemon.post.kept_password import KeptPassword, MailAccount, written
from daemon.store.file import FILE_NAME, WritingStore
from tests.kit.command_line import Said
from tests.kit.file_machine import machine, naupliad
from tests.kit.gpio_chips import HEADER, PI_4, PI_5_FROM_11, answering, lay_chips
from tests.kit.somebody_else import as_somebody_else, let_others_in
from tests.kit.station import post, probe, station_text, table, vessel
from tests.kit.sysfs import attach, lay

ADDRESS = "28-00000a1b2c3d"
W1 = "sys/bus/w1/devices"
RUNNING = "LoadState=loaded\nActiveState=active\nUnitFileState=enabled\nNRestarts=0"
# A uid that is not ours, so that a file's mode decides also where the tests run as root; files made here are
# of our own group, which is the account's too.
OURS = os.getgid()
PASSWD = f"root:x:0:0:root:/root:/bin/sh\nnaupliad:x:54321:{OURS}::/var/lib/naupliad:/usr/sbin/nologin\n"
GROUP = f"gpio:x:54001:teacher,naupliad\nspi:x:54002:naupliad\nnaupliad:x:{OURS}:teacher\n"

WATER = probe("tray-water", driver="ds18b20", address=ADDRESS)
CUP = vessel("tray-a", "tray-water")
LIGHT = probe("light", "light_fraction", "mcp3008", channel=0)
FLOAT = probe("float", "float_low", "float", pin=17)
LUX = probe("lux", "light_lux", "iio", device="bh1750")


class Pi:
    """A Raspberry Pi of files on which all is well, to break one thing at a time."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.more: dict[str, Any] = {"said": lambda _: RUNNING}
        self.config = root / "etc" / "naupliad" / "station.toml"
        self.state = root / "var" / "lib" / "naupliad"
        self.write("etc/passwd", PASSWD)
        self.write("etc/group", GROUP)
        self.station(WATER, CUP)
        self.write("boot/firmware/config.txt", "[all]\ndtoverlay=w1-gpio\n")
        self.write("run/systemd/timesync/synchronized", "")
        attach(root / W1, ADDRESS, 21.0)
        self.state.mkdir(parents=True)
        WritingStore(self.state).close()
        self.state.chmod(0o770)

    def station(self, *tables: str) -> None:
        self.write("etc/naupliad/station.toml", station_text(*tables))

    def write(self, path: str, text: str) -> Path:
        file = self.root / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
        return file

    def chips(self, labels: dict[int, str]) -> None:
        lay_chips(self.root / "dev", labels)

    def checkup(self, *words: str) -> Said:
        return naupliad(machine(self.root, **self.more), "checkup", "--state", self.state, *words)

    def found(self, *words: str, wrong: bool = False) -> list[dict[str, str]]:
        said = self.checkup("--json", *words)
        assert said.code == int(wrong), said
        return list(json.loads(said.out))

    def one(self, subject: str, grade: str, *words: str) -> dict[str, str]:
        """The one finding of that subject which is not ok; everything else is."""
        found = [f for f in self.found(*words, wrong=grade == "wrong") if f["grade"] != "ok"]
        assert [(f["subject"], f["grade"]) for f in found] == [(subject, grade)], found
        assert found[0]["do"]
        return found[0]


@pytest.fixture
def pi(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Pi:
    answering(monkeypatch)
    return Pi(tmp_path)


def test_where_all_is_well_every_line_says_ok(pi: Pi) -> None:
    said = pi.checkup()
    assert (said.code, said.err) == (0, "")
    assert {line.split()[0] for line in said.out.splitlines()} == {"ok"}
    assert len(said.out.splitlines()) >= 10


def test_what_is_wrong_is_one_line_with_what_to_do_and_ends_with_one(pi: Pi) -> None:
    pi.config.unlink()
    said = pi.checkup()
    assert (said.code, said.faults) == (1, ["naupliad checkup: 1 thing is wrong; its line says what to do"])
    (line,) = [line for line in said.out.splitlines() if line.startswith("wrong")]
    assert line.startswith(f"wrong  station file  no {pi.config}. Do: Let the page write it")
    assert "sudo naupliad page pin" in line


# --- the local page, and names ---


PAGE = "\n[page]\n"


@pytest.mark.parametrize(
    ("page", "told"),
    [
        ('listen = "lan"', "no PIN is set"),
        ('address = "http://naupliad.local:8077"', "the page answers this machine only"),
        ('listen = "lan"\naddress = "http://naupliad.local"', "the page listens at port 8077"),
        ('listen = "lan"\naddress = "http://localhost:8077"', "another machine finds itself there"),
        ('listen = "lan"\nport = 80\naddress = "http://naupliad.local:8077"', "the page listens at port 80"),
        (
            'listen = "192.168.7.20"\naddress = "http://192.168.7.21:8077"',
            "the page listens at 192.168.7.20",
        ),
    ],
)
def test_a_page_that_nobody_can_note_on_or_find_is_told(pi: Pi, page: str, told: str) -> None:
    pi.station(WATER, CUP, PAGE + page + "\n")
    if "PIN" not in told:
        set_pin(page_folder(pi.state), "735164", Cost(2, 8, 1))
    assert told in pi.one("page", "look")["account"]


@pytest.mark.parametrize(
    "page",
    [
        "",
        'listen = "loopback"\naddress = "http://127.0.0.1:8077"',
        'listen = "lan"\naddress = "http://naupliad.local:8077"',
        'listen = "lan"\nport = 80\naddress = "http://192.168.7.20"',
        'listen = "loopback"\naddress = "https://shelf.example"',
    ],
)
def test_a_page_with_a_pin_and_an_address_that_leads_to_it_is_well(pi: Pi, page: str) -> None:
    pi.station(WATER, CUP, PAGE + page + "\n")
    set_pin(page_folder(pi.state), "735164", Cost(2, 8, 1))
    assert {found["grade"] for found in pi.found() if found["subject"] == "page"} == {"ok"}


def test_a_pin_that_is_kept_as_a_credential_is_one(pi: Pi) -> None:
    pi.station(WATER, CUP, f'{PAGE}listen = "lan"\n')
    pi.write("etc/naupliad/page-pin", "735164\n")
    assert {found["grade"] for found in pi.found()} == {"ok"}


def test_what_systemd_was_not_told_of_the_page_is_told(pi: Pi) -> None:
    unit = "etc/systemd/system/naupliad-page.socket"
    pi.write(unit, "[Socket]\n")
    assert {found["grade"] for found in pi.found()} == {"ok"}
    pi.station(WATER, CUP, f"{PAGE}port = 8080\n")
    assert "install.sh" in pi.one("page", "look")["do"]
    pi.write(f"{unit}.d/10-station.conf", "[Socket]\nListenStream=\nListenStream=127.0.0.1:8080\n")
    assert {found["grade"] for found in pi.found()} == {"ok"}


def test_a_name_that_looks_like_a_persons_is_asked_about_until_somebody_says_it_is_none(pi: Pi) -> None:
    pi.station(WATER, vessel("Undine", "tray-water"))
    found = pi.one("names", "look")
    assert found["account"].startswith("Undine looks like a person's name")
    assert 'no_names = ["Undine"]' in found["do"]
    told = station_text(WATER, vessel("Undine", "tray-water"), no_names=["Undine"])
    pi.config.write_text(told, encoding="utf-8")
    assert {found["grade"] for found in pi.found()} == {"ok"}


# --- the station file and the files beside it ---


def test_every_fault_of_the_station_file_is_a_finding(pi: Pi) -> None:
    pi.station(WATER, vessel("tray-a", "tray-water", mark_ml=-1, mrk=2))
    faults = [f["account"] for f in pi.found(wrong=True) if f["grade"] == "wrong"]
    assert len(faults) == 2
    assert "vessel[1].mark_ml: found -1" in faults[0]


@pytest.mark.parametrize(
    ("mode", "told"), [(0o600, "naupliad may not read it"), (0o666, "anybody may change")]
)
def test_a_station_file_with_wrong_permissions_is_told(pi: Pi, mode: int, told: str) -> None:
    pi.config.chmod(mode)
    found = pi.one("station file", "wrong")
    assert told in found["account"]
    assert found["do"] == f"sudo chmod 644 {pi.config}"


def test_a_station_file_that_leads_to_nothing_yet_is_one_that_is_not_there(pi: Pi) -> None:
    pi.config.unlink()
    pi.config.symlink_to("../../var/lib/naupliad/station.toml")
    assert pi.one("station file", "wrong")["account"] == f"no {pi.config}"
    pi.write("var/lib/naupliad/station.toml", station_text(WATER, CUP))
    assert {f["grade"] for f in pi.found()} == {"ok"}


def test_who_may_not_look_where_the_station_file_is_kept_is_told_who_may(pi: Pi) -> None:
    pi.config.rename(pi.state / "station.toml")
    pi.config.symlink_to(pi.state / "station.toml")
    pi.state.chmod(0o700 if os.geteuid() == 0 else 0)
    let_others_in(pi.root)
    with as_somebody_else():
        said = pi.checkup()
    pi.state.chmod(0o770)
    (line,) = [line for line in said.out.splitlines() if " station file " in line]
    assert line.startswith(f"look   station file  {pi.config}: you may not read it. Do: Run this as")


def test_a_damaged_store_is_put_aside_without_the_station_file(pi: Pi) -> None:
    file = pi.write("var/lib/naupliad/station.toml", station_text(WATER, CUP))
    (pi.state / FILE_NAME).write_bytes(b"no store at all" * 100)
    remedy = pi.one("store", "wrong")["do"]
    assert f"sudo cp -p {pi.state}-damaged/station.toml {pi.state}" in remedy
    file.unlink()
    assert "station.toml" not in pi.one("store", "wrong")["do"]


def test_a_state_folder_that_the_daemon_may_not_write_to_is_wrong(pi: Pi) -> None:
    pi.state.chmod(0o750)
    assert pi.one("state folder", "wrong")["do"] == f"sudo chown -R naupliad: {pi.state}"


def test_a_state_folder_open_to_all_is_worth_a_look(pi: Pi) -> None:
    pi.state.chmod(0o775)
    assert pi.one("state folder", "look")["do"] == f"sudo chmod o= {pi.state}"


def test_before_the_first_start_there_is_no_folder_and_that_is_no_fault(pi: Pi, tmp_path: Path) -> None:
    pi.state = tmp_path / "none"
    grades = {f["subject"]: f["grade"] for f in pi.found()}
    assert (grades["state folder"], grades["store"]) == ("look", "look")


def test_a_store_that_is_damaged_inside_is_found(pi: Pi) -> None:
    with sqlite3.connect(pi.state / FILE_NAME) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
        connection.execute("CREATE TABLE many (a TEXT)")
        connection.executemany("INSERT INTO many VALUES (?)", [("x" * 500,)] * 400)
    connection.close()
    path = pi.state / FILE_NAME
    content = bytearray(path.read_bytes())
    content[-40 * 4096 : -30 * 4096] = b"\xff" * (10 * 4096)
    path.write_bytes(content)
    assert "sudo systemctl stop naupliad" in pi.one("store", "wrong")["do"]


def test_a_file_that_is_no_store_is_found(pi: Pi) -> None:
    (pi.state / FILE_NAME).write_bytes(b"not a database" * 100)
    assert "not a database" in pi.one("store", "wrong")["account"]


def test_looking_at_the_store_changes_nothing(pi: Pi) -> None:
    before = (pi.state / FILE_NAME).read_bytes()
    pi.checkup()
    assert (pi.state / FILE_NAME).read_bytes() == before


# --- the machine ---


@pytest.mark.parametrize(("free", "grade"), [(50_000_000, "wrong"), (400_000_000, "look")])
def test_little_room_on_the_disk_is_told(pi: Pi, free: int, grade: str) -> None:
    pi.more["free_bytes"] = lambda _: free
    assert f"{free / 1e9:.1f} GB free" in pi.one("disk", grade)["account"]


def test_a_clock_that_nobody_has_set_yet_is_told(pi: Pi) -> None:
    (pi.root / "run/systemd/timesync/synchronized").unlink()
    assert "not set from the network" in pi.one("clock", "look")["account"]


def test_a_board_without_a_time_service_is_told_which_to_start(pi: Pi) -> None:
    (pi.root / "run/systemd/timesync/synchronized").unlink()
    (pi.root / "run/systemd/timesync").rmdir()
    pi.write("proc/device-tree/model", "a board")
    assert "sudo systemctl enable --now systemd-timesyncd" in pi.one("clock", "look")["do"]


def test_a_clock_that_another_service_keeps_is_right(pi: Pi) -> None:
    """chrony and ntpd leave no file behind; the kernel knows of them (adjtimex(2))."""
    (pi.root / "run/systemd/timesync/synchronized").unlink()
    pi.more["kernel"] = lambda: True
    (clock,) = (finding for finding in pi.found() if finding["subject"] == "clock")
    assert (clock["grade"], "set from the network" in clock["account"]) == ("ok", True)


def test_a_date_before_this_program_was_made_is_wrong(pi: Pi) -> None:
    pi.more["now"] = lambda: 1.7e9
    said = pi.checkup()
    assert "wrong  clock         2023-11-14" in said.out


def test_without_time_zone_data_what_to_install_is_told(pi: Pi, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("daemon.commissioning.checkup.system.available_timezones", set)
    assert pi.one("time zones", "wrong")["do"] == "sudo apt install tzdata"


@pytest.mark.parametrize(
    ("said", "grade", "do"),
    [
        (None, "look", "naupliad run"),
        ("System has not been booted with systemd as init system", "look", "naupliad run"),
        (
            "LoadState=not-found\nActiveState=inactive",
            "look",
            "sudo systemd/install.sh",
        ),
        (RUNNING.replace("=active", "=inactive"), "look", "sudo systemctl start naupliad"),
        (RUNNING.replace("=enabled", "=disabled"), "look", "sudo systemctl enable naupliad"),
        (RUNNING.replace("=active", "=failed"), "wrong", "journalctl -u naupliad"),
        (RUNNING.replace("=active", "=activating").replace("=0", "=9"), "wrong", "journalctl -u naupliad"),
    ],
)
def test_a_service_that_does_not_run_is_told_with_the_command(
    pi: Pi, said: str | None, grade: str, do: str
) -> None:
    pi.more["said"] = lambda _: said
    assert do in pi.one("service", grade)["do"]


def test_without_an_account_for_the_service_its_lines_are_told(pi: Pi) -> None:
    pi.write("etc/passwd", "root:x:0:0::/root:/bin/sh\n")
    assert "sudo systemd/install.sh" in pi.one("account", "look")["do"]


# --- post ---


@pytest.fixture
def server() -> Iterator[int]:
    with socket.create_server(("127.0.0.1", 0)) as listening:
        yield int(listening.getsockname()[1])


def test_without_a_post_letters_are_files(pi: Pi) -> None:
    (way,) = [f for f in pi.found("--post") if f["subject"].startswith("post")]
    assert way["account"].endswith(f"letters are files in {pi.state / 'letters'}")


def test_a_server_is_only_asked_with_post(pi: Pi, server: int) -> None:
    pi.station(WATER, CUP, post(server, "127.0.0.1"))
    assert not [f for f in pi.found() if f["subject"] == "post server"]
    (answer,) = [f for f in pi.found("--post") if f["subject"] == "post server"]
    assert (answer["grade"], answer["account"].split(";")[0]) == ("ok", f"127.0.0.1:{server} answers")


def test_a_server_that_cannot_be_reached_is_wrong(pi: Pi, server: int) -> None:
    with socket.create_server(("127.0.0.1", 0)) as gone:
        port = gone.getsockname()[1]
    pi.station(WATER, CUP, post(port, "127.0.0.1"))
    assert "cannot be reached: Connection refused" in pi.one("post server", "wrong", "--post")["account"]


def test_a_user_without_a_password_is_wrong_and_a_kept_one_is_never_shown(pi: Pi) -> None:
    pi.station(WATER, CUP, post(25, "127.0.0.1", user="cups"))
    assert "sudo install -m 600 /dev/null /etc/naupliad/smtp-password" in pi.one("password", "wrong")["do"]
    file = pi.write("etc/naupliad/smtp-password", "red-lantern-9\n")
    file.chmod(0o644)
    assert f"sudo chmod 600 {file}" in pi.one("password", "wrong")["do"]
    file.chmod(0o600)
    assert [f["grade"] for f in pi.found() if f["subject"] == "password"] == ["ok"]
    file.write_text("")
    assert "is empty" in pi.one("password", "wrong")["account"]
    pi.more["environ"] = {"NAUPLIAD_SMTP_PASSWORD_FILE": str(pi.write("secret", "red-lantern-9\n"))}
    assert "red-lantern-9" not in pi.checkup().out


def test_where_the_mail_password_comes_from_is_said(pi: Pi) -> None:
    pi.station(WATER, CUP, post(25, "127.0.0.1", user="cups"))
    kept = pi.state / KEPT_FILE
    account = MailAccount("127.0.0.1", 25, "plain-on-loopback", "cups")
    kept.write_bytes(written([KeptPassword(account, "red-lantern-9")]))
    kept.chmod(0o600)

    def well() -> str:
        (found,) = [found for found in pi.found() if found["subject"] == "password"]
        assert found["grade"] == "ok"
        return found["account"]

    assert well() == f"kept by the set-up in {kept}, for this server alone; only its owner may read it"
    assert "red-lantern-9" not in pi.checkup().out
    kept.chmod(0o640)
    assert f"sudo chmod 600 {kept}" in pi.one("password", "wrong")["do"]
    other = MailAccount("mail.school.example", 465, "tls", "cups")
    kept.write_bytes(written([KeptPassword(other, "red-lantern-9")]))
    wrong = pi.one("password", "wrong")
    assert f"the one in {kept} is for cups at mail.school.example, not for this server" in wrong["account"]
    assert "page's set-up" in wrong["do"]
    kept.write_text("{")
    assert "a file that is broken" in pi.one("password", "wrong")["account"]
    pi.write("etc/naupliad/smtp-password", "blue-lantern-7\n").chmod(0o600)
    assert well().startswith("kept apart from the station file")


def test_a_password_file_that_is_named_and_not_there_is_wrong(pi: Pi) -> None:
    pi.station(WATER, CUP, post(25, "127.0.0.1"))
    pi.more["environ"] = {"NAUPLIAD_SMTP_PASSWORD_FILE": "/nonexistent"}
    assert "cannot be read" in pi.one("password", "wrong")["account"]


# --- buses, pins, groups ---


def without_bus(pi: Pi, config_txt: str | None) -> str:
    for path in sorted((pi.root / W1).rglob("*"), reverse=True):
        path.unlink() if path.is_file() else path.rmdir()
    if config_txt is None:
        (pi.root / "boot/firmware/config.txt").unlink()
    else:
        pi.write("boot/firmware/config.txt", config_txt)
    return pi.one("1-Wire", "wrong")["do"]


@pytest.mark.parametrize(
    ("config_txt", "do"),
    [
        ("dtparam=audio=on\n", "Add the line dtoverlay=w1-gpio to the end of /boot/firmware/config.txt"),
        ("#dtoverlay=w1-gpio\n", "Add the line dtoverlay=w1-gpio to the end of /boot/firmware/config.txt"),
        ("dtoverlay=w1-gpio,gpiopin=4 # bus\n", "is in /boot/firmware/config.txt already: restart the Pi"),
        ("[cm4]\ndtoverlay=w1-gpio\n", "stands below [cm4] in /boot/firmware/config.txt: add it below [all]"),
        ("[cm4]\notg_mode=1\n[all]\ndtoverlay=w1-gpio\n", "already: restart the Pi"),
        (None, "to /boot/firmware/config.txt (not found here: no Raspberry Pi?)"),
    ],
)
def test_a_bus_that_is_off_is_told_with_the_line_and_why_it_has_no_effect(
    pi: Pi, config_txt: str | None, do: str
) -> None:
    assert do in without_bus(pi, config_txt)


def test_without_a_station_file_the_bus_that_every_station_needs_is_looked_at(pi: Pi) -> None:
    without_bus(pi, "")
    pi.config.unlink()
    assert [f["subject"] for f in pi.found(wrong=True) if f["grade"] == "wrong"] == ["station file", "1-Wire"]


@pytest.mark.parametrize(
    ("modules", "told"), [("w1_gpio 16384 0 -\n", "is not loaded"), ("w1_therm 1 0 -\n", "is loaded")]
)
def test_a_probe_that_the_kernel_module_does_not_serve_is_told(pi: Pi, modules: str, told: str) -> None:
    (pi.root / W1 / ADDRESS / "w1_slave").unlink()
    pi.write("proc/modules", modules)
    found = pi.one("1-Wire", "wrong")
    assert f"w1_therm {told}" in found["account"]
    assert found["do"].startswith("sudo modprobe w1-therm")


def test_a_trigger_that_the_daemon_may_not_write_is_told_where_there_are_several_probes(pi: Pi) -> None:
    trigger = pi.root / W1 / "w1_bus_master1" / "therm_bulk_read"
    trigger.write_text("0\n")
    trigger.chmod(0o644)
    assert pi.checkup().code == 0
    pi.station(WATER, probe("b", driver="ds18b20", address="28-0316a2795f1c"), CUP)
    assert "sudo systemd/install.sh" in pi.one("1-Wire", "look")["do"]
    trigger.chmod(0o664)
    assert {f["grade"] for f in pi.found()} == {"ok"}


def test_an_adc_needs_spi_and_its_group(pi: Pi) -> None:
    pi.station(WATER, LIGHT, CUP)
    found = pi.one("SPI", "wrong")
    assert found["account"] == f"no {pi.root}/dev/spidev0.0"
    assert "dtparam=spi=on" in found["do"]
    pi.write("dev/spidev0.0", "")
    assert {f["grade"] for f in pi.found()} == {"ok"}
    pi.write("etc/group", GROUP.replace("spi:x:54002:naupliad", "spi:x:54002:"))
    assert pi.one("groups", "wrong")["do"].startswith("sudo usermod -aG spi naupliad")


def test_pins_need_the_chip_the_group_and_the_library(pi: Pi) -> None:
    pi.station(WATER, FLOAT, CUP)
    assert pi.one("GPIO", "wrong")["account"] == f"no GPIO chip in {pi.root}/dev"
    pi.chips(PI_4)
    pi.write("etc/group", GROUP.replace("gpio:x:54001:teacher,naupliad", "gpio:x:54001:teacher"))
    assert pi.one("groups", "wrong")["do"].startswith("sudo usermod -aG gpio naupliad")
    pi.write("etc/group", GROUP)
    pi.more["library"] = lambda name: None if name == "lgpio" else "2.0"
    assert "sudo apt install python3-lgpio" in pi.one("library", "wrong")["do"]
    pi.more["library"] = lambda name: "0.0.0.2" if name == "lgpio" else "2.0"
    assert "empty stub" in pi.one("library", "wrong")["account"]


@pytest.mark.parametrize(("labels", "number"), HEADER)
def test_the_chip_that_is_told_is_the_one_the_daemon_will_open(
    pi: Pi, labels: dict[int, str], number: int
) -> None:
    pi.station(WATER, FLOAT, CUP)
    pi.chips(labels)
    (told,) = [f["account"] for f in pi.found() if f["subject"] == "GPIO"]
    assert told == f"the header is {pi.root}/dev/gpiochip{number} ({labels[number]})"


def test_chips_of_which_none_is_the_headers_are_not_called_ok(pi: Pi) -> None:
    pi.station(WATER, FLOAT, CUP)
    pi.chips({number: label for number, label in PI_5_FROM_11.items() if label != "pinctrl-rp1"})
    found = pi.one("GPIO", "wrong")
    assert "gpiochip11 (gpio-brcmstb@107d508500)" in found["account"]
    assert "sudo apt full-upgrade" in found["do"]


def test_a_chip_that_the_group_may_not_open_is_told(pi: Pi) -> None:
    pi.station(WATER, FLOAT, CUP)
    pi.chips(PI_5_FROM_11)
    (pi.root / "dev/gpiochip15").chmod(0o640)
    assert "naupliad may not open" in pi.one("GPIO", "wrong")["account"]


def test_who_may_not_open_a_chip_is_sent_to_look_as_root(pi: Pi) -> None:
    pi.station(WATER, FLOAT, CUP)
    pi.chips(PI_4)

    def refused(path: Path, *_: object) -> int:  # root, as whom tests may run, is refused nothing
        raise PermissionError(errno.EACCES, "Permission denied", str(path))

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("sensors.gpio_chips.os", SimpleNamespace(**{**vars(os), "open": refused}))
        assert pi.one("GPIO", "look")["do"] == "sudo naupliad checkup"


def test_a_light_on_the_pi_needs_pins_too(pi: Pi) -> None:
    pi.station(WATER, CUP, table("[indicator]", led=5))
    pi.one("GPIO", "wrong")


def test_surroundings_that_mislead_the_pin_library_are_told(pi: Pi) -> None:
    pi.station(WATER, FLOAT, CUP)
    pi.chips(PI_4)
    pi.more["environ"] = {"GPIOZERO_PIN_FACTORY": "rpigpio"}
    assert pi.one("pins", "look")["do"] == "unset GPIOZERO_PIN_FACTORY"
    pi.more["environ"] = {"LG_WD": "/nonexistent"}
    assert pi.one("pins", "wrong")["do"] == "unset LG_WD"


def test_a_kernel_device_that_is_not_there_is_told_with_the_bus_and_the_overlay(pi: Pi) -> None:
    pi.station(WATER, LUX, CUP)
    assert "dtparam=i2c_arm=on" in pi.one("iio", "wrong")["do"]
    (pi.root / "sys/bus/i2c/devices/i2c-1").mkdir(parents=True)
    assert "dtoverlay=i2c-sensor" in pi.one("iio", "wrong")["do"]
    assert "dtparam" not in pi.one("iio", "wrong")["do"]
    lay(pi.root / "sys/bus/iio/devices/iio:device0", name="bh1750", in_illuminance_input="1")
    assert {f["grade"] for f in pi.found()} == {"ok"}


@pytest.mark.parametrize(
    ("line", "is_there"),
    [
        ("dtparam=spi=on", True),
        ("dtparam=spi", True),
        ("dtparam=i2c_arm=on,spi=on", True),
        ("dtparam=spi=off", False),
        ("# dtparam=spi=on", False),
        ("dtparam=spidev=on", False),
    ],
)
def test_a_parameter_is_found_however_it_is_written(tmp_path: Path, line: str, is_there: bool) -> None:
    lay(tmp_path / "boot", **{"config.txt": line})  # before Bookworm
    assert ("already" in switch_on(machine(tmp_path), "dtparam=spi=on")) is is_there


@given(text=st.text(alphabet="dtparm=overlyw1-gpio,[]all#\n ", max_size=80))
def test_whatever_stands_in_config_txt_there_is_something_to_do(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    root = tmp_path_factory.mktemp("boot")
    lay(root / "boot/firmware", **{"config.txt": text})
    assert "restart the Pi" in switch_on(machine(root), "dtoverlay=w1-gpio")


@pytest.mark.parametrize(
    ("mode", "owner", "may"),
    [
        (0o400, (54321, 0), {READ}),
        (0o070, (54321, OURS), set()),
        (0o060, (99, OURS), {READ, WRITE}),
        (0o050, (99, 54001), {READ, ENTER}),
        (0o704, (99, 99), {READ}),
    ],
    ids=["owner", "the owner's bits alone count", "own group", "other group", "others"],
)
def test_rights_are_told_from_the_mode_as_the_kernel_does(
    pi: Pi, tmp_path: Path, mode: int, owner: tuple[int, int], may: set[int]
) -> None:
    if os.getuid() != 0:
        pytest.skip("only root gives files away")
    # path_resolution(7): the owner's bits for the owner, else the group's for a member, else the others'.
    file = pi.write("file", "")
    os.chown(file, *owner)
    file.chmod(mode)
    account = service_account(machine(tmp_path))
    assert {want for want in (READ, WRITE, ENTER) if account.may(file, want)} == may


@pytest.mark.parametrize(
    "text", ["", "naupliad\n", "naupliad:x:no:1::/:\n", ":::\n", "\x00\n", "naupliad:x:5\n"]
)
def test_a_list_of_accounts_that_is_rubbish_is_no_crash(tmp_path: Path, text: str) -> None:
    lay(tmp_path / "etc", passwd=text, group=text)
    assert not service_account(machine(tmp_path)).exists
