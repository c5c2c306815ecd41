"""The installer, in a folder that stands for the machine's root.

`python3` is a stand-in that makes an environment with a `pip` that only notes what it is asked for: a real
one would take all packages from the network. What speaks to a running systemd is looked at in a dry run.
"""

import os
import re
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from tests.kit.checkout import ROOT
from tests.kit.command_line import Said, surroundings
from tests.kit.station import station_text
from tests.kit.units import tool

SCRIPT = ROOT / "systemd" / "install.sh"
STATION, KEPT = "etc/naupliad/station.toml", "var/lib/naupliad/station.toml"
FIRST = "etc/systemd/system/naupliad-page.service.d/10-first.conf"
EXAMPLE = "docs/reference/station.example.toml"
PYTHON = f"""#!/bin/sh
[ "$1" = -m ] || exec {sys.executable} "$@"
for place; do :; done
{sys.executable} -m venv --clear --without-pip "$place"
mkdir -p "$place"/lib/python3.{sys.version_info.minor}/site-packages/pip
printf '#!/bin/sh\\necho "$@" >>"%s/pip"\\ntouch "%s/bin/naupliad"\\n' "$place" "$place" >"$place/bin/pip"
chmod +x "$place/bin/pip"
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    (tmp_path / "root").mkdir()
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin" / "python3").write_text(PYTHON)
    (tmp_path / "bin" / "python3").chmod(0o755)
    return tmp_path / "root"


def install(root: Path, *words: str | Path) -> Said:
    path = f"{root.parent / 'bin'}:{os.environ['PATH']}"
    done = subprocess.run(
        [SCRIPT, "--root", root, *words],
        env={**os.environ, "PATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    return Said(done.returncode, done.stdout, done.stderr)


def installed(root: Path, *words: str | Path) -> str:
    said = install(root, *words)
    assert (said.code, said.err) == (0, "")
    return said.out


def held(root: Path) -> dict[str, bytes]:
    """Every file under the root, with what is in it; of the program only that it is there."""
    files = (path for path in root.rglob("*") if path.is_file() or path.is_symlink())
    return {
        str(path.relative_to(root)): b"" if "opt" in path.parts or path.is_symlink() else path.read_bytes()
        for path in files
    }


def test_every_file_stands_where_it_says_that_it_goes(root: Path) -> None:
    installed(root)
    of_the_centre = ROOT / "systemd" / "naupliad-gather.service"  # by hand: docs/how-to/rooms.md
    for source in (ROOT / "systemd").iterdir():
        if source not in (SCRIPT, of_the_centre):
            goes = re.match(r"# Goes to (/\S+?)[.;]?\s", source.read_text())
            assert goes is not None, source.name
            assert (root / goes[1].lstrip("/")).read_bytes() == source.read_bytes()


def test_the_program_is_installed_from_the_checkout_and_found_by_its_name(root: Path) -> None:
    installed(root)
    assert (root / "opt/naupliad/pip").read_text().split()[-1] == str(ROOT)
    assert (root / "usr/local/bin/naupliad").readlink() == Path("/opt/naupliad/bin/naupliad")


def test_a_wheel_is_installed_where_one_is_named(root: Path, tmp_path: Path) -> None:
    wheel = tmp_path / "naupliad-0.1.0-py3-none-any.whl"
    wheel.touch()
    installed(root, "--wheel", wheel)
    first, again = (root / "opt/naupliad/pip").read_text().splitlines()
    assert (first.split()[-1], again.split()[-1]) == (str(wheel), str(wheel))
    assert "--force-reinstall --no-deps --no-index" in again  # what it needs was seen to by the first


def test_run_again_it_changes_nothing_but_brings_the_program_up_to_date(root: Path) -> None:
    installed(root)
    before = held(root)
    again = installed(root)
    assert held(root) == before
    assert re.findall(r"^put: (.*)$", again, re.MULTILINE) == [f"{root}/opt/naupliad"]
    assert len((root / "opt/naupliad/pip").read_text().splitlines()) == 2


def test_a_new_station_has_no_file_yet_but_a_name_for_the_one_that_the_page_writes(root: Path) -> None:
    said = installed(root)
    assert (root / STATION).is_symlink()
    assert (root / STATION).resolve() == root / KEPT  # also under another root it leads to nowhere else
    assert not (root / STATION).exists()
    (line,) = [line for line in said.splitlines() if "holds nothing yet" in line]
    assert "sudo naupliad page pin" in line
    assert "http://127.0.0.1:8077" in line
    assert "left out under --root: systemctl restart naupliad.service\n" in said  # it waits for the file


def test_told_so_it_lets_phones_come_before_there_is_a_station_file(root: Path) -> None:
    alone = installed(root)
    assert "--page lan" in alone
    assert not (root / FIRST).exists()
    said = installed(root, "--page", "lan")
    assert (root / FIRST).read_text() == "[Service]\nEnvironment=NAUPLIAD_PAGE_FIRST=lan\n"
    assert re.search(r"then open http://[\w-]+\.local:8077\n", said)
    assert "--page lan" not in said
    before = held(root)
    installed(root)  # it stays as it was told
    assert held(root) == before
    installed(root, "--page", "loopback")
    assert not (root / FIRST).parent.exists()


def test_who_may_come_is_for_the_station_file_to_say_where_there_is_one(root: Path) -> None:
    (root / STATION).parent.mkdir(parents=True)
    (root / STATION).write_text("mine")
    assert f"{root / STATION} is there: not --page but [page] in it says" in installed(root, "--page", "lan")


def test_a_dry_run_says_that_phones_could_come_and_lets_none(root: Path) -> None:
    said = installed(root, "--dry-run", "--page", "lan")
    assert re.search(rf"would run: install -D -m 644 \S+ {root / FIRST}\n", said)
    assert held(root) == {}


def test_a_station_file_that_the_page_wrote_is_never_changed(root: Path) -> None:
    installed(root)
    (root / KEPT).parent.mkdir(parents=True)
    (root / KEPT).write_text("the page's")
    again = installed(root)
    assert (root / STATION).is_symlink()
    assert (root / STATION).read_text() == "the page's"
    assert f"as it was: {root / STATION}\n" in again
    assert "holds nothing yet" not in again


@pytest.mark.parametrize("text", ["mine", (ROOT / EXAMPLE).read_text("utf-8")], ids=["own", "example"])
def test_a_station_file_that_is_there_is_never_changed(root: Path, text: str) -> None:
    (root / STATION).parent.mkdir(parents=True)
    (root / STATION).write_text(text)
    said = installed(root)
    assert not (root / STATION).is_symlink()
    assert (root / STATION).read_text() == text
    assert ("is the example still" in said) == (text != "mine")
    assert ("systemctl restart naupliad.service" in said) == (text == "mine")  # nobody has those probes


def test_a_unit_that_is_older_is_brought_up_to_date(root: Path) -> None:
    installed(root)
    unit = root / "etc/systemd/system/naupliad.service"
    unit.write_text("[Unit]\n")
    assert f"put: {unit}\n" in installed(root)
    assert unit.read_bytes() == (ROOT / "systemd/naupliad.service").read_bytes()


def test_a_program_whose_python_is_gone_is_installed_anew(root: Path) -> None:
    installed(root)
    (root / "opt/naupliad/bin/python").unlink()
    (root / "opt/naupliad/bin/python").symlink_to("/nonexistent/python3.9")
    installed(root)
    assert (root / "opt/naupliad/bin/python").resolve() == Path(sys.executable).resolve()


def test_a_program_whose_python_was_replaced_by_a_newer_one_is_installed_anew(root: Path) -> None:
    installed(root)
    library = root / "opt/naupliad/lib"
    now = next(library.iterdir())
    before = now.rename(library / "python3.9")  # as if 3.9 had made it, and /usr/bin/python3 were this one
    subprocess.run([root / "opt/naupliad/bin/python", "-c", ""], check=True)
    installed(root)
    assert (now / "site-packages/pip").is_dir()
    assert not before.exists()


def test_removed_it_leaves_what_the_station_knows_and_no_file_else(root: Path) -> None:
    (root / "etc/udev/rules.d").mkdir(parents=True)
    (root / "etc/udev/rules.d/10-other.rules").write_text("another's")
    before = held(root)
    installed(root)
    (root / "var/lib/naupliad").mkdir(parents=True)
    (root / "var/lib/naupliad/station.db").write_text("store")
    (root / "var/cache/naupliad/matplotlib").mkdir(parents=True)
    (root / "var/cache/naupliad/matplotlib/fontlist.json").touch()
    (root / "var/lib/systemd/timers").mkdir(parents=True)
    (root / "var/lib/systemd/timers/stamp-naupliad-backup.timer").touch()
    (root / KEPT).write_text("the page's")
    for _ in range(2):
        installed(root, "--remove")
        kept = {STATION: b"", KEPT: b"the page's", "var/lib/naupliad/station.db": b"store"}
        assert held(root) == {**before, **kept}


def test_removed_before_it_was_set_up_it_leaves_no_name_that_leads_to_nothing(root: Path) -> None:
    installed(root, "--page", "lan")
    installed(root, "--remove")
    assert held(root) == {}
    assert not (root / "etc/naupliad").exists()


def test_removed_it_leaves_a_name_that_somebody_else_gave(root: Path) -> None:
    (root / STATION).parent.mkdir(parents=True)
    (root / STATION).symlink_to("/media/stick/station.toml")  # not plugged in
    installed(root)
    installed(root, "--remove")
    assert held(root) == {STATION: b""}


def test_purged_it_leaves_nothing_of_its_own(root: Path) -> None:
    (root / "etc").mkdir()
    (root / "etc/hosts").write_text("another's")
    before = held(root)
    installed(root)
    (root / "var/lib/naupliad/backups").mkdir(parents=True)
    (root / "var/lib/naupliad/backups/station-2027-01-15.db").touch()
    (root / "mnt/naupliad-backup").mkdir(parents=True)
    installed(root, "--remove", "--purge")
    assert held(root) == before
    assert not (root / "mnt/naupliad-backup").exists()


def test_purged_it_leaves_what_is_on_a_stick(root: Path) -> None:
    installed(root)
    copy = root / "mnt/naupliad-backup/station-2027-01-15.db"
    copy.parent.mkdir(parents=True)
    copy.touch()
    installed(root, "--remove", "--purge")
    assert copy.exists()


def test_a_command_of_that_name_that_is_anothers_stays(root: Path) -> None:
    other = root / "usr/local/bin/naupliad"
    other.parent.mkdir(parents=True)
    other.write_text("another's")
    said = install(root)
    assert (said.code, said.err) == (
        1,
        f"install.sh: {other}: found something else of that name; move it away first\n",
    )
    assert list(held(root)) == ["usr/local/bin/naupliad"]
    installed(root, "--remove")
    assert other.read_text() == "another's"


def test_where_the_program_cannot_be_installed_it_ends_with_trouble_and_puts_no_service(root: Path) -> None:
    python = root.parent / "bin" / "python3"
    python.write_text(PYTHON.replace('touch "%s/bin/naupliad"', "false"))
    said = install(root)
    assert said.code == 1
    assert not (root / "etc").exists()


def test_under_another_root_no_running_system_is_spoken_to(root: Path) -> None:
    for word in ("systemctl", "udevadm", "systemd-sysusers", "systemd-tmpfiles", "userdel", "groupdel"):
        (root.parent / "bin" / word).write_text(f"#!/bin/sh\ntouch {root}/{word}-was-called\n")
        (root.parent / "bin" / word).chmod(0o755)
    installed(root)
    installed(root, "--remove", "--purge")
    assert held(root) == {}


def dry(*words: str) -> str:
    done = subprocess.run([SCRIPT, "--dry-run", *words], capture_output=True, text=True, check=True, cwd=ROOT)
    assert all(
        line.startswith(("would run: ", "as it was: ", "/etc/naupliad")) for line in done.stdout.splitlines()
    )
    return done.stdout


def test_a_dry_run_changes_nothing(root: Path) -> None:
    said = installed(root, "--dry-run")
    assert held(root) == {}
    assert f"would run: python3 -m venv --clear --system-site-packages {root}/opt/naupliad\n" in said


@pytest.mark.skipif(Path("/opt/naupliad").exists(), reason="a station is installed on this machine")
def test_the_account_is_made_before_its_folders_and_the_units_are_read_last() -> None:
    said = dry()
    order = ("pip install", "naupliad.service", "systemd-sysusers", "systemd-tmpfiles", "daemon-reload")
    places = [said.index(word) for word in order]
    assert places == sorted(places)
    assert "systemctl restart naupliad.service" in said.partition("daemon-reload")[2]
    assert "rm -rf /var/lib/naupliad" not in dry("--remove")
    assert "rm -rf /var/lib/naupliad " in dry("--remove", "--purge")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--purge"], "--purge: allowed together with --remove only"),
        (["--colour"], "found '--colour'; allowed: --wheel"),
        (["--page", "everywhere"], "--page: found 'everywhere'; allowed: loopback, lan"),
        (["--page"], "--page: found ''; allowed: loopback, lan"),
        (["--remove", "--page", "lan"], "--page: not allowed together with --remove"),
        (["--wheel", "/nonexistent.whl"], "--wheel: found '/nonexistent.whl'; allowed: a wheel"),
        (["--root", "/"], "--root: found '/'; allowed: a folder, not /"),
        (["--root"], "--root: found ''; allowed: a folder"),
    ],
)
def test_wrong_use_is_one_line_and_exit_code_2(root: Path, words: list[str], said: str) -> None:
    found = install(root, *words)
    assert (found.code, len(found.faults)) == (2, 1)
    assert said in found.err
    assert held(root) == {}


def test_the_page_and_the_help_tell_of_the_same_options() -> None:
    told = subprocess.run([SCRIPT, "--help"], capture_output=True, text=True, check=True).stdout
    page = (ROOT / "docs/install.md").read_text("utf-8")
    used = {
        word
        for words in re.findall(r"install\.sh( --[^`\n]*)", page)
        for word in words.split()
        if word[0] == "-"
    }
    assert {"--remove", "--purge", "--dry-run"} <= used <= set(re.findall(r"--[a-z-]+", told))


def with_accounts(root: Path) -> int:
    """Have systemd's own tools make the account and the folders under the root; the account's number."""
    if os.geteuid() != 0:
        pytest.skip("needs root, to give a folder to another account")
    tool("systemd-sysusers")
    for words in (["systemd-sysusers"], ["systemd-tmpfiles", "--create"]):
        command = [tool(words[0]), f"--root={root}", *words[1:], "naupliad.conf"]
        subprocess.run(command, check=True, capture_output=True)
    account = re.search(r"^naupliad:\w:(\d+):", (root / "etc/passwd").read_text(), re.MULTILINE)
    assert account is not None
    return int(account[1])


def owner_and_mode(path: Path) -> tuple[int, int]:
    found = path.stat()
    return found.st_uid, stat.S_IMODE(found.st_mode)


def test_the_folders_are_made_for_the_account_that_the_machine_gets(root: Path) -> None:
    installed(root)
    account = with_accounts(root)
    assert owner_and_mode(root / "var/lib/naupliad") == (account, 0o750)
    assert (root / "mnt/naupliad-backup").is_dir()


def test_the_system_itself_puts_the_station_files_name_back_and_leaves_what_is_there(root: Path) -> None:
    installed(root)
    (root / STATION).unlink()
    with_accounts(root)
    assert (root / STATION).resolve() == root / KEPT
    assert not (root / KEPT).exists()
    (root / STATION).unlink()
    (root / STATION).write_text("mine")
    with_accounts(root)
    assert (root / STATION).read_text() == "mine"


def test_a_state_made_by_hand_is_given_to_the_account_and_shut_to_others(root: Path) -> None:
    state = root / "var/lib/naupliad"
    for folder in (state, state / "letters", state / "backups"):
        folder.mkdir(parents=True)
        folder.chmod(0o755)
    files = [state / name for name in ("station.db", "station.db-wal", "letters/0001-cold.eml")]
    for file in files:
        file.write_text("mine")
        file.chmod(0o644)
    with socket.socket(socket.AF_UNIX) as inbox:
        inbox.bind(str(state / "inbox.sock"))
    (state / "inbox.sock").chmod(0o660)
    (root / "elsewhere").write_text("another's")
    (root / "elsewhere").chmod(0o644)
    (state / "station.toml").symlink_to(root / "elsewhere")
    installed(root)
    account = with_accounts(root)
    assert {owner_and_mode(path) for path in (state, state / "letters", state / "backups")} == {
        (account, 0o750)
    }
    assert {owner_and_mode(path) for path in files} == {(account, 0o640)}
    assert owner_and_mode(state / "inbox.sock") == (account, 0o660)  # the running daemon's
    assert owner_and_mode(root / "elsewhere") == (0, 0o644)


def test_systemd_is_told_where_the_page_listens_as_the_station_file_has_it(tmp_path: Path) -> None:
    """The installer's own function with the real program; where the file is no good all stays as it was."""
    program, station, told = (
        tmp_path / name for name in ("program", "station.toml", "told.d/10-station.conf")
    )
    (program / "bin").mkdir(parents=True)
    (program / "bin/naupliad").write_text(f'#!/bin/sh\nexec {sys.executable} -m daemon "$@"\n')
    (program / "bin/naupliad").chmod(0o755)
    wanted = "put_listening|first_told|put_first|put_file|say|run|take_away_settings"
    functions = rf'''sed -nE "/^({wanted})\(\) [{{]/,/^}}/p" "$0"'''
    put = f"source <({functions}); set -euo pipefail; put_first; put_listening"
    first = tmp_path / "first.d/10-first.conf"
    names = {"root": "", "dry_run": "no", "program": program, "station_file": station}
    names |= {"page_listens": told, "page_first": first, "page": ""}
    environment = {**surroundings(), **{name: str(value) for name, value in names.items()}}

    def put_down(page: str = "") -> tuple[str, str]:
        done = subprocess.run(
            ["bash", "-c", put, SCRIPT],
            env={**environment, "page": page},
            capture_output=True,
            text=True,
            check=True,
        )
        return (told.read_text() if told.exists() else ""), done.stderr

    def listens(page: str) -> tuple[str, str]:
        station.write_text(f"{station_text()}\n[page]\n{page}\n")
        return put_down()

    station.symlink_to(tmp_path / "kept.toml")  # a new station
    assert put_down() == ("", "")
    assert "\nListenStream=0.0.0.0:8077\n" in put_down("lan")[0]
    assert "NAUPLIAD_PAGE_FIRST=lan\n" in first.read_text()
    assert "\nListenStream=0.0.0.0:8077\n" in put_down()[0]  # as told before
    assert put_down("loopback") == ("", "")
    assert not first.parent.exists()
    put_down("lan")
    assert listens("") == ("", "")  # the file says it from now on
    assert "\nListenStream=0.0.0.0:80\n" in listens('listen = "lan"\nport = 80')[0]
    text, fault = listens('listen = "everywhere"')
    assert "\nListenStream=0.0.0.0:80\n" in text
    assert len(fault.splitlines()) == 1
    assert listens('listen = "loopback"') == ("", "")


def test_shellcheck_finds_no_fault() -> None:
    scripts = [SCRIPT, ROOT / ".ci" / "run", ROOT / ".ci" / "bundle"]
    done = subprocess.run([tool("shellcheck"), *scripts], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout
