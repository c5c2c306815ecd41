"""Says what a folder of wheels lacks: `complete.py WHEELS MACHINE 3.11 3.13`.

pip asks itself, not the machine it packs for, whether a requirement with a condition holds
(`python_version >= "3.13"`, say). So each is followed once more here, by the conditions of each Python that
was packed for.
"""

import sys
from collections.abc import Iterator
from email.parser import HeaderParser
from pathlib import Path
from zipfile import ZipFile

from pip._vendor.packaging.markers import default_environment
from pip._vendor.packaging.requirements import Requirement
from pip._vendor.packaging.tags import Tag, compatible_tags, cpython_tags
from pip._vendor.packaging.utils import canonicalize_name, parse_wheel_filename

FIRST = "naupliad[mqtt]"
GLIBCS = range(17, 37)  # as .ci/bundle asks for them
Found = dict[str, list[Path]]


def main() -> int:
    """Prints what is missing; 1 where anything is."""
    folder, machine, *pythons = sys.argv[1:]
    missing = [line for python in pythons for line in lacking(Path(folder), machine, python)]
    for line in missing:
        print(f"complete: {line}")
    return 1 if missing else 0


def lacking(folder: Path, machine: str, python: str) -> Iterator[str]:
    """What one Python on one machine asks for and does not find."""
    here = environment(machine, python)
    fitting = wheels(folder, set(tags(machine, python)))
    asked, seen = [Requirement(FIRST), Requirement("pip")], set()
    while asked:
        wanted = asked.pop()
        if str(wanted) in seen:
            continue
        seen.add(str(wanted))
        fits = [
            wheel
            for wheel in fitting.get(canonicalize_name(wanted.name), [])
            if wanted.specifier.contains(parse_wheel_filename(wheel.name)[1])
        ]
        if not fits:
            yield f"Python {python} on {machine} finds no wheel for {wanted}"
        for wheel in fits:
            asked += needs(wheel, wanted.extras, here)


def needs(wheel: Path, extras: set[str], here: dict[str, str]) -> Iterator[Requirement]:
    """What a wheel requires in an environment."""
    with ZipFile(wheel) as packed:
        name = next(name for name in packed.namelist() if name.endswith(".dist-info/METADATA"))
        told = HeaderParser().parsestr(packed.read(name).decode())
    for line in told.get_all("Requires-Dist") or []:
        required = Requirement(line)
        if required.marker is None or any(
            required.marker.evaluate({**here, "extra": extra}) for extra in (extras or {""})
        ):
            yield required


def wheels(folder: Path, tags: set[Tag]) -> Found:
    """The wheels that fit, by name."""
    found: Found = {}
    for wheel in sorted(folder.glob("*.whl")):
        name, _, _, made_for = parse_wheel_filename(wheel.name)
        if made_for & tags:
            found.setdefault(name, []).append(wheel)
    return found


def tags(machine: str, python: str) -> Iterator[Tag]:
    """What wheels one Python takes on one machine."""
    version = tuple(map(int, python.split(".")))
    platforms = [f"manylinux2014_{machine}", *(f"manylinux_2_{glibc}_{machine}" for glibc in GLIBCS)]
    yield from cpython_tags(version, platforms=platforms)
    yield from compatible_tags(version, interpreter=f"cp{version[0]}{version[1]}", platforms=platforms)


def environment(machine: str, python: str) -> dict[str, str]:
    """What conditions are asked of, on Linux."""
    return {
        **default_environment(),
        "python_version": python,
        "python_full_version": f"{python}.0",
        "implementation_version": f"{python}.0",
        "platform_machine": machine,
    }


if __name__ == "__main__":
    sys.exit(main())
