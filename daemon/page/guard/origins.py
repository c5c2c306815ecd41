"""Where a request comes from, and which names are this page's own.

A browser names an address twice, and no page of another site can change that: in `Host` the one it asks,
and in the `Origin` of every form the one the form came from (RFC 6454; Fetch standard). A foreign site
whose name is made to lead here (DNS rebinding) still stands in `Host`. So names are taken only where
nobody else can own them: this machine's, alone or below `.local` (RFC 6762) and `.home.arpa` (RFC 8375),
`localhost`, and the one in `[page] address`. A bare IP address is nobody's name: any is taken.
"""

import ipaddress
import re

from daemon.station import LAN, LOOPBACK, PagePlan

# RFC 1918, RFC 3927, RFC 4193, RFC 4291 section 2.5.6: not routed on the Internet.
PRIVATE = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "fc00::/7",
    "fe80::/10",
)
_NETWORKS = tuple(ipaddress.ip_network(network) for network in PRIVATE)
_HOST = re.compile(r"(?P<name>\[[0-9a-f:.]{2,45}\]|[a-z0-9._-]{1,253})(:(?P<port>[0-9]{1,5}))?")

_Address = ipaddress.IPv4Address | ipaddress.IPv6Address


def own_names(machine: str, plan: PagePlan) -> tuple[str, ...]:
    """The names this page may be called by, besides IP addresses; `machine` is the machine's host name."""
    short = machine.partition(".")[0].lower()
    own = (short, f"{short}.local", f"{short}.home.arpa") if short else ()
    told = (_name(plan.address.partition("//")[2]),) if plan.address else ()
    return ("localhost", *own, *(name for name in told if name))


def is_own_host(host: str, machine: str, plan: PagePlan) -> bool:
    """Whether what stands in `Host` is this page's name, or an IP address."""
    name = _name(host)
    if _ip(name.strip("[]")) is not None or name in own_names(machine, plan):
        return True
    # A second machine of the same name in a network is called name-2.local (RFC 6762, section 9).
    short = re.escape(machine.partition(".")[0].lower())
    return bool(short) and re.fullmatch(rf"{short}-[0-9]{{1,3}}\.local", name) is not None


def is_own_origin(origin: str | None, host: str, plan: PagePlan) -> bool:
    """Whether a form comes from this page itself; `host` has been found to be its own."""
    if origin is None:
        return False
    # A browser leaves the usual port out of both. Behind a server that speaks TLS the page is called as told.
    return origin == f"http://{host.lower()}" or (plan.address is not None and origin == plan.address)


def may_come(remote: str | None, plan: PagePlan) -> bool:
    """Whether the page answers that address at all (see `[page] listen`)."""
    address = _ip(remote or "")
    if address is None:
        return False
    if plan.listen not in (LOOPBACK, LAN) and not ipaddress.ip_address(plan.listen).is_loopback:
        return True
    return address.is_loopback or (plan.listen == LAN and any(address in network for network in _NETWORKS))


def visitor_of(remote: str | None) -> str:
    """Whose tries are counted together: an IPv4 address, or 64 bits of an IPv6 one (a device has many)."""
    address = _ip(remote or "")
    if isinstance(address, ipaddress.IPv6Address):
        return str(ipaddress.ip_network((address, 64), strict=False))
    return str(address)


def _name(host: str) -> str:
    found = _HOST.fullmatch(host.lower())
    return found["name"].removesuffix(".") if found else ""


def _ip(text: str) -> _Address | None:
    try:
        address = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return None
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return mapped or address
