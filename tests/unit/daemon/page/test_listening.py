"""Where systemd listens for the page, by the station file: read by systemd itself where it is installed."""

import subprocess
from pathlib import Path

import pytest

from daemon.page.listening import socket_settings
from daemon.station import PagePlan
from tests.kit.units import FOLDER, tool


def test_the_unit_itself_is_what_a_station_file_without_the_table_means() -> None:
    plan = PagePlan()
    assert socket_settings(plan) == ""
    unit = (FOLDER / "naupliad-page.socket").read_text()
    assert f"\nListenStream={plan.host}:{plan.port}\n" in unit
    assert "\nIPAddressDeny=any\nIPAddressAllow=localhost\n" in unit


@pytest.mark.parametrize(
    ("plan", "listens", "lets_in"),
    [
        (PagePlan(port=80), "127.0.0.1:80", None),
        (
            PagePlan(listen="lan"),
            "0.0.0.0:8077",
            "IPAddressAllow=10.0.0.0/8 172.16.0.0/12 192.168.0.0/16 169.254.0.0/16",
        ),
        (PagePlan(listen="203.0.113.7"), "203.0.113.7:8077", "IPAddressAllow=any"),
        (PagePlan(listen="2001:db8::7", port=80), "[2001:db8::7]:80", "IPAddressAllow=any"),
    ],
)
def test_it_listens_in_one_place_and_lets_in_whom_the_station_file_does(
    plan: PagePlan, listens: str, lets_in: str | None
) -> None:
    first, reset, place, *more = socket_settings(plan).splitlines()
    assert (first, reset, place) == ("[Socket]", "ListenStream=", f"ListenStream={listens}")
    assert [line for line in more if line.startswith("IPAddressAllow")] == ([lets_in] if lets_in else [])
    # The unit's own IPAddressDeny=any stays but where an address was named.
    assert ("IPAddressDeny=" in more) == (lets_in == "IPAddressAllow=any")


@pytest.mark.parametrize("listen", ["lan", "203.0.113.7", "2001:db8::7"])
def test_systemd_finds_no_fault_in_unit_and_settings(tmp_path: Path, listen: str) -> None:
    assert said_of(tmp_path, socket_settings(PagePlan(listen=listen))) == ""


def test_the_check_sees_a_fault_when_there_is_one(tmp_path: Path) -> None:
    assert said_of(tmp_path, "[Socket]\nListenStream=\nListenStream=300.0.0.1:8077x\n") != ""


def said_of(folder: Path, settings: str) -> str:
    """What `systemd-analyze verify` says of the socket with these settings beside it; any word is a fault."""
    program = folder / "naupliad"
    program.write_text("#!/bin/sh\n")
    program.chmod(0o755)
    service = (FOLDER / "naupliad-page.service").read_text()
    (folder / "naupliad-page.service").write_text(service.replace("/opt/naupliad/bin/naupliad", str(program)))
    (folder / "naupliad-page.socket").write_text((FOLDER / "naupliad-page.socket").read_text())
    (folder / "naupliad-page.socket.d").mkdir()
    (folder / "naupliad-page.socket.d" / "10-station.conf").write_text(settings)
    done = subprocess.run(
        [tool("systemd-analyze"), "verify", "--man=no", str(folder / "naupliad-page.socket")],
        capture_output=True,
        text=True,
        check=False,
    )
    return "\n".join(line for line in (done.stdout + done.stderr).splitlines() if "naupliad" in line)
