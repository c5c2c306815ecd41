"""Why the numbers are what they are, by what the daemon believes; and its answer, read back by who asked."""

from collections.abc import Mapping
from math import isfinite
from typing import Any

from daemon.errors import InputError
from daemon.estimates.grounds import Grounds, Lesson
from daemon.estimates.quantile import Estimate
from daemon.input.file import shown
from daemon.requests.request_words import text
from daemon.station import Station
from daemon.watching.beliefs import Beliefs


class GroundsDesk:
    """Says what a vessel's numbers rest on; it changes nothing."""

    def __init__(self, station: Station, beliefs: Beliefs) -> None:
        """Asked of these beliefs."""
        self._station = station
        self._beliefs = beliefs

    def answer(self, words: Mapping[str, Any], now: int) -> dict[str, Any]:
        """The grounds of a vessel's numbers at `now` (Unix s), model by model; none where no batch runs.

        Raises InputError where the station has no such vessel.
        """
        vessel = text(words, "vessel", "")
        if self._station.vessel(vessel) is None:
            ids = ", ".join(one.id for one in self._station.vessels)
            raise InputError(f"vessel: found {shown(vessel)}; allowed: {ids}")
        return {"grounds": [_written(one) for one in self._beliefs.of(vessel).grounds(now)]}


def grounds_read(answer: Mapping[str, Any]) -> list[Grounds]:
    """The grounds in an answer of `GroundsDesk`. Raises InputError for an answer of another kind."""
    try:
        return [_read(one) for one in answer["grounds"]]
    except (KeyError, TypeError, ValueError, OverflowError, AttributeError) as error:
        raise InputError("grounds: found an answer of another version; start the daemon anew") from error


def _written(one: Grounds) -> dict[str, Any]:
    return {
        "model": one.model,
        "quantities": one.quantities,
        "since": one.since,
        "until": one.until,
        "read_h": one.read_h,
        "unread_h": one.unread_h,
        "lessons": [[lesson.kind, lesson.count, lesson.last_at] for lesson in one.lessons],
        "knowns": {
            name: _ends(known) for name, known in one.knowns.items() if all(map(isfinite, _ends(known)))
        },
    }


def _ends(known: Estimate) -> list[float]:
    return [known.p10, known.p50, known.p90]


def _read(one: Mapping[str, Any]) -> Grounds:
    return Grounds(
        model=one["model"],
        quantities=tuple(one["quantities"]),
        since=int(one["since"]),
        until=int(one["until"]),
        read_h=float(one["read_h"]),
        unread_h=float(one["unread_h"]),
        lessons=tuple(Lesson(kind, int(count), int(last_at)) for kind, count, last_at in one["lessons"]),
        knowns={name: Estimate(*map(float, ends)) for name, ends in one["knowns"].items()},
    )
