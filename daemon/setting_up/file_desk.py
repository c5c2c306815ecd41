"""The words `station-file` and `keep-file`: shows the station file, and keeps another in its place."""

import logging
from pathlib import Path
from typing import Any

from daemon.config import parse_station
from daemon.errors import InputError
from daemon.setting_up.file_found import StationFileFound, find_file, why_not_kept
from daemon.setting_up.password_desk import told_of_password
from daemon.setting_up.place import SetUpPlace
from daemon.setting_up.put_whole import FileBeside
from daemon.setting_up.whose_password import stolen_secrets
from daemon.station import Station

log = logging.getLogger(__name__)

MOST_TEXT_BYTES = 48 * 1024  # so that a request with it fits on a line of the inbox


def station_file(place: SetUpPlace) -> dict[str, Any]:
    """The station file as it stands, and what can be done with it."""
    found = find_file(place.config)
    why = why_not_kept(found, place.config, place.state)
    return {
        "path": str(found.path),
        "text": found.text,
        "digest": found.digest,
        "faults": list(found.faults),
        "writable": not why,
        "why": why,
        "watching": place.followed is not None,
        "waits_for": list(place.waits_for()),
        **told_of_password(place),
    }


def keep_file(place: SetUpPlace, text: str, instead_of: str) -> dict[str, Any]:
    """Keep `text` in the place of the file whose digest is `instead_of`, and that one beside it.

    Raises InputError with all that is wrong, and NaupliadError where the disk does not take it: then the
    station file is as it was.
    """
    check_text(text, place)
    found = _replaceable(place, instead_of)
    new = FileBeside(found.path, text.encode())
    before = found.path.with_name(f"{found.path.name}.before") if found.raw is not None else None
    try:
        if before is not None and found.raw is not None:
            FileBeside(before, found.raw).put()
        _replaceable(place, instead_of)  # somebody may have saved it meanwhile
    except BaseException:
        new.drop()
        raise
    new.put()
    log.info("%s: another station file was kept, as the page was asked to", found.path)
    return {"kept": str(found.path), "before": str(before or "")}


def check_text(text: str, place: SetUpPlace) -> Station:
    """The station of a text that somebody sent. Raises InputError with all that is wrong or not allowed."""
    size = len(text.encode())
    if size > MOST_TEXT_BYTES:
        raise InputError(
            f"{place.config}: found {size} bytes; allowed: up to {MOST_TEXT_BYTES} bytes of text"
        )
    station = parse_station(text, str(place.config))
    _check(station, place)
    return station


def _check(station: Station, place: SetUpPlace) -> None:
    faults = [*stolen_secrets(station, place.followed, place.environ), *_new_tapes(station, place.followed)]
    if faults:
        raise InputError(*(f"{place.config}: {line}" for line in faults))


def _new_tapes(station: Station, followed: Station | None) -> list[str]:
    """A tape is any file of the machine's: who merely knows the page's PIN must not have one read."""
    known = _tapes(followed) if followed else set()
    return [
        f'probe {probe}: found driver "tape" with a file that the station does not play yet; allowed: a'
        " driver of what is attached, or to write it into the file by hand"
        for probe, path in sorted(_tapes(station))
        if path not in {other for _, other in known}
    ]


def _tapes(station: Station) -> set[tuple[str, Path]]:
    return {(plan.id, Path(plan.keys.get("file", ""))) for plan in station.probes if plan.driver == "tape"}


def _replaceable(place: SetUpPlace, instead_of: str) -> StationFileFound:
    found = find_file(place.config)
    why = why_not_kept(found, place.config, place.state)
    if why:
        raise InputError(why)
    if found.digest != instead_of:
        raise InputError(
            f"{place.config}: found another content than the one that was edited, so somebody changed it"
            " meanwhile; allowed: to begin from the file as it is now"
        )
    return found
