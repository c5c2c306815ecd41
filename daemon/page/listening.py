"""Where the page listens, in systemd's words. The unit itself is that of a station file without `[page]`."""

from daemon.page.guard.origins import PRIVATE
from daemon.station import LAN, LOOPBACK, PagePlan


def socket_settings(plan: PagePlan) -> str:
    """The settings that go beside `naupliad-page.socket`; empty where the unit's own will do."""
    if (plan.host, plan.port) == (PagePlan().host, PagePlan().port):
        return ""
    host = f"[{plan.host}]" if ":" in plan.host else plan.host
    lines = ["[Socket]", "ListenStream=", f"ListenStream={host}:{plan.port}"]
    if plan.listen == LAN:
        # IPv4 alone: by IPv6 a network's machines have addresses like those of the whole Internet.
        lines.append("IPAddressAllow=" + " ".join(net for net in PRIVATE if ":" not in net))
    elif plan.listen != LOOPBACK:
        # The address may come only later, with the network.
        lines += ["FreeBind=yes", "IPAddressDeny=", "IPAddressAllow=any"]
    return "\n".join(lines) + "\n"
