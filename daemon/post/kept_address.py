"""A web address that may carry a token: kept apart like a password, or told by the station file."""

import logging
import re
from collections.abc import Mapping

from daemon.config.checks import Refused
from daemon.config.ways_out import web_address
from daemon.errors import InputError
from daemon.post.secrets import ALIVE_URL, Secret, read_secret
from daemon.station import Alive, WebAddress

log = logging.getLogger(__name__)

# Nobody types such a part of a path: 16 or more letters and digits, both of them [P].
_TOKEN = re.compile(r"(?=[^/]*[A-Za-z])(?=[^/]*[0-9])[A-Za-z0-9_.~+=:-]{16,}")


def address_of(told: WebAddress | None, kept: Secret, environ: Mapping[str, str]) -> WebAddress | None:
    """The address that is kept apart, else the one `told` by the station file; None where there is neither.

    Raises InputError where what is kept is no address; nothing of it is shown.
    """
    line = read_secret(kept, environ)
    if line is None:
        return told
    try:
        return web_address(line)
    except Refused as refused:
        (_, found, allowed) = refused.parts[0]
        raise InputError(f"{kept.credential}: found {found}; allowed: {allowed}") from None


def alive_address(alive: Alive, environ: Mapping[str, str]) -> WebAddress | None:
    """Where a station says that it works; None where no address is known. Raises as `address_of` does."""
    address = address_of(alive.url, ALIVE_URL, environ)
    if address is None:
        log.warning("sign of life: none goes, for no address is kept to ask for (alive-url)")
    return address


def may_carry_a_token(address: WebAddress) -> bool:
    """Whether an address looks as if who knows it may use it: it has a query, or a part nobody would type."""
    return "?" in address.path or any(map(_TOKEN.fullmatch, address.path.split("/")))
