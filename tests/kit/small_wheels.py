"""Wheels of a few lines, for what is installed in a test: pip takes them, and no network is asked."""

import ensurepip
from pathlib import Path
from zipfile import ZipFile

PROGRAM = "naupliad-0.1.0-py3-none-any.whl"


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


def wheel_of_pip() -> Path:
    """The wheel of pip that comes with Python itself."""
    return next(Path(ensurepip.__file__).parent.glob("_bundled/pip-*.whl"))
