"""Requests that have come and wait for their answer, one after the other."""

import sqlite3
from collections import deque
from collections.abc import Callable, Iterable

from daemon.errors import InputError
from daemon.inbox.listening import ENDING, Request
from daemon.requests.request_desk import RequestDesk
from daemon.store.file import WritingStore, not_kept

_REFUSED = (InputError, KeyError, TypeError, ValueError, OverflowError)


class RequestQueue:
    """What a request does and what is answered is one transaction; nothing of one is done before its turn."""

    def __init__(self, store: WritingStore, desk: RequestDesk, think_again: Callable[[int], object]) -> None:
        """Nobody waits yet. `think_again` believes at a moment (Unix s) what the store says, and no more."""
        self._store = store
        self._desk = desk
        self._think_again = think_again
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
        except sqlite3.Error as error:
            request.answer({"error": not_kept(self._store.path, error)})
            with self._store.transaction():
                self._think_again(at)  # what the store did not take is not believed either
            return
        request.answer(answer)
