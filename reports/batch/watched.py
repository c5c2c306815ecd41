"""How much of a batch was watched, and whether any limit was passed: what the report may claim."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import night
from reports.batch.records import ToldBatch
from reports.records import VesselNight

# Of what was watched for less than this "no limit was passed" says little; our own choice, as of a night.
KNOWN_SHARE = night.KNOWN_SHARE
_DRAWN, _POURED = frozenset({"harvest", "remove"}), frozenset({"top-up", "brine"})
# Who draws off fills up again at once, or a day later at the most; later it is the water that stands low [P].
_TO_FILL = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class WatchedTime:
    """The share of the batch in which the water was read and believed, and how long each limit was passed.

    `low` and `salt` say that the calculated water or salt passed its limit at some time; `alarms` that any
    alarm stood.
    """

    share: float
    unread: timedelta
    cold: timedelta
    hot: timedelta
    low: bool
    salt: bool
    alarms: bool
    doubtful: bool

    @property
    def passed(self) -> bool:
        """Whether any limit was passed or any alarm stood."""
        beyond = self.cold + self.hot > timedelta(0)
        return beyond or self.low or self.salt or self.alarms

    @property
    def mostly(self) -> bool:
        """Whether nearly all of it is known."""
        return self.share >= KNOWN_SHARE and not self.doubtful


def watched(batch: ToldBatch) -> WatchedTime:
    """By the readings that are believed, and by what is calculated from them."""
    vessel, record = batch.vessel, batch.record
    whole = night.moment_utc(record.span.ended) - night.moment_utc(record.span.began)
    unread = sum((b - a for a, b in night.gaps(vessel.water_c, record.span)), timedelta(0))
    share = 1.0 - unread / whole if whole > timedelta(0) else 0.0
    cold, hot = _beyond(batch)
    kept = {one.at for one in vessel.salinity_g_per_kg}  # a vessel that was drawn off has no low water
    drawn = _drawn_off(vessel)
    low_g, high_g = vessel.salinity_low_g_per_kg, vessel.salinity_high_g_per_kg
    return WatchedTime(
        share=min(max(share, 0.0), 1.0),
        unread=unread,
        cold=cold,
        hot=hot,
        low=any(
            one.range.p50 >= vessel.low_ml and not any(began <= one.at < ended for began, ended in drawn)
            for one in vessel.loss_ml
            if one.at in kept
        ),
        salt=any(not low_g <= one.range.p50 <= high_g for one in vessel.salinity_g_per_kg),
        alarms=bool(vessel.open_alarms or vessel.past_alarms),
        doubtful=bool(record.doubts) or not record.clock_sure,
    )


def _drawn_off(vessel: VesselNight) -> list[tuple[datetime, datetime]]:
    """From when some was drawn off to when it was filled up."""
    poured = [one.at for one in vessel.deeds if one.kind in _POURED]
    return [
        (one.at, min([at for at in poured if at > one.at] + [one.at + _TO_FILL]))
        for one in vessel.deeds
        if one.kind in _DRAWN
    ]


def _beyond(batch: ToldBatch) -> tuple[timedelta, timedelta]:
    """A lone reading beyond its limit holds for no time, and has passed it all the same."""
    vessel = batch.vessel
    held = night.beyond(vessel, batch.record.span)
    values = [
        value for at, value in night.good(vessel.water_c) if at >= night.moment_utc(vessel.watched_from)
    ]
    least = timedelta(minutes=1)
    cold = max(held.cold, least) if any(value < vessel.cold_c for value in values) else held.cold
    hot = max(held.hot, least) if any(value > vessel.hot_c for value in values) else held.hot
    return cold, hot
