"""The carriers of a station: the ways its letters go, by the names they have in the store."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path

from daemon.post.carrier import Carrier
from daemon.post.folder import FolderCarrier
from daemon.post.secrets import SMTP_PASSWORD, WEBHOOK_SECRET, WEBHOOK_URL, or_without, read_secret
from daemon.station import PostServer, Station


def make_carriers(
    station: Station, folder: Path, environ: Mapping[str, str], *, go_on: bool = False
) -> dict[str, Carrier]:
    """`mail` where `[post]` names a server, `webhook` where there is that table; with neither, `files`.

    `folder` is the state folder. Raises InputError where a secret's file cannot be read, or holds no such
    thing; with `go_on` letters wait.
    """
    secret_of = partial(read_secret, environ=environ)
    carriers: dict[str, Carrier] = {}
    if station.post.server is not None:
        carriers["mail"] = _mail(station.post.server, folder, environ, go_on=go_on)
    if station.webhook is not None:
        from daemon.post.kept_address import address_of
        from daemon.post.webhook import WebhookCarrier

        told = partial(address_of, station.webhook.url, WEBHOOK_URL, environ)
        address = or_without(told, go_on=go_on)
        secret = or_without(partial(secret_of, WEBHOOK_SECRET), go_on=go_on)
        carriers["webhook"] = WebhookCarrier(address, secret, station.name, station.timezone)
    return carriers or {"files": FolderCarrier(folder)}


def _mail(server: PostServer, folder: Path, environ: Mapping[str, str], *, go_on: bool) -> Carrier:
    """By the password that the administrator keeps; where none is, by the one that the set-up keeps.

    Where the administrator's cannot be read it is gone without, not by another.
    """
    from daemon.post.kept_mail import KeptMailCarrier  # a station carries in memory only the ways it has
    from daemon.post.smtp import SmtpCarrier

    def carrier() -> Carrier:
        password = read_secret(SMTP_PASSWORD, environ)
        return KeptMailCarrier(server, folder) if password is None else SmtpCarrier(server, password)

    return or_without(carrier, go_on=go_on) or SmtpCarrier(server, None)
