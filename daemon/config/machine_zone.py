"""The time zone that this machine goes by."""

import os
from pathlib import Path
from zoneinfo import available_timezones

_ZONES = Path("/usr/share/zoneinfo")


def machine_zone(link: Path = Path("/etc/localtime")) -> str:
    """Its IANA name; empty where the machine does not say."""
    try:
        zone = os.path.relpath(link.resolve(strict=True), _ZONES)
    except OSError:
        return ""
    return zone if zone in available_timezones() else ""
