"""Lines to other machines: what stays on this one, what went wrong, and an end to talks that drag on."""

import socket
import ssl
import threading
from collections.abc import Callable, Iterator
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


@contextmanager
def reaching(where: str) -> Iterator[None]:
    """What goes wrong inside is the line's fault, not the letter's: it is raised as Unreachable."""
    try:
        yield
    except ssl.SSLError as error:
        raise Unreachable(f"{where}: no encrypted line: {fault_of(error)}") from None
    except OSError as error:
        raise Unreachable(f"{where}: cannot be reached: {fault_of(error)}") from None
    except UnicodeError as error:  # a host's name that cannot be one
        raise Unreachable(f"{where}: cannot be looked up: {error}") from None


@contextmanager
def cut_off_after(seconds: float, line: Callable[[], socket.socket | None]) -> Iterator[threading.Event]:
    """Shut the line when the whole talk takes longer: a server that drips byte by byte never times out.

    `line` gives the socket of the moment (it changes when encryption begins). The event is set where the
    line was cut: what came over it then is not the whole.
    """

    was_cut = threading.Event()

    def cut() -> None:
        was_cut.set()
        open_now = line()
        if open_now is not None:
            with suppress(OSError):
                # Not SSLSocket's own: that one takes the encryption away under the thread that reads.
                socket.socket.shutdown(open_now, socket.SHUT_RDWR)

    timer = threading.Timer(seconds, cut)
    timer.daemon = True
    timer.start()
    try:
        yield was_cut
    finally:
        timer.cancel()
