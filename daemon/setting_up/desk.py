"""Takes the set-up's words out of what comes by the inbox, and answers them beside the beat."""

import logging
from collections.abc import Callable, Mapping
from typing import Any, Protocol

from daemon.errors import InputError, NaupliadError
from daemon.inbox.listening import Inbox, Request
from daemon.requests.request_words import text
from daemon.setting_up.place import SetUpPlace
from daemon.workers import Workers

log = logging.getLogger(__name__)

_REFUSED = (NaupliadError, KeyError, TypeError, ValueError, OverflowError)
_SENT_S = 2.0  # an answer that a client does not take by then is lost to it
STILL_ON_ITS_WAY = "sample letter: found one still on its way; allowed: to wait for what comes of it"
# What may take long and is not done twice at a time: its line is said at once, not once the first is done.
_ONE_AT_A_TIME = {
    "sample-letter": STILL_ON_ITS_WAY,
    "checkup": "checkup: found one that is under way; allowed: to wait for its answer",
}
Words = Mapping[str, Any]


class SetUpDesk:
    """Each word is done by a thread of the workers: to read probes, or to write a file, may take seconds."""

    def __init__(self, place: SetUpPlace, workers: Workers) -> None:
        """Nothing is loaded for it before the first such word."""
        self._place = place
        self._workers = workers
        self._checks: dict[str, Check] = {}
        self._samples: Answering | None = None
        self._alone: set[str] = set()
        # What does not wait for each other goes in a lane of its own.
        self._words: dict[str, tuple[str, Callable[[Words], dict[str, Any]]]] = {
            "station-file": ("set-up file", self._station_file),
            "keep-file": ("set-up file", self._keep_file),
            "keep-password": ("set-up file", self._keep_password),
            "attached": ("set-up probes", self._attached),
            "read-probe": ("set-up probes", self._read_probe),
            "ice": ("set-up checks", self._ice),
            "light": ("set-up checks", self._light),
            "sample-letter": ("set-up letter", self._sample_letter),
            "checkup": ("set-up checkup", self._checkup),
        }

    def takes(self, request: Request) -> bool:
        """Whether a request is the set-up's; it will be answered."""
        asked = request.words.get("ask")
        if not isinstance(asked, str) or asked not in self._words:
            return False
        if asked in _ONE_AT_A_TIME:
            if asked in self._alone:
                request.answer({"error": _ONE_AT_A_TIME[asked]})
                return True
            self._alone.add(asked)
        lane, answer = self._words[asked]
        self._workers.submit(lambda: self._serve(request, answer), _nothing_left, lane=lane)
        return True

    def close(self) -> None:
        """End what reads by itself: a daemon that stops does not wait for it."""
        for check in [*self._checks.values()]:
            check.end()

    def _serve(self, request: Request, answer: Callable[[Words], dict[str, Any]]) -> None:
        asked = str(request.words["ask"])
        try:
            told = self._told(request, answer)
        finally:
            self._alone.discard(asked)
        if told is None:
            return
        request.answer(told)
        if request.words.get("ask") == "keep-file" and "kept" in told:
            request.sent(_SENT_S)
            self._place.kept()

    def _told(self, request: Request, answer: Callable[[Words], dict[str, Any]]) -> dict[str, Any] | None:
        """The answer; None where nobody waits for it any more, and nothing was done."""
        if not request.wanted():
            return None
        try:
            return answer(request.words)
        except _REFUSED as error:
            return _refusal(error)
        except Exception:
            log.exception("set-up: %s", request.words.get("ask"))
            return {"error": "inbox: the daemon failed at this; its log says how"}

    def _station_file(self, _words: Words) -> dict[str, Any]:
        from daemon.setting_up.file_desk import station_file

        return station_file(self._place)

    def _keep_file(self, words: Words) -> dict[str, Any]:
        from daemon.setting_up.file_desk import keep_file

        return keep_file(self._place, text(words, "text"), text(words, "instead_of"))

    def _keep_password(self, words: Words) -> dict[str, Any]:
        from daemon.setting_up.password_desk import keep_password

        return keep_password(self._place, words)

    def _attached(self, _words: Words) -> dict[str, Any]:
        from daemon.commissioning.machine import Machine
        from daemon.setting_up.probes_desk import attached

        return attached(self._place, Machine(environ=self._place.environ))

    def _read_probe(self, words: Words) -> dict[str, Any]:
        from daemon.commissioning.machine import Machine
        from daemon.setting_up.probes_desk import read_probe

        return read_probe(words, self._place, Machine(environ=self._place.environ))

    def _ice(self, words: Words) -> dict[str, Any]:
        from daemon.commissioning.machine import Machine
        from daemon.setting_up.ice_desk import IceDesk

        if "ice" not in self._checks:
            self._checks["ice"] = IceDesk(Machine(environ=self._place.environ), self._start("set-up ice"))
        return self._checks["ice"].answer(words)

    def _light(self, words: Words) -> dict[str, Any]:
        from daemon.commissioning.machine import Machine
        from daemon.setting_up.light_desk import LightDesk

        if "light" not in self._checks:
            machine = Machine(environ=self._place.environ)
            self._checks["light"] = LightDesk(self._place, machine, self._start("set-up light"))
        return self._checks["light"].answer(words)

    def _sample_letter(self, words: Words) -> dict[str, Any]:
        from daemon.commissioning.machine import Machine
        from daemon.setting_up.sample_desk import SampleDesk

        if self._samples is None:
            self._samples = SampleDesk(self._place, Machine(environ=self._place.environ))
        return self._samples.answer(words)

    def _checkup(self, words: Words) -> dict[str, Any]:
        from daemon.setting_up.checkup_desk import CheckupDesk

        if "checkup" not in self._checks:
            self._checks["checkup"] = CheckupDesk(self._place)
        return self._checks["checkup"].answer(words)

    def _start(self, lane: str) -> Callable[[Callable[[], None]], None]:
        """What does a task in a lane of its own."""
        return lambda task: self._workers.submit(task, _nothing_left, lane=lane)


class Answering(Protocol):
    """What keeps something from one request to the next."""

    def answer(self, words: Words) -> dict[str, Any]:
        """Do what the words say, and tell how it stands."""


class Check(Answering, Protocol):
    """A check that is at work by itself, until it is ended."""

    def end(self) -> None:
        """Do no more."""


class Sifted:
    """What comes by the inbox, but for the set-up's words, which the desk takes."""

    def __init__(self, inbox: Inbox, desk: SetUpDesk) -> None:
        """Both stay their owner's."""
        self._inbox = inbox
        self._desk = desk

    def requests(self) -> list[Request]:
        """What has come since the last call and is left for others, in order."""
        return [request for request in self._inbox.requests() if not self._desk.takes(request)]


def _refusal(error: Exception) -> dict[str, Any]:
    faults = error.faults if isinstance(error, InputError) else ()
    return {"error": str(error), **({"faults": list(faults)} if len(faults) > 1 else {})}


def _nothing_left(_result: object, error: Exception | None) -> None:
    if error is not None:
        log.error("set-up: %s", error)
