"""Builds the machine's disk: Debian, two accounts, sensors for the kernel, the checkout, all wheels."""

import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
CHECKOUT = HERE.parent.parent.parent
PACKAGES = [
    *("systemd", "systemd-sysv", "systemd-timesyncd", "libpam-systemd", "udev", "dbus", "kmod", "procps"),
    *("login", "passwd", "sudo", "iproute2", "netbase", "openssh-server", "initramfs-tools", "e2fsprogs"),
    *("python3", "python3-venv", "git", "sqlite3", "i2c-tools", "dosfstools", "tzdata", "ca-certificates"),
    *("gcc", "make", "libc6-dev"),  # for the 1-Wire bus
]
_PYTHONS = {"bookworm": "3.11", "trixie": "3.13"}
_MACHINES = {"amd64": "x86_64", "arm64": "aarch64"}
# The wheels' build tag for the C library that both suites have (2.36 and 2.41).
_GLIBC = ("manylinux_2_28", "manylinux_2_27", "manylinux_2_17", "manylinux2014")
_WANTED = ("hatchling>=1.27", "aiosmtpd>=1.4.6")
_NETWORK = "[Match]\nName=en* eth*\n[Network]\nDHCP=yes\n"


@dataclass(frozen=True, slots=True)
class Image:
    """What a machine is started from, all in one folder."""

    folder: Path
    architecture: str
    suite: str

    @property
    def root(self) -> Path:
        """The files, before they become a disk."""
        return self.folder / "root"

    @property
    def disk(self) -> Path:
        """An ext4 file system, raw."""
        return self.folder / "disk.img"

    @property
    def key(self) -> Path:
        """The SSH key that both accounts and root let in."""
        return self.folder / "key"


def build(image: Image) -> None:
    """Everything up to the disk; what is there of the system itself is kept."""
    image.folder.mkdir(parents=True, exist_ok=True)
    if not (image.folder / "bootstrapped").exists():
        _bootstrap(image)
    if not image.key.exists():
        _run("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", image.key)
    _fetch_wheels(image)
    _furnish(image)
    _build_bus(image)
    _make_disk(image)


def _bootstrap(image: Image) -> None:
    shutil.rmtree(image.root, ignore_errors=True)
    kernel = [f"linux-image-{image.architecture}", f"linux-headers-{image.architecture}"]
    wanted = ",".join([*PACKAGES, *kernel])
    arch = f"--arch={image.architecture}"
    _run("debootstrap", arch, "--variant=minbase", f"--include={wanted}", image.suite, image.root)
    (image.folder / "bootstrapped").touch()


def _fetch_wheels(image: Image) -> None:
    """All that the program and the trial need: the machine itself asks no registry."""
    project = (CHECKOUT / "pyproject.toml").read_text()
    lines = project.split("dependencies = [")[1].split("]")[0].splitlines()
    needed = [line.strip(' ",') for line in lines if line.strip()]
    version = _PYTHONS[image.suite]
    tags = [f"--platform={tag}_{_MACHINES[image.architecture]}" for tag in _GLIBC]
    _run(
        *(sys.executable, "-m", "pip", "download", "--quiet", "--only-binary=:all:"),
        *(f"--dest={image.root}/opt/wheels", f"--python-version={version}", *tags, "--platform=any"),
        *(*needed, *_WANTED),
    )


def _furnish(image: Image) -> None:
    root = image.root
    _write(root / "etc/hostname", "naupliad\n")
    _write(root / "etc/hosts", "127.0.0.1 localhost naupliad\n")
    _write(root / "etc/fstab", "/dev/vda / ext4 defaults,noatime 0 1\n")
    _write(root / "etc/pip.conf", "[global]\nno-index = true\nfind-links = /opt/wheels\n")
    _write(root / "etc/systemd/network/10-wired.network", _NETWORK)
    for name in ("trial-probe", "trial-water", "trial-time"):
        _install(HERE / "inside" / name, root / "usr/local/sbin" / name)
    for unit in (HERE / "inside").glob("*.service"):
        _write(root / "etc/systemd/system" / unit.name, unit.read_text())
    _in_root(image, (HERE / "inside" / "furnish").read_text())
    key = image.key.with_suffix(".pub").read_text()
    for home in ("root", "home/teacher", "home/pupil"):
        _write(root / home / ".ssh/authorized_keys", key)
    shutil.rmtree(root / "home/teacher/naupliad", ignore_errors=True)
    _run("git", "clone", "--quiet", "--no-hardlinks", CHECKOUT, root / "home/teacher/naupliad")
    _in_root(image, "chown -R teacher: /home/teacher; chown -R pupil: /home/pupil")


def _build_bus(image: Image) -> None:
    source = image.root / "usr/src/trial-w1"
    source.mkdir(exist_ok=True)
    shutil.copy(HERE / "trial_w1.c", source)
    _write(source / "Makefile", "obj-m := trial_w1.o\n")
    _in_root(
        image,
        "v=$(ls /lib/modules); make -s -C /lib/modules/$v/build M=/usr/src/trial-w1 modules;"
        " install -D -m 644 /usr/src/trial-w1/trial_w1.ko /lib/modules/$v/extra/trial_w1.ko; depmod $v",
    )


def _make_disk(image: Image) -> None:
    for name in ("vmlinuz", "initrd.img"):
        (found,) = (image.root / "boot").glob(f"{name}-*")
        shutil.copy(found, image.folder / name)
    image.disk.unlink(missing_ok=True)
    _run("truncate", "-s", "4G", image.disk)
    _run("mkfs.ext4", "-q", "-d", image.root, image.disk)


def _in_root(image: Image, script: str) -> None:
    _run("chroot", image.root, "/bin/sh", "-euc", script)


def _install(source: Path, place: Path) -> None:
    _write(place, source.read_text())
    place.chmod(0o755)


def _write(place: Path, text: str) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(text)


def _run(*words: str | Path) -> None:
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise SystemExit(
            f"booted: {' '.join(map(str, words))[:200]}\n{done.stdout[-1000:]}{done.stderr[-2000:]}"
        )
