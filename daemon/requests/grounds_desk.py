"""Why the numbers are what they are, by what the daemon believes."""

from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.estimates.vessel import VesselBelief
from daemon.input.file import shown
from daemon.requests.grounds_words import grounds_written
from daemon.requests.request_words import text
from daemon.station import Station
from daemon.watching.beliefs import Beliefs


class GroundsDesk:
    """Says what a vessel's numbers rest on; it changes nothing."""

    def __init__(self, station: Station, beliefs: Beliefs) -> None:
        """Asked of these beliefs."""
        self.station = station
        self._beliefs = beliefs

    def answer(self, words: Mapping[str, Any], now: int) -> dict[str, Any]:
        """The grounds of a vessel's numbers at `now` (Unix s), model by model; none where no batch runs.

        Raises InputError where the station has no such vessel.
        """
        return {"grounds": [grounds_written(one) for one in self._belief(words).grounds(now)]}

    def ahead(self, words: Mapping[str, Any], now: int) -> dict[str, Any]:
        """What is known of a vessel's coming water and of a lot, for who plans a start.

        Raises InputError where the station has no such vessel.
        """
        from daemon.requests.start_words import learned_written  # for the few who plan

        return learned_written(self._belief(words), text(words, "lot", "") or None, now)

    def _belief(self, words: Mapping[str, Any]) -> VesselBelief:
        vessel = text(words, "vessel", "")
        if self.station.vessel(vessel) is None:
            ids = ", ".join(one.id for one in self.station.vessels)
            raise InputError(f"vessel: found {shown(vessel)}; allowed: {ids}")
        return self._beliefs.of(vessel)
