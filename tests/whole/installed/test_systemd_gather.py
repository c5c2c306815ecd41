"""The gatherer's unit, checked by systemd's own tools where they are installed."""

import re
import subprocess
from pathlib import Path

import pytest

from daemon.gathering.arrivals import MOST_WAITING
from daemon.gathering.plan import DATABASE_PASSWORD
from daemon.post.secrets import MQTT_PASSWORD
from tests.kit.units import FOLDER, tool

SERVICE = (FOLDER / "naupliad-gather.service").read_text()
EXPOSURE = 15  # tenths: it needs the network, which the page does not


def settings(key: str) -> list[str]:
    return re.findall(rf"^{key}=(.*)$", SERVICE, re.MULTILINE)


def verify(folder: Path, service: str) -> str:
    """Lines of `systemd-analyze verify` about the unit; any is a fault."""
    program = folder / "naupliad"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    unit = folder / "naupliad-gather.service"
    unit.write_text(service.replace("/opt/naupliad/bin/naupliad", str(program)))
    done = subprocess.run(
        [tool("systemd-analyze"), "verify", "--man=no", str(unit)],
        capture_output=True,
        text=True,
        check=False,
    )
    return "\n".join(line for line in (done.stdout + done.stderr).splitlines() if "naupliad" in line)


def test_systemd_finds_no_fault_in_the_unit(tmp_path: Path) -> None:
    assert verify(tmp_path, SERVICE) == ""


@pytest.mark.parametrize(
    ("right", "wrong"), [("PrivateUsers=", "PrivatUsers="), ("TasksMax=32", "TasksMax=many")]
)
def test_the_check_sees_a_fault_in_the_unit(tmp_path: Path, right: str, wrong: str) -> None:
    assert verify(tmp_path, SERVICE.replace(right, wrong)) != ""


def test_systemd_calls_it_well_kept_in() -> None:
    done = subprocess.run(
        [
            *(tool("systemd-analyze"), "security", "--no-pager", "--offline=true", f"--threshold={EXPOSURE}"),
            str(FOLDER / "naupliad-gather.service"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_its_secrets_come_from_systemd_under_the_names_that_it_looks_for() -> None:
    names = {line.split(":")[0] for line in settings("LoadCredential")}
    assert names == {"gather.toml", MQTT_PASSWORD.credential, DATABASE_PASSWORD.credential}
    absent = {line.split(":")[0] for line in settings("SetCredential")}
    assert names - absent == {"gather.toml"}, "a password may be kept elsewhere, the file not"


def test_what_it_says_of_memory_is_what_the_program_holds() -> None:
    assert f"{MOST_WAITING:,} boxes, 50 MB" in SERVICE
