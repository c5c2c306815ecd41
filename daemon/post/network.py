"""Lines to other machines: what stays on this one, what went wrong, and an end to talks that drag on."""

import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from ipaddress import ip_address

from daemon.post.carrier import Unreachable


def loopback_addresses(host: str, port: int, where: str, rule: str) -> list[str]:
    """The addresses behind the name, which are then used: asked twice, a name may answer otherwise.

    Raises Unreachable where one of them is another machine's; `rule` says in its message what forbids that.
    """
    found = [str(entry[4][0]) for entry in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)]
    abroad = [address for address in found if not ip_address(address.partition("%")[0]).is_loopback]
    if abroad:
        raise Unreachable(f"{where}: is at {abroad[0]}, but {rule} never leaves the machine")
    return list(dict.fromkeys(found))


def fault_of(error: OSError) -> str:
    """What went wrong, in the system's words."""
    return error.strerror or str(error) or type(error).__name__


class Deadline:
    """The end of a whole talk, from connecting to goodbye: a server that drips byte by byte never times out.

    Only the look-up of a name has the resolver's own end.
    """

    def __init__(self, seconds: float) -> None:
        """Counts from now."""
        self._seconds = seconds
        self._ends_s = time.monotonic() + seconds
        self._passed = threading.Event()
        self._handle: socket.socket | None = None
        self._timer = threading.Timer(seconds, self._cut)
        self._timer.daemon = True
        self._timer.start()

    @property
    def passed(self) -> bool:
        """Whether the line was cut: what came over it then is not the whole."""
        return self._passed.is_set()

    def connect(self, host: str, port: int, step_s: float) -> socket.socket:
        """A line to the first address behind a name that takes it. Raises OSError.

        `step_s` is how long each of its steps may take. It is cut when the talk's time is up.
        """
        fault: OSError = OSError(f"{host} has no address")
        for family, kind, protocol, _, address in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM):
            left_s = self._ends_s - time.monotonic()
            if left_s <= 0:
                self._cut()
                break
            line = socket.socket(family, kind, protocol)
            try:
                line.settimeout(min(step_s, left_s))
                line.connect(address)
                line.settimeout(step_s)
                self._hold(line)
            except OSError as error:
                line.close()
                fault = error
                continue
            if self.passed:  # too soon for its handle
                self._cut()
            return line
        raise fault

    def fault_of(self, error: OSError) -> str:
        """What went wrong: the end of time itself where that had come."""
        return f"cut off, as it took over {self._seconds:g} s" if self.passed else fault_of(error)

    def close(self) -> None:
        """The talk is over."""
        self._timer.cancel()
        if self._handle is not None:
            self._handle.close()

    def _hold(self, line: socket.socket) -> None:
        """By a handle of its own: encryption puts another socket in the place of this one."""
        if self._handle is not None:
            self._handle.close()
        self._handle = line.dup()

    def _cut(self) -> None:
        self._passed.set()
        if self._handle is not None:
            with suppress(OSError):
                self._handle.shutdown(socket.SHUT_RDWR)


@contextmanager
def reaching(where: str, deadline: Deadline) -> Iterator[None]:
    """What goes wrong inside is the line's fault, not the letter's: it is raised as Unreachable."""
    try:
        yield
    except OSError as error:
        what = "no encrypted line" if isinstance(error, ssl.SSLError) else "cannot be reached"
        raise Unreachable(f"{where}: {what}: {deadline.fault_of(error)}") from None
    except UnicodeError as error:  # a host's name that cannot be one
        raise Unreachable(f"{where}: cannot be looked up: {error}") from None
