"""From where the page may be asked for while no station file says so: `install.sh --page`, or `--host`."""

import ipaddress
from collections.abc import Mapping

from daemon.errors import InputError
from daemon.station import LAN, LOOPBACK, PagePlan

PAGE_FIRST = "NAUPLIAD_PAGE_FIRST"  # install.sh writes it into naupliad-page.service.d/10-first.conf


def first_plan(environ: Mapping[str, str]) -> PagePlan:
    """What holds until a station is known: `listen` as `environ` has it, else this machine alone.

    Raises InputError for a word that `[page] listen` would not take.
    """
    told = environ.get(PAGE_FIRST, "")
    if not told:
        return PagePlan()
    from daemon.config.page import read_page  # only here: most stations have a file

    faults: list[str] = []
    plan = read_page({"listen": told}, faults)
    if plan is None:
        raise InputError(*(fault.replace("page.listen", PAGE_FIRST, 1) for fault in faults))
    return plan


def listen_of(host: str) -> str:
    """The `listen` of who serves the page at an address by hand: every address of the machine is `lan`."""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:  # a name: whatever it leads to, nobody said that others may come
        return LOOPBACK
    return LAN if address.is_unspecified else str(address)
