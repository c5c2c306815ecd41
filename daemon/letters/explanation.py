"""What the estimates rest on, as records for a report."""

from collections.abc import Sequence
from datetime import timedelta

from daemon.estimates.grounds import Grounds
from daemon.letters.conversions import as_range, local
from daemon.station import Station
from reports.explanation import Ground, Observations
from reports.records import Span


def as_records(station: Station, grounds: Sequence[Grounds]) -> list[Ground]:
    """A vessel's grounds for a report."""
    return [_ground(station, one) for one in grounds]


def _ground(station: Station, grounds: Grounds) -> Ground:
    span = Span(local(station, grounds.since), local(station, grounds.until))
    return Ground(
        model=grounds.model,
        quantities=grounds.quantities,
        span=span if grounds.read_h + grounds.unread_h > 0.0 else None,
        unread=timedelta(hours=grounds.unread_h),
        observations=tuple(
            Observations(lesson.kind, lesson.count, local(station, lesson.last_at))
            for lesson in grounds.lessons
        ),
        knowns=tuple((name, as_range(believed)) for name, believed in grounds.knowns.items()),
    )
