"""How the kernel lays a device out: a folder with a `name`, and a file a channel and attribute."""

import re
from pathlib import Path
from typing import NoReturn

from sensors.errors import KeyFault, NotFitted, WrongKeys


def number(attribute: Path) -> float:
    """The number in an attribute. Raises OSError where it gives none, ValueError where it is no number."""
    return float(attribute.read_text(encoding="ascii"))


def own_or_shared(folder: Path, channel: str, kind: str, suffix: str) -> Path | None:
    """A channel's own attribute, or the one that all channels of its kind share."""
    paths = (folder / f"{channel}_{suffix}", folder / f"{kind}_{suffix}")
    return next((path for path in paths if path.exists()), None)


def channels(folder: Path, pattern: str) -> list[str]:
    """The channels whose files match, without the files' last word."""
    return sorted(re.sub("_(input|raw)$", "", path.name) for path in folder.glob(pattern))


def _matches(base: Path, device: str) -> list[Path]:
    folders = sorted(base.iterdir())
    return [f for f in folders if f.name == device] or [f for f in folders if _called(f) == device]


def _called(folder: Path) -> str | None:
    try:
        return (folder / "name").read_text(encoding="ascii").strip()
    except (OSError, ValueError):
        return None


def folder_of(base: Path, device: str) -> Path:
    """The device's folder now. Raises FileNotFoundError without one; two of one name would be a guess."""
    matches = _matches(base, device)
    if len(matches) != 1:
        raise FileNotFoundError(base / device)
    return matches[0]


def found(probe: str, base: Path, device: str) -> Path | None:
    """The device's folder at set-up, None where it is not there yet. Raises WrongKeys for two of one name."""
    matches = _matches(base, device)
    if len(matches) > 1:
        which = " or ".join(match.name for match in matches)
        raise WrongKeys(probe, KeyFault("device", device, f"one device; two have this name, say {which}"))
    return matches[0] if matches else None


def must_exist(probe: str, base: Path, kind: str, example: str) -> None:
    """Raises NotFitted where the machine shows no devices of the kind at all."""
    if not base.is_dir():
        raise NotFitted(
            probe,
            f"no {kind} devices: {base} is not there",
            f"Load the sensor's driver in /boot/firmware/config.txt ({example}) and restart the Pi.",
        )


def channel_fits(probe: str, channel: str, kind: str) -> None:
    """Raises WrongKeys for a channel of another kind: its numbers would be taken for this measure's."""
    if not channel.startswith(kind):
        raise WrongKeys(probe, KeyFault("channel", channel, f"a name that begins with {kind}"))


def refuse_channel(probe: str, channel: str, fit: list[str], folder: Path) -> NoReturn:
    """Raises WrongKeys that names the channels which would do."""
    allowed = ", ".join(fit) or "none: this device measures something else"
    raise WrongKeys(probe, KeyFault("channel", channel, f"{allowed} (of {folder.name})"))
