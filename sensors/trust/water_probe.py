"""One water thermometer on trial: believed until it does what water cannot, and again after behaving well."""

from collections import deque
from collections.abc import Callable, Mapping

from sensors.reading import Quality
from sensors.trust.air_course import BARE_K
from sensors.trust.half_hours import ProbeHalfHours
from sensors.trust.lamp_lag import lamp_moved_slowly
from sensors.trust.revision import Revision
from sensors.trust.room_lag import Follows, Sample, above_room_k, follows
from sensors.trust.slow_evidence import SlowEvidence
from sensors.trust.standstill import Standstill
from sensors.trust.sudden_change import ChangeCause, SuddenChange, at_rest, quick
from sensors.trust.water_limits import WaterLimits
from sensors.trust.way_back import TRACK_STEP_S, WILD_S, WayBack

_TRACK_S = 7200
_GAP_S = 1800
_LAG_SPAN_S = 3600
_LAG_EVERY = 5
_SHAPED_AT_MOST_S = 120
_CHANGES_FOR_S = 600
_MAYBE_FOR_S = 86_400
_STEADY, _RISE_S = 3, 180


class WaterProbe:
    """What is remembered of one probe: two hours of readings, and what it is suspected of."""

    def __init__(
        self, probe: str, water: WaterLimits, sample_every_s: int, lit: Callable[[int], bool] | None = None
    ) -> None:
        """`lit` says whether the lamp's hours include a moment; None where the vessel has none."""
        self._probe = probe
        self._water = water
        self._every_s = sample_every_s
        self._shapes = sample_every_s <= _SHAPED_AT_MOST_S
        self._track: deque[Sample] = deque(maxlen=_TRACK_S // TRACK_STEP_S + 1)
        self._base: Sample | None = None
        self._newest: Sample | None = None
        self._lit = lit
        self._half_hours = ProbeHalfHours(lit)
        self._slow = SlowEvidence(water.lag_s)
        self._standstill: Standstill | None = None
        self._change: SuddenChange | None = None
        self._way_back = WayBack()
        self._moves_since: int | None = None
        self._maybe_at: int | None = None
        self._taken = self._steady = 0
        self._revisions: list[Revision] = []
        self.quality = Quality.GOOD
        self.since = 0

    @property
    def now(self) -> int | None:
        """The time of the newest reading taken, Unix s."""
        return self._newest.at if self._newest else None

    def take(self, sample: Sample, neighbours_c: Mapping[str, float]) -> tuple[Quality, list[Revision]]:
        """The quality of one more reading, later than all before, and what it changes about earlier ones."""
        self._revisions = []
        self._mind_the_gap(sample)
        self._watch_stillness(sample, neighbours_c)
        self._watch_jump(sample)
        self._newest = sample
        if not self._track or sample.at - self._track[-1].at >= min(TRACK_STEP_S, self._every_s):
            self._follow(sample)
        self._watch_half_hours(sample)
        if self.quality is Quality.GOOD:
            self._base = sample
        return self.quality, self._revisions

    def doubt(self) -> str | None:
        """What is strange about it without being enough to distrust it."""
        now = self.now or 0
        if self.quality is not Quality.GOOD:
            return None
        if self._maybe_at is not None and now - self._maybe_at < _MAYBE_FOR_S:
            return "it changed like a thermometer that comes out of the water; maybe it hangs in air"
        if self._standstill is not None and self._standstill.doubtful(now):
            return "it has shown the same value for more than a day; maybe it is stuck"
        return self._slow.doubt()

    def _mind_the_gap(self, sample: Sample) -> None:
        newest = self._newest
        if newest is not None and sample.at - newest.at > max(_GAP_S, 3 * self._every_s):
            self._track.clear()
            # Nobody knows what was done meanwhile, and without a track no calm could show that it was poured.
            self._base = self._change = self._standstill = self._way_back.dipped_at = None
            if self.quality is Quality.JUMP:
                self._trust(sample)

    # Stuck ----------------------------------------------------------------------------------------------

    def _watch_stillness(self, sample: Sample, neighbours_c: Mapping[str, float]) -> None:
        standstill = self._standstill
        if standstill is None or standstill.value != sample.water_c:
            self._standstill = Standstill(sample.water_c, sample.at, sample.room_c, dict(neighbours_c))
            if self.quality is Quality.STUCK:
                self._watch_thaw(sample)
            return
        standstill.repeat(sample.at, sample.room_c, neighbours_c, self._water)
        if self.quality is Quality.STUCK:
            self._watch_thaw(sample)
        elif (
            standstill.must_have_moved and self.quality is Quality.GOOD and standstill.repeated_at is not None
        ):
            self._distrust(Quality.STUCK, standstill.repeated_at, sample.at)

    def _watch_thaw(self, sample: Sample) -> None:
        """A probe that moves again is believed ten minutes later, if it does not stand still anew."""
        if self._standstill is not None and self._standstill.count == 1 and self._moves_since is None:
            self._moves_since = sample.at
        if self._standstill is not None and sample.at - self._standstill.since >= 6 * _CHANGES_FOR_S:
            self._moves_since = None
        if self._moves_since is not None and sample.at - self._moves_since >= _CHANGES_FOR_S:
            self._trust(sample)

    # Jump -----------------------------------------------------------------------------------------------

    def _watch_jump(self, sample: Sample) -> None:
        base = self._base
        if base is None:
            return
        off_k = abs(sample.water_c - base.water_c)
        if self.quality is Quality.GOOD and off_k > self._water.jump_k(sample.at - base.at):
            self.quality, self.since = Quality.JUMP, sample.at
        elif self.quality is Quality.JUMP:
            young = sample.at - self.since <= max(WILD_S, self._every_s)
            if young and off_k <= self._water.jump_k(self._every_s):
                self._settle_wild(sample, off_k)
            elif not self._shapes:
                self._watch_sparse(sample)

    def _watch_sparse(self, sample: Sample) -> None:
        """Seldom read, a change has no shape: it is believed when three more readings go on from it."""
        newest = self._newest
        if newest is None:
            return
        steady = abs(sample.water_c - newest.water_c) <= self._water.jump_k(sample.at - newest.at)
        self._steady = self._steady + 1 if steady else 0
        if self._steady >= _STEADY:
            self._believe_jump(sample)

    def _believe_jump(self, sample: Sample) -> None:
        self._revisions.append(Revision(self._probe, self.since, sample.at, Quality.GOOD))
        self.quality, self._steady = Quality.GOOD, 0

    def _settle_wild(self, sample: Sample, off_k: float) -> None:
        """Back where it was: what lay between was no water and stays `jump`. (Or it was hardly off.)"""
        newest = self._newest
        if newest is not None and abs(sample.water_c - newest.water_c) <= off_k:
            self._believe_jump(sample)
            return
        while self._track and self._track[-1].at >= self.since:
            self._track.pop()
        self._change = None
        self.quality = Quality.GOOD

    # In air ---------------------------------------------------------------------------------------------

    def _follow(self, sample: Sample) -> None:
        self._track.append(sample)
        self._taken += 1
        while self._track[0].at < sample.at - _TRACK_S:
            self._track.popleft()
        if self.quality is Quality.IN_AIR:
            blind = self._slow.blind(sample.at)
            quiet, dip = blind or self._slow.leans_to_water, blind or self._shapes
            if self._way_back.taken(self._track, quiet=quiet, dip=dip):
                self._trust(sample)
        elif self.quality is not Quality.STUCK and self._shapes:
            self._watch_change(sample)
        if self._taken % _LAG_EVERY == 0:
            self._watch_lag(sample)

    def _watch_change(self, sample: Sample) -> None:
        if self._change is None:
            if len(self._track) > 1 and quick(self._track):
                self._change = SuddenChange(self._track, self._water)
            return
        cause = self._change.take(sample, moved_quickly=quick(self._track, self._change.quick_k()))
        if cause is None or (cause is ChangeCause.AIR and self._is_heated(sample)):
            return
        change, self._change = self._change, None
        if (
            change.heated(sample)
            or self._water.is_held(sample.water_c)
            or (cause is ChangeCause.UNKNOWN and above_room_k(sample) > BARE_K[1])
        ):
            cause = ChangeCause.POURED
        if cause is ChangeCause.AIR:
            self._distrust(Quality.IN_AIR, change.began_at, sample.at)
            return
        self._maybe_at = change.began_at if cause is ChangeCause.UNKNOWN else None
        if self.quality is Quality.JUMP:
            self._believe_jump(sample)

    def _is_heated(self, sample: Sample) -> bool:
        before = next((s for s in reversed(self._track) if sample.at - s.at >= _RISE_S), sample)
        seconds = sample.at - before.at
        return seconds > 0 and self._water.is_heated(sample.water_c - before.water_c, seconds, sample.water_c)

    def _watch_lag(self, sample: Sample) -> None:
        """Air or water by the lag to the room; only what never moved quickly may speak for water."""
        in_air = self.quality is Quality.IN_AIR
        calm_at = self._way_back.quiet_since + WILD_S if in_air else 0
        track = [s for s in self._track if s.at >= calm_at]
        if not self._shapes or not track or sample.at - track[0].at < _LAG_SPAN_S:
            return
        found = follows(track, self._water.lag_s)
        if found is Follows.AIR and self.quality in (Quality.GOOD, Quality.JUMP):
            began = self._change.began_at if self._change else track[0].at
            self._distrust(Quality.IN_AIR, began, sample.at)
        elif in_air and at_rest(track):
            alone = self._slow.blind(sample.at)
            if found is Follows.WATER or (alone and lamp_moved_slowly(track, self._lit)):
                self._way_back.dipped_at = track[0].at
                self._trust(sample)

    def _watch_half_hours(self, sample: Sample) -> None:
        if self.quality not in (Quality.GOOD, Quality.IN_AIR):
            self._half_hours.drop()
            return
        half_hour = self._half_hours.take(sample)
        if half_hour is None:
            return
        if self.quality is Quality.GOOD:
            self._slow.in_water(half_hour)
            if self._slow.plainly_air:
                self._distrust(Quality.IN_AIR, self._slow.since, sample.at)
            return
        self._slow.in_air(half_hour)
        if self._slow.plainly_water:
            self._revisions.append(Revision(self._probe, self._slow.since, sample.at, Quality.GOOD))
            self._trust(sample)

    # Changes of mind ------------------------------------------------------------------------------------

    def _distrust(self, quality: Quality, since: int, now: int) -> None:
        self.quality, self.since = quality, since
        self._change = self._maybe_at = self._moves_since = None
        self._way_back.begin(now)
        self._half_hours.drop()
        if quality is Quality.IN_AIR:
            self._slow.fell(since)
        self._revisions.append(Revision(self._probe, since, now, quality))

    def _trust(self, sample: Sample) -> None:
        since = self._way_back.dipped_at if self._way_back.dipped_at is not None else sample.at
        while self._track and self._track[0].at < since:
            self._track.popleft()
        if self.quality is Quality.IN_AIR:
            self._half_hours.drop()
            self._slow.returned()
        self.quality = Quality.GOOD
        self._change = self._way_back.dipped_at = self._maybe_at = self._moves_since = None
