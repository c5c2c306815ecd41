"""The installer with a real Python and a real pip, where no network is: bundles and wheels.

The wheels are small ones of our own; `.ci/bundle` packs those that a station needs. What takes long is held
in short by `test_install.py`.
"""

import os
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.kit.command_line import Said
from tests.kit.small_bundle import HERE, PROGRAM, packed, small_wheel
from tests.kit.units import tool


@pytest.fixture
def bundle(tmp_path: Path) -> Path:
    """What an unpacked bundle is: installer, units, example, wheels, and the sums of all."""
    return packed(tmp_path / "bundle", *HERE)


def install(bundle: Path, root: Path, *words: str | Path, without_network: Sequence[str] = ()) -> Said:
    root.mkdir(exist_ok=True)
    python = root.parent / "bin"
    python.mkdir(exist_ok=True)
    (python / "python3").unlink(missing_ok=True)
    (python / "python3").symlink_to(Path(sys.base_prefix, "bin", "python3"))
    done = subprocess.run(
        [*without_network, bundle / "systemd" / "install.sh", "--root", root, *words],
        env={**os.environ, "PATH": f"{python}:{os.environ['PATH']}", "PIP_INDEX_URL": "http://127.0.0.1:9/"},
        capture_output=True,
        text=True,
        check=False,
    )
    return Said(done.returncode, done.stdout, done.stderr)


def says(root: Path, command: str = "naupliad") -> str:
    command = str(root / "opt/naupliad/bin" / command)
    return subprocess.run([command], check=True, capture_output=True, text=True).stdout.strip()


def test_a_bundle_is_installed_without_a_network_with_all_that_it_needs(bundle: Path, tmp_path: Path) -> None:
    alone = [tool("unshare"), "--net"] if os.geteuid() == 0 else []  # else no index answers, at least
    said = install(bundle, tmp_path / "root", without_network=alone)
    assert (said.code, said.err) == (0, "")
    assert (says(tmp_path / "root"), says(tmp_path / "root", "leaf")) == ("as packed", "a leaf")
    assert (tmp_path / "root/opt/naupliad/bin/pip").exists()  # for who has a network one day
    assert (tmp_path / "root/etc/naupliad/station.toml").is_symlink()


@pytest.mark.long
def test_a_bundle_and_a_wheel_of_the_same_version_take_the_place_of_what_is_there(
    bundle: Path, tmp_path: Path
) -> None:
    root = tmp_path / "root"
    assert install(bundle, root).code == 0
    newer = packed(tmp_path / "newer", *HERE, says="packed again")
    assert install(newer, root).code == 0
    assert says(root) == "packed again"
    (tmp_path / "sent").mkdir()
    sent = small_wheel(tmp_path / "sent", "naupliad", "0.1.0", "sent by post")
    said = install(newer, root, "--wheel", sent)
    assert (said.code, said.err) == (0, "")
    assert says(root) == "sent by post"


@pytest.mark.long
def test_a_program_that_another_python_made_is_made_anew_from_the_bundle(
    bundle: Path, tmp_path: Path
) -> None:
    root = tmp_path / "root"
    assert install(bundle, root).code == 0
    library = root / "opt/naupliad/lib"
    (library / f"python3.{sys.version_info.minor}").rename(library / "python3.9")
    with pytest.raises(subprocess.CalledProcessError):
        says(root)
    assert install(bundle, root).code == 0
    assert says(root) == "as packed"
    assert [path.name for path in library.iterdir()] == [f"python3.{sys.version_info.minor}"]


@pytest.mark.parametrize(
    ("made_for", "wanted"),
    [
        (("aarch64", "3.9", "3.10"), "this bundle is for Python 3.9 or 3.10 on aarch64"),
        (("abacus", HERE[1]), f"this bundle is for Python {HERE[1]} on abacus"),
    ],
)
def test_a_bundle_for_another_machine_is_refused_before_anything_is_changed(
    made_for: tuple[str, ...], wanted: str, tmp_path: Path
) -> None:
    said = install(packed(tmp_path / "other", *made_for), tmp_path / "root")
    found = f"found Python {HERE[1]} on {HERE[0]}"
    assert (said.code, said.err) == (1, f"install.sh: {found}; {wanted}\n")
    assert not list((tmp_path / "root").iterdir())


@pytest.mark.parametrize("spoil", [lambda file: file.write_bytes(b"torn"), lambda file: file.unlink()])
def test_a_bundle_with_a_torn_or_missing_file_is_refused_by_that_files_name(
    spoil: object, bundle: Path, tmp_path: Path
) -> None:
    assert callable(spoil)
    spoil(bundle / "wheels" / PROGRAM)
    said = install(bundle, tmp_path / "root")
    line = f"found wheels/{PROGRAM} not as it was packed: copy and unpack the bundle again"
    assert (said.code, said.err) == (1, f"install.sh: {line}\n")
    assert not list((tmp_path / "root").iterdir())
