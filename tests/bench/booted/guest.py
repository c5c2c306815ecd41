"""An emulated machine: switched on, spoken to over SSH, and its plug pulled."""

import os
import signal
import socket
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.bench.booted.image import Image

_BOOT_S = 600.0
_COMMANDS = {
    "amd64": ("qemu-system-x86_64", "-M", "q35", "-cpu", "max", "-smp", "2"),
    "arm64": ("qemu-system-aarch64", "-M", "virt", "-cpu", "cortex-a53", "-smp", "4"),
}
_CONSOLES = {"amd64": "ttyS0", "arm64": "ttyAMA0"}


@dataclass(frozen=True, slots=True)
class Answer:
    """How a command in the machine ended, and what it said, both streams together."""

    code: int
    said: str


class Guest:
    """One machine at a time, on one disk."""

    def __init__(self, image: Image, *, memory_mb: int, cache: str) -> None:
        """`cache` is what stands between its disk and the file: qemu's word for it."""
        self._image, self._memory_mb, self._cache = image, memory_mb, cache
        self._port = _free_port()
        self._process: subprocess.Popen[bytes] | None = None

    def switch_on(self) -> float:
        """Start it and wait until it lets somebody in; how long that took, s."""
        image, began = self._image, time.monotonic()
        kernel = f"root=/dev/vda rw console={_CONSOLES[image.architecture]} net.ifnames=0"
        words: list[str | Path] = [
            *_COMMANDS[image.architecture],
            *("-accel", "tcg,thread=multi", "-m", str(self._memory_mb), "-display", "none"),
            *("-serial", f"file:{image.folder / 'serial.log'}", "-monitor", "none"),
            *("-kernel", image.folder / "vmlinuz", "-initrd", image.folder / "initrd.img", "-append", kernel),
            *("-drive", f"file={image.disk},if=virtio,format=raw,cache={self._cache}"),
            *("-netdev", f"user,id=net,restrict=on,hostfwd=tcp:127.0.0.1:{self._port}-:22"),
            *("-device", "virtio-net-pci,netdev=net,romfile="),
        ]
        self._process = subprocess.Popen([str(word) for word in words], stdin=subprocess.DEVNULL)
        self.wait_until_in(began)
        return time.monotonic() - began

    def wait_until_in(self, began: float) -> None:
        """Until SSH answers. Ends the bench where it does not."""
        while self.ask("true").code != 0:
            if time.monotonic() - began > _BOOT_S or self._ended():
                raise SystemExit(f"booted: it did not start; see {self._image.folder / 'serial.log'}")
            time.sleep(2)

    def ask(self, script: str, account: str = "root", *, patience_s: float = 900.0) -> Answer:
        """Have an account's shell do it."""
        ssh = [
            *("ssh", "-q", "-i", str(self._image.key), "-p", str(self._port), "-o", "ConnectTimeout=20"),
            *("-o", "StrictHostKeyChecking=no", "-o", "UserKnownHostsFile=/dev/null"),
            *("-o", "ServerAliveInterval=10", "-o", "ServerAliveCountMax=6"),
            *(f"{account}@127.0.0.1", "exec 2>&1; bash -s"),
        ]
        try:
            done = subprocess.run(
                ssh, input=script, capture_output=True, text=True, timeout=patience_s, check=False
            )
        except subprocess.TimeoutExpired:
            return Answer(255, f"no answer in {patience_s:g} s")
        return Answer(done.returncode, done.stdout.strip())

    def pull_the_plug(self) -> None:
        """No signal that it could hear: the machine is gone at once, with all that it had in memory."""
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def copy_disk(self, place: Path) -> None:
        """Stop the machine in the midst of what it does, copy its disk as it then is, and let it go on."""
        if self._process is None:
            raise RuntimeError("no machine is on")
        self._process.send_signal(signal.SIGSTOP)
        try:
            subprocess.run(["cp", "--sparse=always", str(self._image.disk), str(place)], check=True)
        finally:
            self._process.send_signal(signal.SIGCONT)

    def _ended(self) -> bool:
        return self._process is not None and self._process.poll() is not None


def _free_port() -> int:
    with socket.socket() as line:
        line.bind(("127.0.0.1", 0))
        return int(line.getsockname()[1])


def needs(architecture: str) -> Sequence[str]:
    """What is not here and must be: a line each."""
    missing = [] if os.geteuid() == 0 else ["found no root; the disk is made in a changed root"]
    emulator = _COMMANDS[architecture][0]
    packages = {
        "debootstrap": "debootstrap",
        "mkfs.ext4": "e2fsprogs",
        "ssh": "openssh-client",
        emulator: "qemu-system-x86" if architecture == "amd64" else "qemu-system-arm",
    }
    if architecture == "arm64":
        packages["qemu-aarch64-static"] = "qemu-user-static, and binfmt_misc told of it"
    places = [Path(place) for place in (*os.environ["PATH"].split(os.pathsep), "/usr/sbin", "/sbin")]
    for command, package in packages.items():
        if not any((place / command).exists() for place in places):
            missing.append(f"found no {command}; Debian's package for it: {package}")
    return missing
