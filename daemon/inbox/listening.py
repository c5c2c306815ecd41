"""The listening end of the inbox.

The beat takes what has come and answers it; the threads here only carry lines.
"""

import os
import queue
import select
import socket
import stat
import threading
import time
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from daemon.errors import InputError, NaupliadError
from daemon.inbox.asking import is_heard
from daemon.inbox.line import LINE_BYTES, address, read, written
from daemon.local_user import name_at

_CLIENTS = 16  # who comes when all places are taken hears that
_LINE_S = 10.0  # a client whose line is not whole by then gives up its place
_LINES_LONG = 6  # and so does one that has been there for so many times that
_ANSWER_S = 60.0  # the daemon answers between two beats; one that takes longer hangs
ENDING = {"error": "inbox: the daemon is ending; nothing was done"}


@dataclass(frozen=True, slots=True)
class Request:
    """A client's request: `words` as they came, not yet checked; `by` is the login name of who asks."""

    words: dict[str, Any]
    by: str
    _client: socket.socket
    _answers: "queue.SimpleQueue[bytes]" = field(default_factory=queue.SimpleQueue)
    _gone: threading.Event = field(default_factory=threading.Event)

    def answer(self, words: Mapping[str, Any]) -> None:
        """Send the answer, from any thread; the first counts. A client that is gone is no error.

        Raises TypeError or ValueError when `words` cannot be written as JSON.
        """
        self._answers.put(written(words))

    def wanted(self) -> bool:
        """Whether the client still waits: one that hung up has withdrawn its request."""
        if self._client.fileno() < 0:
            return False
        state = select.poll()
        state.register(self._client, 0)  # nothing but the hang-up itself, which is always reported
        return not state.poll(0)

    def sent(self, patience_s: float) -> bool:
        """Wait until the answer is on its way to the client, or never will be; False when it takes longer."""
        return self._gone.wait(patience_s)

    def carried(self) -> None:
        """The answer is on its way, or never will be."""
        self._gone.set()

    def answered(self, patience_s: float) -> bytes:
        """The answer's line, waited for; a line that says so when none comes."""
        try:
            return self._answers.get(timeout=patience_s)
        except queue.Empty:
            return written({"error": f"inbox: the daemon has not answered in {patience_s:g} s"})


class Inbox:
    """Listens from the moment it is made until `close`."""

    def __init__(self, path: Path, wake: threading.Event, *, line_s: float = _LINE_S) -> None:
        """Listen at `path`, for its owner and group; `wake` is set whenever a request has come.

        `line_s` is how long a client may take for a line.

        A socket left by a daemon that died is replaced. Raises NaupliadError when another daemon listens
        there, when something else stands there, or when the place cannot be used.
        """
        self._path = path
        self._wake = wake
        self._line_s = line_s
        self._came: queue.SimpleQueue[Request] = queue.SimpleQueue()
        self._closing = threading.Event()
        self._places = threading.BoundedSemaphore(_CLIENTS)
        self._listener = _listener(path)
        self._thread = threading.Thread(target=self._listen, name="inbox", daemon=True)
        self._thread.start()

    def requests(self) -> list[Request]:
        """What has come since the last call and is still wanted, in order."""
        came: list[Request] = []
        while not self._came.empty():
            came.append(self._came.get())
        return [request for request in came if request.wanted()]

    def close(self) -> None:
        """Listen no more, tell those who wait, remove the socket."""
        self._closing.set()
        with suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)  # wakes the thread that waits for a client
        self._thread.join(1.0)
        self._listener.close()
        with suppress(OSError):  # gone, or on a disk that turned read-only: the next start replaces it
            self._path.unlink()
        for request in self.requests():
            request.answer(ENDING)

    def _listen(self) -> None:
        while not self._closing.is_set():
            try:
                client, _ = self._listener.accept()
            except OSError:  # closed, or out of file descriptors: the latter may pass
                self._closing.wait(1.0)
                continue
            if self._places.acquire(blocking=False):
                threading.Thread(
                    target=self._attend, args=(client,), name="inbox-client", daemon=True
                ).start()
            else:
                _turn_away(client)

    def _attend(self, client: socket.socket) -> None:
        try:
            # A client may be silent, talk rubbish or vanish: that ends its thread and nothing else.
            with suppress(OSError), client:
                lines = _Lines(client, self._line_s)
                while self._serve(client, lines):
                    pass
        finally:
            self._places.release()

    def _serve(self, client: socket.socket, lines: "_Lines") -> bool:
        """Take one line and answer it; False when there is nothing more to take."""
        line = lines.next()
        if not line:
            return False
        client.settimeout(self._line_s)
        try:
            if len(line) > LINE_BYTES:
                raise InputError(f"found a line of over {LINE_BYTES} bytes; allowed are {LINE_BYTES}")
            words = read(line)
        except InputError as fault:
            client.sendall(written({"error": f"inbox: {fault}"}))
            return len(line) <= LINE_BYTES
        request = Request(words, name_at(client), client)
        self._came.put(request)
        self._wake.set()
        if self._closing.is_set():
            request.answer(ENDING)
        try:
            client.sendall(request.answered(_ANSWER_S))
        finally:
            request.carried()
        return True


class _Lines:
    """What a client says, line by line. One that drips byte by byte has no more time than another."""

    def __init__(self, client: socket.socket, line_s: float) -> None:
        """Each line takes `line_s` seconds at most, all together a few times that."""
        self._client = client
        self._line_s = line_s
        self._leaves_s = time.monotonic() + _LINES_LONG * line_s
        self._came = b""

    def next(self) -> bytes:
        """The next line with its end, its beginning where it is too long, or the rest where the client ends.

        Raises TimeoutError, and OSError as the socket does.
        """
        ends_s = min(time.monotonic() + self._line_s, self._leaves_s)
        while b"\n" not in self._came and len(self._came) <= LINE_BYTES:
            left_s = ends_s - time.monotonic()
            if left_s <= 0:
                raise TimeoutError
            self._client.settimeout(left_s)
            if not (piece := self._client.recv(LINE_BYTES)):
                break
            self._came += piece
        length = (self._came.find(b"\n") + 1) or len(self._came)
        line, self._came = self._came[:length], self._came[length:]
        return line


def _turn_away(client: socket.socket) -> None:
    with suppress(OSError), client:
        client.settimeout(1.0)
        client.sendall(written({"error": f"inbox: {_CLIENTS} clients are here already; try again later"}))


def _listener(path: Path) -> socket.socket:
    listener = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    try:
        _clear(path)
        # Linux gives the file the socket's own mode: there is no moment when others may enter.
        os.fchmod(listener.fileno(), 0o660)
        with address(path) as place:
            listener.bind(place)
        path.chmod(0o660)  # the umask may have taken the group's part
        listener.listen(_CLIENTS)
    except OSError as error:
        listener.close()
        raise NaupliadError(f"{path}: the inbox cannot be opened: {error.strerror or error}") from error
    except NaupliadError:
        listener.close()
        raise
    return listener


def _clear(path: Path) -> None:
    """Remove a socket that nobody listens at."""
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return
    if not stat.S_ISSOCK(mode):
        raise NaupliadError(f"{path}: found a file that is no socket; move it away, the inbox goes there")
    if is_heard(path):
        raise NaupliadError(f"{path}: another daemon listens there; only one may write to a station's store")
    path.unlink()
