"""The carriers of a station: the ways its letters go, by the names they have in the store."""

from collections.abc import Mapping
from pathlib import Path

from daemon.post.carrier import Carrier
from daemon.post.folder import FolderCarrier
from daemon.post.secrets import SMTP_PASSWORD, WEBHOOK_SECRET, WEBHOOK_URL, read_secret
from daemon.station import Station


def make_carriers(station: Station, folder: Path, environ: Mapping[str, str]) -> dict[str, Carrier]:
    """`mail` where `[post]` names a server, `webhook` where there is that table; with neither, `files`.

    Raises InputError where a secret's file cannot be read, or holds no such thing.
    """
    carriers: dict[str, Carrier] = {}
    if station.post.server is not None:
        from daemon.post.smtp import SmtpCarrier  # a station carries in memory only the ways it has

        carriers["mail"] = SmtpCarrier(station.post.server, read_secret(SMTP_PASSWORD, environ))
    if station.webhook is not None:
        from daemon.post.kept_address import address_of
        from daemon.post.webhook import WebhookCarrier

        address = address_of(station.webhook.url, WEBHOOK_URL, environ)
        secret = read_secret(WEBHOOK_SECRET, environ)
        carriers["webhook"] = WebhookCarrier(address, secret, station.name, station.timezone)
    return carriers or {"files": FolderCarrier(folder)}
