"""What people ask of a station: through the daemon's inbox, or of its store where no daemon runs."""

import sqlite3
from collections.abc import Mapping
from typing import Any

from daemon.requests.alarm_shelf_desk import REQUESTS, AlarmShelfDesk
from daemon.requests.care_desk import DEEDS_CHANGE, CareDesk
from daemon.requests.grounds_desk import GroundsDesk
from daemon.requests.request_words import wholes
from daemon.store import deliveries as delivery_store
from daemon.watching.beliefs import Beliefs


class RequestDesk:
    """Hands each request to the desk whose business it is."""

    def __init__(
        self,
        connection: sqlite3.Connection,
        beliefs: Beliefs,
        care: CareDesk,
        shelf: AlarmShelfDesk,
        grounds: GroundsDesk,
    ) -> None:
        """The desks belong to one station."""
        self._connection = connection
        self._beliefs = beliefs
        self._care = care
        self._shelf = shelf
        self._grounds = grounds

    def ready(self, words: Mapping[str, Any], now: int) -> bool:
        """Whether a request can be answered at once; where not, a stretch of what it needs was done."""
        return words.get("ask") not in DEEDS_CHANGE or self._care.ready(words, now)

    def answer(self, words: Mapping[str, Any], now: int, by: str = "") -> dict[str, Any]:
        """The answer to a request of somebody's, `by` login name; empty where it is not known.

        Raises InputError for one that makes no sense.
        """
        wanted = words.get("ask")
        if wanted == "post":
            return {"letters": delivery_store.try_now(self._connection, now, wholes(words, "letters"))}
        if wanted == "grounds":
            return self._grounds.answer(words, now)
        if wanted == "ahead":
            return self._grounds.ahead(words, now)
        if str(wanted).startswith("start "):
            from daemon.requests import start_desk  # of years that a daemon runs, some weeks need it

            return start_desk.answer(self._grounds.station, self._connection, words, now)
        if str(wanted).startswith("experiment "):
            from daemon.requests.experiment_desk import answer  # of years that a daemon runs, a day needs it

            return answer(self._connection, words, now)
        if str(wanted).startswith("tin "):
            from daemon.requests import tin_desk  # likewise

            answered = tin_desk.answer(self._connection, words, now)
            self._beliefs.know_tests(now)
            return answered
        if wanted in REQUESTS:
            return self._shelf.answer(words, now, by)
        return self._care.answer(words, now)
