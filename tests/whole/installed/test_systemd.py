"""The files under systemd/, checked by systemd's own tools where they are installed."""

import os
import re
import shlex
import stat
import subprocess
from pathlib import Path

import pytest

from daemon.post.kept_password import FILE_NAME as KEPT_FILE
from daemon.post.secrets import (
    ALIVE_URL,
    MQTT_PASSWORD,
    SMTP_PASSWORD,
    WEBHOOK_SECRET,
    WEBHOOK_URL,
    read_secret,
)
from daemon.store.file import FILE_NAME
from tests.kit.units import EXPOSURE, FOLDER, UNIT, settings, tool


def verify(folder: Path, unit: str) -> str:
    """What `systemd-analyze verify` says; it ends with 0 for most faults, so that any word counts."""
    program = folder / "naupliad"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    file = folder / "naupliad.service"
    file.write_text(unit.replace("/opt/naupliad/bin/naupliad", str(program)))
    done = subprocess.run(
        [tool("systemd-analyze"), "verify", "--man=no", str(file)],
        capture_output=True,
        text=True,
        check=False,
    )
    said = done.stdout + done.stderr
    return "\n".join(
        line for line in said.splitlines() if "naupliad" in line
    )  # not of the machine's own units


def test_systemd_finds_no_fault_in_the_unit(tmp_path: Path) -> None:
    assert verify(tmp_path, UNIT) == ""


def test_the_check_sees_a_fault_when_there_is_one(tmp_path: Path) -> None:
    faulty = UNIT.replace("WatchdogSec=", "WatchdogSeconds=")
    assert "'WatchdogSeconds'" in verify(tmp_path, faulty)


def test_systemd_calls_the_daemon_well_kept_in() -> None:
    command = [tool("systemd-analyze"), "security", "--no-pager", "--offline=true", f"--threshold={EXPOSURE}"]
    done = subprocess.run(
        [*command, str(FOLDER / "naupliad.service")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_systemd_would_make_the_user_with_its_groups() -> None:
    done = subprocess.run(
        [
            tool("systemd-sysusers"),
            "--dry-run",
            "--root=/nonexistent",
            str(FOLDER / "naupliad.sysusers.conf"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    said = done.stdout + done.stderr
    assert done.returncode == 0, said
    assert "Creating user 'naupliad'" in said
    assert {"gpio", "spi"} <= set(re.findall(r"Creating group '(\w+)'", said))
    assert settings("User") == ["naupliad"]


def test_a_missing_secret_does_not_keep_the_daemon_from_starting(tmp_path: Path) -> None:
    # systemd.exec(5): with SetCredential= of the same name a file LoadCredential= does not find is not fatal.
    secrets = (SMTP_PASSWORD, WEBHOOK_SECRET, WEBHOOK_URL, ALIVE_URL, MQTT_PASSWORD)
    names = [kept.credential for kept in secrets]
    assert settings("LoadCredential") == [f"{name}:/etc/naupliad/{name}" for name in names]
    fallbacks = dict(line.split(":", 1) for line in settings("SetCredential"))
    assert sorted(fallbacks) == sorted(names)
    for kept in secrets:
        (tmp_path / kept.credential).write_text(fallbacks[kept.credential].encode().decode("unicode_escape"))
        assert read_secret(kept, {"CREDENTIALS_DIRECTORY": str(tmp_path)}) is None


@pytest.mark.skipif(os.getuid() != 0, reason="files are given to other accounts")
def test_the_set_ups_password_is_for_the_daemons_account_alone_also_after_a_start_of_the_machine(
    tmp_path: Path,
) -> None:
    """By systemd-tmpfiles itself, on a tree with the two accounts: the page's is in the group naupliad."""
    state, rules = tmp_path / "var/lib/naupliad", tmp_path / "etc/tmpfiles.d"
    for folder in (state, rules):
        folder.mkdir(parents=True)
    ids = {"root": 0, "naupliad": 54001, "naupliad-page": 54002}
    for file, end in (("passwd", ":{0}::/:/bin/false"), ("group", ":")):
        lines = [f"{name}:x:{number}{end.format(number)}\n" for name, number in ids.items()]
        (tmp_path / "etc" / file).write_text("".join(lines))
    (rules / "naupliad.conf").write_text((FOLDER / "naupliad.tmpfiles.conf").read_text())
    names = (KEPT_FILE, f".{KEPT_FILE}.unfinished", FILE_NAME)
    for name in names:
        (state / name).touch(0o600)
    command = [tool("systemd-tmpfiles"), "--create", f"--root={tmp_path}", "naupliad.conf"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert [stat.S_IMODE((state / name).stat().st_mode) for name in names] == [0o600, 0o600, 0o640]
    assert {(state / name).stat().st_uid for name in names} == {54001}


def test_nothing_the_hardware_needs_is_taken_away() -> None:
    """What gpiozero, lgpio and w1thermsensor were found to need (see the unit's comments)."""
    assert {"char-gpiochip rw", "char-spidev rw"} <= set(settings("DeviceAllow"))
    for trap in ("PrivateDevices", "ProcSubset", "PrivateUsers", "MemoryMax", "DynamicUser"):
        assert settings(trap) == []
    environment = dict(pair.split("=", 1) for pair in settings("Environment"))
    assert environment["GPIOZERO_PIN_FACTORY"] == "lgpio"
    assert environment["LG_WD"] == "%t/" + settings("RuntimeDirectory")[0]
    assert environment["W1THERMSENSOR_NO_KERNEL_MODULE"] == "1"
    assert environment["MPLCONFIGDIR"].startswith("%C/" + settings("CacheDirectory")[0])


def test_the_unit_waits_for_neither_network_nor_clock() -> None:
    assert settings("After") + settings("Wants") + settings("Requires") == []


def test_the_udev_rule_gives_the_trigger_to_the_group(tmp_path: Path) -> None:
    """The rule's own command on a folder that stands for /sys; `$$` is a `$` (udev(7))."""
    (rule,) = [
        line
        for line in (FOLDER / "90-naupliad-w1.rules").read_text().splitlines()
        if not line.startswith("#")
    ]
    found = re.search(r'RUN\+="(.*)"$', rule)
    assert found is not None
    masters = [tmp_path / "bus/w1/devices" / f"w1_bus_master{number}" for number in (1, 2)]
    for master in masters:
        master.mkdir(parents=True)
    trigger = masters[0] / "therm_bulk_read"  # only the first bus has one
    trigger.touch()
    trigger.chmod(0o644)
    command = found.group(1).replace("$$", "$").replace("naupliad", str(os.getgid()))
    command = command.replace("/sys/", f"{tmp_path}/")
    subprocess.run(shlex.split(command), check=True)
    assert stat.S_IMODE(trigger.stat().st_mode) == 0o664
    assert trigger.stat().st_gid == os.getgid()
    assert list(masters[1].iterdir()) == []
