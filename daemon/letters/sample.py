"""A sample letter of a station, and where each way out would take it."""

from collections.abc import Mapping
from pathlib import Path

from daemon.letters.conversions import setting
from daemon.letters.letter_queue import unnumbered
from daemon.post.carrier import Outgoing
from daemon.station import Station
from reports.letters.sample import sample_letter


def sample_of(station: Station, at: int) -> Outgoing:
    """The letter, written at `at`, Unix seconds; no store knows of it."""
    return unnumbered(station, sample_letter(setting(station, None, at)), at)


def where_to(station: Station, state: Path, way: str, environ: Mapping[str, str]) -> str:
    """Where a way out takes letters, without what only few should know."""
    if way == "mail" and station.post.server is not None:
        return ", ".join(station.post.server.to)
    if way == "webhook" and station.webhook is not None:
        from daemon.post import http_request
        from daemon.post.kept_address import address_of
        from daemon.post.secrets import WEBHOOK_URL

        address = address_of(station.webhook.url, WEBHOOK_URL, environ)
        if address is not None:  # else nothing was on its way
            return http_request.shown(address)
    return str(state / "letters")
