"""What the daemon tells systemd of itself: sd_notify(3) in plain Python."""

import socket
import time
from collections.abc import Mapping
from contextlib import suppress

# Believing ninety days of eight vessels anew takes half a minute on a desktop (tests/bench/recompute.py),
# and the smallest Pi may be fifteen times slower. The unit says the same.
_PATIENCE_S = 900


class ServiceNotices:
    """Notices to the service manager; nothing happens where there is none."""

    def __init__(self, environ: Mapping[str, str]) -> None:
        """`environ` holds NOTIFY_SOCKET where systemd listens: a path, or a name after an @."""
        address = environ.get("NOTIFY_SOCKET", "")
        self._address = f"\0{address[1:]}" if address.startswith("@") else address

    @property
    def heard(self) -> bool:
        """Whether there is a service manager: it starts a daemon anew that ends."""
        return bool(self._address)

    def expect_every(self, beat_s: int) -> None:
        """Tell the watchdog how long to bear with silence: three beats, and never under fifteen minutes."""
        self._tell(f"WATCHDOG_USEC={max(3 * beat_s, _PATIENCE_S) * 1_000_000}")

    def ready(self) -> None:
        """The station is put together and the first beat is done."""
        self._tell("READY=1")

    def alive(self) -> None:
        """A beat is complete: feeds the watchdog."""
        self._tell("WATCHDOG=1")

    def stopping(self) -> None:
        """The daemon has begun to end."""
        self._tell("STOPPING=1")

    def anew(self) -> None:
        """The daemon begins anew with another station file; `ready` follows."""
        self._tell(f"RELOADING=1\nMONOTONIC_USEC={time.monotonic_ns() // 1000}")

    def holding(self) -> None:
        """Nothing can be done now and nothing hangs: neither start nor watchdog is to give up so soon."""
        self._tell(f"EXTEND_TIMEOUT_USEC={_PATIENCE_S * 1_000_000}\nWATCHDOG=1")

    def status(self, text: str) -> None:
        """One line for `systemctl status`."""
        self._tell(f"STATUS={' '.join(text.split())}")

    def _tell(self, notice: str) -> None:
        if not self._address:
            return
        # A manager that does not listen holds up no beat; a lost notice ends no daemon that works.
        with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as line:
            line.setblocking(False)
            line.sendto(notice.encode(), self._address)
