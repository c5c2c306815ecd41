"""The word `sample-letter`: a letter sent by the ways out of a text that is not kept yet."""

import logging
import threading
from collections import deque
from collections.abc import Mapping
from math import ceil
from typing import Any

from daemon.commissioning.machine import Machine
from daemon.errors import InputError, NaupliadError
from daemon.letters.sample import sample_of, where_to
from daemon.post.carrier import Carrier, Outgoing
from daemon.post.station_carriers import make_carriers
from daemon.requests.request_words import text
from daemon.seconds import HOUR_S, MINUTE_S
from daemon.setting_up.check import FAILED
from daemon.setting_up.desk import STILL_ON_ITS_WAY
from daemon.setting_up.file_desk import check_text
from daemon.setting_up.place import SetUpPlace

log = logging.getLogger(__name__)

# So that nobody writes to strangers in the station's name without end (judgement, no source).
_MOST_AN_HOUR = 6
# The page waits for half a minute; a way out may take two.
_PATIENCE_S = 25.0


class SampleDesk:
    """Sends a letter at a time, by all ways at once, and remembers how many there were in the last hour."""

    def __init__(self, place: SetUpPlace, machine: Machine, *, patience_s: float = _PATIENCE_S) -> None:
        """What has not come to an end after `patience_s` is answered as not delivered."""
        self._place = place
        self._machine = machine
        self._patience_s = patience_s
        self._sent_s: deque[float] = deque()
        self._ways: list[_Way] = []

    def answer(self, words: Mapping[str, Any]) -> dict[str, Any]:
        """Send it and tell what came of each way. Raises InputError where none is sent."""
        station = check_text(text(words, "text"), self._place)
        if station.post.server is None and station.webhook is None:
            raise InputError(
                f"sample letter: found no way out of the house in {self._place.config}, where letters are"
                " files; allowed: [post] with a mail server, or [webhook]"
            )
        if any(way.thread.is_alive() for way in self._ways):
            raise InputError(STILL_ON_ITS_WAY)
        state, environ = self._place.state, self._place.environ
        carriers = make_carriers(station, state, environ)
        letter = sample_of(station, int(self._machine.now()))
        self._count()
        self._ways = [
            _Way(name, carrier, letter, where_to(station, state, name, environ))
            for name, carrier in carriers.items()
        ]
        ends_s = self._machine.monotonic() + self._patience_s
        for way in self._ways:
            way.thread.join(max(0.0, ends_s - self._machine.monotonic()))
        return {"ways": [way.told(self._patience_s) for way in self._ways]}

    def _count(self) -> None:
        now_s = self._machine.monotonic()
        while self._sent_s and now_s - self._sent_s[0] >= HOUR_S:
            self._sent_s.popleft()
        if len(self._sent_s) >= _MOST_AN_HOUR:
            wait_min = ceil((self._sent_s[0] + HOUR_S - now_s) / MINUTE_S)
            raise InputError(
                f"sample letter: found {_MOST_AN_HOUR} within an hour; allowed: the next in {wait_min} min"
            )
        self._sent_s.append(now_s)


class _Way:
    """One way out, tried in a thread of its own: it may hang, and holds up no other."""

    def __init__(self, name: str, carrier: Carrier, letter: Outgoing, where: str) -> None:
        self._name = name
        self._carrier = carrier
        self._where = where
        self._came: tuple[bool, str] | None = None
        self.thread = threading.Thread(target=self._go, args=(letter,), name=f"sample {name}", daemon=True)
        self.thread.start()

    def told(self, patience_s: float) -> dict[str, Any]:
        """What came of it by now."""
        late = False, f"nothing came of it in {patience_s:g} s; it is tried for up to two minutes"
        delivered, account = self._came or late
        return {"way": self._name, "delivered": delivered, "account": account}

    def _go(self, letter: Outgoing) -> None:
        try:
            self._carrier.carry(letter)
        except NaupliadError as error:
            self._came = False, str(error)
        except Exception:
            log.exception("sample letter: %s", self._name)
            self._came = False, FAILED
        else:
            self._came = True, f"it is on its way to {self._where}"
