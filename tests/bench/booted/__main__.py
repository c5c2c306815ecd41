"""Boots Debian with its own kernel in an emulated machine, installs the station there, and looks.

    sudo python -m tests.bench.booted [--architecture amd64|arm64] [--suite bookworm|trixie] [--cuts 5]
        [--copies 30] [--memory 512] [--cache none|writeback] [--folder FOLDER] [--seed 1] [--log FILE]

Needs root, Debian's packages debootstrap, qemu-system-x86 (or qemu-system-arm and qemu-user-static),
e2fsprogs and openssh-client, 6 GB of disk and an hour; /dev/kvm is not asked for. The machine is Debian,
on which Raspberry Pi OS is built, and no Raspberry Pi. Its thermometers are simulated below the kernel's
drivers: DS18B20 on a 1-Wire bus of this bench's own (trial_w1.c) under w1 and w1_therm, and, where the kernel
has i2c-stub, an LM75. The folder is kept, with the system in it, where --folder names one. Exit code 1 if
anything is not as it should be.
"""

import argparse
import random
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from tests.bench.booted import checks
from tests.bench.booted.checks import Found
from tests.bench.booted.guest import Guest, needs
from tests.bench.booted.image import Image, build


def main() -> None:
    """Build, boot, look, and print a row for each thing looked at."""
    told = _told()
    missing = needs(told.architecture)
    if missing:
        raise SystemExit("\n".join(f"booted: {line}" for line in missing))
    folder = told.folder or Path(tempfile.mkdtemp(prefix="booted-"))
    image = Image(folder, told.architecture, told.suite)
    guest = Guest(image, memory_mb=told.memory, cache=told.cache)
    try:
        build(image)
        wrong = sum(not found.right for found in _table(guest, told, folder))
    finally:
        guest.pull_the_plug()
        if told.folder is None:
            shutil.rmtree(folder)
    raise SystemExit(1 if wrong else 0)


def _table(guest: Guest, told: argparse.Namespace, folder: Path) -> Iterator[Found]:
    with told.log.open("w", encoding="utf-8") as log:
        for found in _all(guest, told, folder):
            row = f"| {'holds' if found.right else 'FAILS'} | {found.check} | {found.found} |"
            print(row, flush=True)
            log.write(f"{row}\n")
            yield found


def _all(guest: Guest, told: argparse.Namespace, folder: Path) -> Iterator[Found]:
    chance = random.Random(told.seed)
    yield Found("switched on, until SSH answers", True, f"{guest.switch_on():.0f} s")
    for stage in (checks.installing, checks.running, checks.people, checks.letters, checks.clock):
        yield from stage(guest)
    for stage in (checks.endings, checks.backup):
        yield from stage(guest)
    yield from checks.frozen(guest, folder, told.copies, lambda: chance.uniform(0.0, 6.0))
    yield from checks.plug(guest, told.cuts, lambda: chance.uniform(0.0, 12.0))
    yield from checks.removing(guest)


def _told() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.booted")
    parser.add_argument("--architecture", choices=("amd64", "arm64"), default="amd64")
    parser.add_argument("--suite", choices=("bookworm", "trixie"), default="bookworm")
    parser.add_argument("--cuts", type=int, default=5)
    parser.add_argument("--copies", type=int, default=30)
    parser.add_argument("--memory", type=int, default=512, metavar="MB")
    parser.add_argument("--cache", choices=("none", "writeback"), default="none")
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--log", type=Path, default=Path(f"booted-{time.strftime('%Y-%m-%d')}.log"))
    return parser.parse_args()


if __name__ == "__main__":
    main()
