"""A station of a week is taken away again: on this very system, under a layer that keeps every change apart.

The layer is an overlay file system in namespaces of its own, so systemd-sysusers, systemd-tmpfiles, userdel,
groupdel and `systemctl enable` are the real ones, on the machine's own accounts. `undone.sh` takes the steps.
No unit is started in it: `python -m tests.bench.booted` does that. Files alone are held in short by
`test_install.py`.
"""

import os
import shutil
import subprocess
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from daemon.store.backup import back_up
from daemon.store.file import WritingStore
from tests.kit.small_bundle import HERE, packed
from tests.kit.station import station_text
from tests.kit.units import tool

MONDAY = datetime(2027, 1, 11, tzinfo=UTC)
WEEK_MIN = 7 * 24 * 60
INSIDE = Path(__file__).with_name("undone.sh")


@pytest.fixture(scope="module")
def week(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A week's state: readings, a copy of every night, letters, a chart, a store set aside."""
    state = tmp_path_factory.mktemp("week") / "state"
    state.mkdir()
    began = int(MONDAY.timestamp())
    with closing(WritingStore(state)) as store, store.transaction() as connection:
        rows = ((began + 60 * minute, "cup-water", 24.0, "good") for minute in range(WEEK_MIN))
        connection.executemany("INSERT INTO reading VALUES (?, ?, ?, ?)", rows)
        connection.execute("INSERT INTO station_file VALUES (?, ?)", (began, station_text()))
    for day in range(7):
        back_up(state, state / "backups", (MONDAY + timedelta(days=day)).date(), lambda _: 10**12)
    for name in ("letters/0001-nightly.eml", "charts/2027-01-11.png", "station.db.broken-2027-01-12"):
        (state / name).parent.mkdir(exist_ok=True)
        (state / name).write_text("a week's")
    return state


@pytest.fixture(scope="module")
def undone(week: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """What was seen at each step, by the step's name."""
    if os.geteuid() != 0:
        pytest.skip("needs root, for a layer over the machine's files")
    for name in ("systemd-sysusers", "systemd-tmpfiles", "systemctl", "userdel"):
        tool(name)
    folder = tmp_path_factory.mktemp("undone")
    packed(folder / "bundle", *HERE)
    shutil.copytree(week, folder / "state")
    plain = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [tool("unshare"), "--mount", "--pid", "--fork", "--kill-child", "bash", INSIDE, folder],
        env={**plain, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    if "no layer here" in done.stderr:
        pytest.skip("this machine lets no overlay be mounted")
    assert done.returncode == 0, done.stdout + done.stderr
    seen: dict[str, list[str]] = {}
    for line in done.stdout.splitlines():
        if line.startswith("== "):
            seen[line[3:]] = []
        else:
            seen[next(reversed(seen))].append(line)
    return seen


@pytest.mark.long
def test_the_account_gets_its_groups_and_the_units_are_linked_and_started(
    undone: dict[str, list[str]],
) -> None:
    *asked, groups, groups_of_page = undone["installed"]
    assert asked == [
        "daemon-reload",
        "enable --now naupliad-backup.timer",
        "enable naupliad.service",
        "restart naupliad.service",
        "stop naupliad-page.socket naupliad-page.service",
        "enable --now naupliad-page.socket",
    ]
    assert set(groups.split()) == {"naupliad", "gpio", "spi"}
    assert set(groups_of_page.split()) == {"naupliad-page", "naupliad"}


@pytest.mark.long
def test_an_update_gives_what_was_made_by_hand_to_the_account_alone(undone: dict[str, list[str]]) -> None:
    assert undone["updated, not the account alone"] == ["/var/lib/naupliad-page naupliad-page 700"]


@pytest.mark.long
def test_taken_away_every_unit_is_stopped_and_what_people_wrote_is_all_that_stays(
    undone: dict[str, list[str]],
) -> None:
    *seen, account = undone["removed"]
    units = ("naupliad-backup.timer", "naupliad-page.socket", "naupliad.service")
    stopped = [*(f"disable --now {unit}" for unit in units), "stop naupliad-page.service"]
    assert seen[:5] == [*stopped, "stop naupliad-backup.service"]
    assert [line for line in seen if line.startswith("/")] == [
        "/etc/naupliad",
        *(
            f"/etc/systemd/system/naupliad{unit}.d"
            for unit in ("-backup.service", "-backup.timer", ".service")
        ),
        "/mnt/naupliad-backup",
        "/var/lib/naupliad",
        "/var/lib/naupliad-page",
    ]
    assert account == "naupliad"  # the records are still its own
    assert undone["installed again"] == ["as packed"]


@pytest.mark.long
def test_an_account_that_is_still_in_use_is_told_and_not_called_removed(undone: dict[str, list[str]]) -> None:
    code, line = undone["purged while something runs"]
    assert code == "ended with 1"
    assert line.startswith("install.sh: found the account naupliad still in use: see what runs")


@pytest.mark.long
def test_purged_nothing_of_a_station_of_a_week_is_left_nor_any_account(undone: dict[str, list[str]]) -> None:
    assert undone["purged"] == ["removed, with store, backups and station file"]  # and no account differs
    accounts = ("group", "gshadow", "passwd", "shadow", "subgid", "subuid")
    tools_own = {"./etc/.pwd.lock", *(f"./etc/{name}{end}" for name in accounts for end in ("", "-"))}
    folders = {"./etc/sysusers.d", "./var/lib/systemd/timers"}  # systemd's, where the system had none yet
    assert set(undone["left"]) <= tools_own | folders
