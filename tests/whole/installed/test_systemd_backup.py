"""The nightly backup's unit and timer, checked by systemd's own tools where they are installed."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.kit.pages import parse
from tests.kit.units import EXPOSURE, FOLDER, tool

SERVICE = (FOLDER / "naupliad-backup.service").read_text()
TIMER = (FOLDER / "naupliad-backup.timer").read_text()


def settings(text: str, key: str) -> list[str]:
    return re.findall(rf"^{key}=(.*)$", text, re.MULTILINE)


def verify(folder: Path, service: str, timer: str) -> str:
    """Lines of `systemd-analyze verify` about these units; any is a fault."""
    program = folder / "naupliad"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    (folder / "naupliad-backup.service").write_text(
        service.replace("/opt/naupliad/bin/naupliad", str(program))
    )
    (folder / "naupliad-backup.timer").write_text(timer)
    done = subprocess.run(
        [tool("systemd-analyze"), "verify", "--man=no", str(folder / "naupliad-backup.timer")],
        capture_output=True,
        text=True,
        check=False,
    )
    return "\n".join(line for line in (done.stdout + done.stderr).splitlines() if "naupliad" in line)


def test_systemd_finds_no_fault_in_service_and_timer(tmp_path: Path) -> None:
    assert verify(tmp_path, SERVICE, TIMER) == ""


@pytest.mark.parametrize(
    ("right", "wrong"), [("OnCalendar=*-*-*", "OnCalendar=*-13-*"), ("Persistent=", "Persistant=")]
)
def test_the_check_sees_a_fault_in_the_timer(tmp_path: Path, right: str, wrong: str) -> None:
    assert verify(tmp_path, SERVICE, TIMER.replace(right, wrong)) != ""


def test_systemd_calls_the_backup_well_kept_in() -> None:
    command = [tool("systemd-analyze"), "security", "--no-pager", "--offline=true", f"--threshold={EXPOSURE}"]
    done = subprocess.run(
        [*command, str(FOLDER / "naupliad-backup.service")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_service_runs_a_command_there_is_with_the_daemons_account_and_folder() -> None:
    (command,) = settings(SERVICE, "ExecStart")
    parse(command.removeprefix("/opt/naupliad/bin/"))
    main = (FOLDER / "naupliad.service").read_text()
    for key in ("User", "StateDirectory", "StateDirectoryMode", "UMask"):
        assert settings(SERVICE, key) == settings(main, key)
    assert "--state /var/lib/" + settings(SERVICE, "StateDirectory")[0] in command


def test_a_stick_may_be_written_where_it_is_looked_for_and_may_be_missing() -> None:
    (place,) = (pair.split("=")[1] for pair in settings(SERVICE, "Environment"))
    paths = settings(SERVICE, "ReadWritePaths")[0].split()
    assert f"-{place}" in paths
    assert all(path.startswith("-") for path in paths)
    assert settings(SERVICE, "EnvironmentFile")[0].startswith("-")


def test_the_timer_goes_once_a_day_not_on_the_minute_and_makes_up_for_a_night_off() -> None:
    assert settings(TIMER, "Persistent") == ["yes"]
    assert settings(TIMER, "RandomizedDelaySec") == ["30min"]
    if shutil.which("systemd-analyze") is None:
        pytest.skip("no systemd-analyze here")
    done = subprocess.run(
        ["systemd-analyze", "calendar", "--iterations=2", settings(TIMER, "OnCalendar")[0]],
        capture_output=True,
        text=True,
        check=True,
    )
    assert len(re.findall(r"05:15:00", done.stdout)) >= 2
