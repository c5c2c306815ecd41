"""Requests that have come and wait for their answer, one after the other."""

import sqlite3
from collections import deque
from collections.abc import Iterable

from daemon.errors import InputError
from daemon.inbox import ENDING, Request
from daemon.requests.request_desk import RequestDesk
from daemon.store.file import WritingStore

_REFUSED = (InputError, KeyError, TypeError, ValueError, OverflowError, sqlite3.Error)


class RequestQueue:
    """What a request does and what is answered is one transaction; nothing of one is done before its turn."""

    def __init__(self, store: WritingStore, desk: RequestDesk) -> None:
        """Nobody waits yet."""
        self._store = store
        self._desk = desk
        self._waiting: deque[Request] = deque()

    @property
    def is_empty(self) -> bool:
        """Whether nobody waits."""
        return not self._waiting

    def serve(self, come: Iterable[Request], at: int) -> None:
        """Answer those that can be. Where one needs long, a stretch of that is done, and it waits for the
        next call: beats go on in between.
        """
        self._waiting.extend(come)
        while self._waiting:
            request = self._waiting[0]
            if request.wanted():
                if not self._desk.ready(request.words, at):
                    return
                self._answer(request, at)
            self._waiting.popleft()

    def turn_away(self) -> None:
        """Tell those who wait that the daemon ends."""
        while self._waiting:
            self._waiting.popleft().answer(ENDING)

    def _answer(self, request: Request, at: int) -> None:
        try:
            with self._store.transaction():
                answer = self._desk.answer(request.words, at, request.by)
        except _REFUSED as error:
            answer = {"error": str(error)}
        request.answer(answer)
