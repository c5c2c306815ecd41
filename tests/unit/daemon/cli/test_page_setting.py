"""naupliad page pin and naupliad page socket."""

import os
import stat
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from daemon.cli.page import page_socket, pin
from daemon.errors import InputError, NaupliadError
from daemon.page.guard.pin import FILE_NAME, PinSource, page_folder
from tests.kit.station import station_text, table


def run(command: click.Command, *words: str | Path, typed: str = "") -> Result:
    return CliRunner().invoke(command, [str(word) for word in words], input=typed)


def test_the_pin_is_read_from_standard_input_and_kept_beside_the_stations_records(tmp_path: Path) -> None:
    state = tmp_path / "naupliad"
    done = run(pin, "--state", state, typed="735 164\n")
    assert (done.exit_code, done.output) == (
        0,
        "The PIN is set; whoever was signed in has to sign in anew.\n",
    )
    folder = tmp_path / "naupliad-page"
    assert page_folder(state) == folder
    record = PinSource(folder, {}).now()
    assert record is not None
    assert record.fits("735164")
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE((folder / FILE_NAME).stat().st_mode) == 0o600


@pytest.mark.parametrize("typed", ["", "\n", "1234\n", "123456\n"])
def test_a_pin_that_may_not_be_set_is_one_line_and_leaves_the_one_before(tmp_path: Path, typed: str) -> None:
    run(pin, "--state", tmp_path / "a", typed="735164\n")
    done = run(pin, "--state", tmp_path / "a", typed=typed)
    assert isinstance(done.exception, InputError)
    assert len(done.exception.faults) == 1
    record = PinSource(tmp_path / "a-page", {}).now()
    assert record is not None
    assert record.fits("735164")


def test_the_pin_is_no_argument_that_others_could_see(tmp_path: Path) -> None:
    assert run(pin, "735164", "--state", tmp_path).exit_code == 2


def test_a_folder_of_another_account_says_what_to_do(tmp_path: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("root may write everywhere")
    (tmp_path / "a-page").mkdir(mode=0o500)
    done = run(pin, "--state", tmp_path / "a", typed="735164\n")
    assert isinstance(done.exception, NaupliadError)
    assert "put sudo before it" in str(done.exception)


def test_where_systemd_listens_is_what_the_station_file_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "station.toml"
    file.write_text(station_text())
    monkeypatch.setenv("NAUPLIAD_PAGE_FIRST", "lan")  # not looked at where there is a file
    assert run(page_socket, "--config", file).output == ""
    file.write_text(station_text() + "\n" + table("[page]", listen="lan"))
    assert "\nListenStream=0.0.0.0:8077\n" in run(page_socket, "--config", file).output
    file.write_text(station_text() + "\n" + table("[page]", listen="everywhere"))
    done = run(page_socket, "--config", file)
    assert isinstance(done.exception, InputError)
    assert done.output == ""


def test_where_there_is_no_station_file_yet_systemd_listens_as_was_told_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "station.toml"
    file.symlink_to(tmp_path / "kept.toml")
    assert run(page_socket, "--config", file).output == ""
    monkeypatch.setenv("NAUPLIAD_PAGE_FIRST", "lan")
    assert "\nListenStream=0.0.0.0:8077\n" in run(page_socket, "--config", file).output
    (tmp_path / "kept.toml").mkdir()  # something is there, and it is no file
    assert isinstance(run(page_socket, "--config", file).exception, InputError)
