"""A station file is kept whole or not at all, and never so that a secret of root's goes elsewhere."""

import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.config import parse_station
from daemon.errors import InputError, NaupliadError
from daemon.setting_up.file_desk import MOST_TEXT_BYTES, keep_file, station_file
from daemon.setting_up.place import SetUpPlace
from tests.kit.command_line import surroundings
from tests.kit.somebody_else import as_somebody_else, let_others_in
from tests.kit.station import station_text

RIGHT = station_text(driver="rehearsal")
OTHER = station_text(driver="rehearsal", name="Large room")
POST = """
[post]
smtp_host = "mail.school.example"
user = "shrimp"
from = "shrimp@school.example"
to = ["teacher@school.example"]
"""


# Keeps a file in a process that ends by SIGKILL before the step whose number it is told.
_CUT_SHORT = """
import os, signal, sys
from pathlib import Path
from daemon.setting_up.file_desk import keep_file, station_file
from daemon.setting_up.place import SetUpPlace

left = int(sys.argv[2])

def stepping(real):
    def step(*words, **more):
        global left
        left -= 1
        if left < 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return real(*words, **more)
    return step

os.fsync, os.replace = stepping(os.fsync), stepping(os.replace)
place = SetUpPlace(Path(sys.argv[1]), Path(sys.argv[1]).parent, {}, None)
keep_file(place, sys.stdin.read(), station_file(place)["digest"])
"""
# Writing, twice, to the disk; `.before` in its place, its folder to the disk; the same of the file.
_STEPS = 6


def place_of(folder: Path, followed: str | None = None, **environ: str) -> SetUpPlace:
    config = folder / "station.toml"
    station = parse_station(followed, str(config)) if followed else None
    return SetUpPlace(config, folder, environ, station)


def all_of(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def keep(place: SetUpPlace, text: str) -> dict[str, Any]:
    return keep_file(place, text, station_file(place)["digest"])


@given(text=st.one_of(st.text(), st.sampled_from([RIGHT, OTHER, RIGHT + "# ä\r\n", RIGHT + "x = 1\n"])))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_text_is_kept_exactly_or_all_stays_as_it_was(tmp_path: Path, text: str) -> None:
    place = place_of(tmp_path)
    place.config.write_text(RIGHT, encoding="utf-8")
    before = all_of(tmp_path)
    try:
        keep(place, text)
    except (InputError, UnicodeEncodeError):
        assert all_of(tmp_path) == before
    else:
        parse_station(text, "kept")
        assert all_of(tmp_path) == {"station.toml": text.encode(), "station.toml.before": RIGHT.encode()}


def keep_cut_short(place: SetUpPlace, text: str, before_step: int) -> int:
    """Have another process keep `text`, killed before a step; its exit code."""
    words = [sys.executable, "-c", _CUT_SHORT, str(place.config), str(before_step)]
    return subprocess.run(words, input=text, text=True, env=surroundings(), check=False).returncode


def test_a_process_that_is_killed_at_any_step_leaves_one_file_or_the_other_whole(tmp_path: Path) -> None:
    """Once the new file stands, the one before stands beside it; what a kill left is in nobody's way."""
    for step in range(_STEPS + 1):
        folder = tmp_path / str(step)
        folder.mkdir()
        place = place_of(folder)
        place.config.write_text(RIGHT, encoding="utf-8")
        killed = step < _STEPS
        assert keep_cut_short(place, OTHER, step) == (-signal.SIGKILL if killed else 0)
        is_new = place.config.read_text(encoding="utf-8") == OTHER
        assert is_new == (step > 4), step
        assert is_new or place.config.read_text(encoding="utf-8") == RIGHT
        before = folder / "station.toml.before"
        assert before.exists() == (step > 2), step
        assert not before.exists() or before.read_text(encoding="utf-8") == RIGHT
        assert (folder / ".station.toml.unfinished").exists() == (step <= 4)
        keep(place, RIGHT + "# once more\n")
        kept = {"station.toml": f"{RIGHT}# once more\n", before.name: OTHER if is_new else RIGHT}
        assert all_of(folder) == {name: text.encode() for name, text in kept.items()}


@pytest.mark.parametrize("fails", ["fsync", "replace", "second replace"])
def test_a_full_disk_leaves_the_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    place = place_of(tmp_path)
    place.config.write_text(RIGHT, encoding="utf-8")
    real, count = Path.replace, 0

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    def replace(path: Path, target: Path) -> Path:
        nonlocal count
        count += 1
        if fails == "replace" or count == 2:
            full()
        return real(path, target)

    if fails == "fsync":
        monkeypatch.setattr(os, "fsync", full)
    else:
        monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(NaupliadError) as refused:
        keep(place, OTHER)
    assert str(refused.value).count("\n") == 0
    assert "No space left on device" in str(refused.value)
    assert place.config.read_text(encoding="utf-8") == RIGHT
    assert not [name for name in all_of(tmp_path) if name.endswith(".unfinished")]


def test_a_file_that_somebody_changed_meanwhile_is_left_to_him(tmp_path: Path) -> None:
    place = place_of(tmp_path)
    place.config.write_text(RIGHT, encoding="utf-8")
    digest = station_file(place)["digest"]
    place.config.write_text(OTHER, encoding="utf-8")
    for wrong in (digest, ""):
        with pytest.raises(InputError, match="somebody changed it"):
            keep_file(place, RIGHT, wrong)
    assert all_of(tmp_path) == {"station.toml": OTHER.encode()}


def test_every_fault_is_told_and_too_much_is_refused(tmp_path: Path) -> None:
    place = place_of(tmp_path)
    with pytest.raises(InputError) as refused:
        keep(place, "x = 1\n")
    assert len(refused.value.faults) > 1
    with pytest.raises(InputError, match="allowed: up to 49152 bytes"):
        keep(place, RIGHT + "#" * MOST_TEXT_BYTES)
    assert all_of(tmp_path) == {}


def test_a_folder_that_is_not_the_daemons_is_refused_with_what_to_do(tmp_path: Path) -> None:
    folder = tmp_path / "etc"
    folder.mkdir(mode=0o755)
    (folder / "station.toml").write_text(RIGHT, encoding="utf-8")
    let_others_in(tmp_path)
    (folder / "station.toml").chmod(0o644)
    folder.chmod(0o555)
    place = SetUpPlace(folder / "station.toml", tmp_path, {}, None)
    with as_somebody_else():
        seen = station_file(place)
        with pytest.raises(InputError) as refused:
            keep(place, OTHER)
    assert refused.value.faults == (seen["why"],)
    assert seen["writable"] is False
    assert f"sudo mv {folder / 'station.toml'} {tmp_path / 'station.toml'}; sudo ln -sfn" in seen["why"]
    assert (folder / "station.toml").read_text(encoding="utf-8") == RIGHT


def test_a_link_into_the_state_folder_may_lead_nowhere_but_not_to_a_folder_or_in_a_ring(
    tmp_path: Path,
) -> None:
    config = tmp_path / "etc.toml"
    place = SetUpPlace(config, tmp_path, {}, None)
    config.symlink_to(tmp_path / "station.toml")
    assert keep(place, RIGHT)["kept"] == str(tmp_path / "station.toml")
    for target in (tmp_path, config):
        config.unlink()
        config.symlink_to(target)
        seen = station_file(place)
        assert (seen["writable"], seen["text"]) == (False, None)
        with pytest.raises(InputError):
            keep_file(place, OTHER, "")


def test_what_is_no_text_is_not_replaced(tmp_path: Path) -> None:
    place = place_of(tmp_path)
    place.config.write_bytes(b"SQLite format 3\0\xff\xfe")
    assert station_file(place)["writable"] is False
    with pytest.raises(InputError, match="not UTF-8"):
        keep(place, RIGHT)


def test_roots_password_goes_to_no_other_server(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("swim-7\n")
    environ = {"NAUPLIAD_SMTP_PASSWORD_FILE": str(tmp_path / "secret")}
    place = place_of(tmp_path, RIGHT + POST, **environ)
    place.config.write_text(RIGHT + POST, encoding="utf-8")
    for mine, theirs in (
        ("mail.school.example", "mail.thief.example"),
        ('user = "shrimp"', 'user = "shrimp"\nsmtp_port = 2525'),
        ('user = "shrimp"', 'user = "shrimp"\nsecurity = "starttls"'),
        ('user = "shrimp"', 'user = "other"'),
    ):
        with pytest.raises(InputError, match="smtp-password"):
            keep(place, RIGHT + POST.replace(mine, theirs))
    for waiting in (place_of(tmp_path, None, **environ), place_of(tmp_path, RIGHT, **environ)):
        with pytest.raises(InputError, match="smtp-password"):  # nor in two steps
            keep(waiting, RIGHT + POST)
    keep(place, OTHER + POST.replace("teacher@", "other@"))
    assert station_file(place)["mail_password"] == "root"


def test_a_tape_is_named_by_hand_only(tmp_path: Path) -> None:
    tape = station_text(driver="tape")
    with pytest.raises(InputError, match="tape"):
        keep(place_of(tmp_path, RIGHT), tape)
    keep(place_of(tmp_path, tape), tape.replace("Small room", "Large room"))
