"""What a deed changed, as the daemon answers it, in a line of the station's language."""

from collections.abc import Mapping
from typing import Any

from daemon.hours import local_time
from daemon.station import Station
from reports.deed_change import DeedChange, change_line
from reports.records import Range, TimeRange


def change_in_words(station: Station, changed: Mapping[str, Any], now: int) -> str | None:
    """The line, or None where nothing changed; `changed` is the answer's, `now` Unix seconds."""

    def moments(ends: Mapping[str, float | None]) -> TimeRange:
        spans = (ends[end] for end in ("p10", "p50", "p90"))
        return TimeRange(*(None if at is None else local_time(round(at), station.timezone) for at in spans))

    half = changed.get("hatch_t50")
    return change_line(
        DeedChange(
            station.language,
            local_time(now, station.timezone),
            half and (half["before"] and moments(half["before"]), moments(half["after"])),
            {
                name: (Range(**pair["before"]), Range(**pair["after"]))
                for name, pair in changed.items()
                if name != "hatch_t50" and pair["before"] is not None
            },
        )
    )
