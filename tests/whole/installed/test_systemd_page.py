"""The page's unit and socket, checked by systemd's own tools where they are installed."""

import re
import subprocess
from pathlib import Path

import pytest

from daemon.page.guard.pin import CREDENTIAL, page_folder
from daemon.post.secrets import read_secret
from tests.kit.units import FOLDER, tool

SERVICE = (FOLDER / "naupliad-page.service").read_text()
SOCKET = (FOLDER / "naupliad-page.socket").read_text()
EXPOSURE = 10  # tenths: the daemon's and the backup's may be 20


def settings(text: str, key: str) -> list[str]:
    return re.findall(rf"^{key}=(.*)$", text, re.MULTILINE)


def verify(folder: Path, service: str, unit: str) -> str:
    """Lines of `systemd-analyze verify` about these units; any is a fault."""
    program = folder / "naupliad"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    (folder / "naupliad-page.service").write_text(service.replace("/opt/naupliad/bin/naupliad", str(program)))
    (folder / "naupliad-page.socket").write_text(unit)
    done = subprocess.run(
        [tool("systemd-analyze"), "verify", "--man=no", str(folder / "naupliad-page.service")],
        capture_output=True,
        text=True,
        check=False,
    )
    return "\n".join(line for line in (done.stdout + done.stderr).splitlines() if "naupliad" in line)


def test_systemd_finds_no_fault_in_service_and_socket(tmp_path: Path) -> None:
    assert verify(tmp_path, SERVICE, SOCKET) == ""


@pytest.mark.parametrize(("right", "wrong"), [("PrivateNetwork=", "PrivatNetwork="), ("Nice=5", "Nice=50")])
def test_the_check_sees_a_fault_in_the_service(tmp_path: Path, right: str, wrong: str) -> None:
    assert verify(tmp_path, SERVICE.replace(right, wrong), SOCKET) != ""


def test_systemd_calls_the_page_kept_in_better_than_the_daemon() -> None:
    command = [tool("systemd-analyze"), "security", "--no-pager", "--offline=true", f"--threshold={EXPOSURE}"]
    done = subprocess.run(
        [*command, str(FOLDER / "naupliad-page.service")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_page_is_another_account_that_may_read_what_the_daemon_wrote() -> None:
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
    assert "Creating user 'naupliad-page'" in done.stdout + done.stderr
    assert settings(SERVICE, "User") == ["naupliad-page"] != settings(main_unit(), "User")
    assert settings(SERVICE, "SupplementaryGroups") == settings(main_unit(), "User")
    assert "0027" in settings(main_unit(), "UMask")


def main_unit() -> str:
    return (FOLDER / "naupliad.service").read_text()


def test_it_has_no_devices_no_password_no_network_and_one_folder() -> None:
    assert settings(SERVICE, "LoadCredential") == [
        f"{CREDENTIAL.credential}:/etc/naupliad/{CREDENTIAL.credential}"
    ]
    assert settings(SERVICE, "DeviceAllow") + settings(SERVICE, "ReadWritePaths") == []
    for key in ("PrivateDevices", "PrivateNetwork"):
        assert settings(SERVICE, key) == ["yes"]
    assert settings(SERVICE, "RestrictAddressFamilies") == ["AF_UNIX"]


def test_its_folder_is_where_the_pin_is_kept_and_made_before_it_first_starts() -> None:
    (command,) = settings(SERVICE, "ExecStart")
    state = Path(command.rpartition(" ")[2])
    folder = f"/var/lib/{settings(SERVICE, 'StateDirectory')[0]}"
    assert str(page_folder(state)) == folder
    made = (FOLDER / "naupliad.tmpfiles.conf").read_text()
    assert (
        f"\nd {folder} {settings(SERVICE, 'StateDirectoryMode')[0]} naupliad-page naupliad-page -\n" in made
    )


def test_a_missing_pin_does_not_keep_the_page_from_starting(tmp_path: Path) -> None:
    ((name, fallback),) = (line.split(":", 1) for line in settings(SERVICE, "SetCredential"))
    (tmp_path / name).write_text(fallback.encode().decode("unicode_escape"))
    assert name == CREDENTIAL.credential
    assert read_secret(CREDENTIAL, {"CREDENTIALS_DIRECTORY": str(tmp_path)}) is None


def test_the_socket_starts_the_service_and_neither_waits_for_the_network() -> None:
    assert settings(SERVICE, "Requires") == ["naupliad-page.socket"]
    assert "network" not in SERVICE.partition("[Service]")[0] + SOCKET
    assert settings(SERVICE, "WantedBy") == []
