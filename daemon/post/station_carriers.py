"""The carriers of a station: the ways its letters go, by the names they have in the store."""

from collections.abc import Mapping
from pathlib import Path

from daemon.post.carrier import Carrier
from daemon.post.folder import FolderCarrier
from daemon.post.secrets import SMTP_PASSWORD, WEBHOOK_SECRET, read_secret
from daemon.station import Station


def make_carriers(station: Station, folder: Path, environ: Mapping[str, str]) -> dict[str, Carrier]:
    """`mail` where `[post]` names a server, `webhook` where there is that table; with neither, `files`.

    Raises InputError where a secret's file cannot be read.
    """
    carriers: dict[str, Carrier] = {}
    if station.post.server is not None:
        from daemon.post.smtp import SmtpCarrier  # a station carries in memory only the ways it has

        carriers["mail"] = SmtpCarrier(station.post.server, read_secret(SMTP_PASSWORD, environ))
    if station.webhook is not None:
        from daemon.post.webhook import WebhookCarrier

        secret = read_secret(WEBHOOK_SECRET, environ)
        carriers["webhook"] = WebhookCarrier(station.webhook.url, secret, station.name, station.timezone)
    return carriers or {"files": FolderCarrier(folder)}
