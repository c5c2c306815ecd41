"""A bundle whose wheels are a few lines each: pip takes them, and no network is asked."""

import ensurepip
import platform
import shutil
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

from tests.kit.checkout import ROOT

PROGRAM = "naupliad-0.1.0-py3-none-any.whl"
# What it says it is made for, where it is for this very machine.
HERE = (platform.machine(), f"3.{sys.version_info.minor}")


def small_wheel(folder: Path, name: str, version: str, says: str, needs: str = "") -> Path:
    """A pure wheel (PyPA's binary distribution format) with a command of its own name that says something."""
    wheel = folder / f"{name}-{version}-py3-none-any.whl"
    info = f"{name}-{version}.dist-info"
    extra = f"Provides-Extra: mqtt\nRequires-Dist: {needs}\n" if needs else ""
    inside = {
        f"{name}_says.py": f"def main():\n    print({says!r})\n",
        f"{info}/METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n{extra}",
        f"{info}/WHEEL": "Wheel-Version: 1.0\nGenerator: tests\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
        f"{info}/entry_points.txt": f"[console_scripts]\n{name} = {name}_says:main\n",
    }
    record = "".join(f"{path},,\n" for path in (*inside, f"{info}/RECORD"))
    with ZipFile(wheel, "w") as packed:
        for path, text in {**inside, f"{info}/RECORD": record}.items():
            packed.writestr(path, text)
    return wheel


def packed(folder: Path, *made_for: str, says: str = "as packed") -> Path:
    """What an unpacked bundle is: installer, units, example, wheels, and the sums of all."""
    for part in ("systemd", "docs/reference"):
        shutil.copytree(ROOT / part, folder / part)
    wheels = folder / "wheels"
    wheels.mkdir()
    small_wheel(wheels, "naupliad", "0.1.0", says, needs='leaf; extra == "mqtt"')
    small_wheel(wheels, "leaf", "1.0", "a leaf")
    shutil.copy(_wheel_of_pip(), wheels)
    (wheels / "made-for").write_text(f"{' '.join(made_for)}\n")
    _summed(folder)
    return folder


def _summed(folder: Path) -> None:
    files = sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())
    said = subprocess.run(["sha256sum", *files], cwd=folder, check=True, capture_output=True, text=True)
    (folder / "SHA256SUMS").write_text(said.stdout)


def _wheel_of_pip() -> Path:
    """The wheel of pip that comes with Python itself."""
    return next(Path(ensurepip.__file__).parent.glob("_bundled/pip-*.whl"))
