"""Water or air, from half hours: odds that add up until they are plain.

Two models say of each half hour how likely it was, in water and in air. The logarithms of their odds are
added up and never fall below nought: Page's test (Page 1954, Biometrika 41). It begins anew wherever one
model explains all as well as the other does, so it says since when, too, and needs no window. What the
threshold lets through is measured: docs/explanation/trust.md.
"""

from collections import deque
from math import log

from sensors.trust.air_course import AirCourse, BareCourse
from sensors.trust.half_hours import HALF_HOUR_S, ProbeHalfHour
from sensors.trust.under_lamp import UnderLamp
from sensors.trust.water_course import WaterCourse

_PLAIN = 11.0  # e^11: sixty thousand to one
_STRANGE = 8.0
_STRANGE_NO_MORE = 4.0
_KNOWN_FOR = 24  # half hours; what is not known for so long has to be plain
_BACK = 16.0  # a bare probe in a slow sun looks like water for hours
_LEANS = 5.0
_GAP_S = 3 * 3600
_REMEMBERED = 8  # half hours: a fall that its shape gives away is known within three hours


class SlowEvidence:
    """What the half hours of one probe say; they speak against what is believed of it `since` (Unix s)."""

    def __init__(self, lag_s: float) -> None:
        """`lag_s` is the vessel's usual lag to the room."""
        self._lag_s = lag_s
        self._water: WaterCourse | None = None
        self._air: AirCourse | None = None
        self._bare: BareCourse | None = None
        self._before: WaterCourse | None = None
        self._recent: deque[WaterCourse] = deque(maxlen=_REMEMBERED)
        self._under_lamp = UnderLamp()
        self._known = 0
        self._strange = False
        self._odds = self._heard_at = 0.0
        self.since = 0

    @property
    def plainly_air(self) -> bool:
        """Whether it is plain that a probe believed in water is not."""
        return self._odds >= _PLAIN

    @property
    def plainly_water(self) -> bool:
        """Whether it is plain that a probe believed in air is in water."""
        return self._odds >= _BACK

    @property
    def leans_to_water(self) -> bool:
        """Whether a probe believed in air may well be in water."""
        return self._odds >= _LEANS

    def blind(self, now: int) -> bool:
        """Whether nothing can be said: the room is not read."""
        return now - self._heard_at > _GAP_S

    def doubt(self) -> str | None:
        """What is strange about a probe that is believed in water."""
        if self._strange:
            return "it follows the air of the room as no water does; maybe it hangs in air"
        if self._under_lamp.strange:
            return "it has been as warm as the room for six hours under the lamp; maybe it hangs in air"
        return None

    def in_water(self, now: ProbeHalfHour) -> None:
        """One more half hour of a probe that is believed to be in water."""
        self._heard_at, self._known = now.at, self._known + 1
        if self._water is None or self._air is None or now.at - self._water.newest.at > _GAP_S:
            known = self._water or self._before
            self._water = WaterCourse.begun(now, self._lag_s) if known is None else known.again(now)
            self._begin_air(now)
            self._strange = False
            return
        water, self._water = self._water.next(now)
        air, self._air = self._air.next(now)
        self._odds += log(air / water)
        if self._odds <= 0.0:
            self._begin_air(now)
        least = _STRANGE_NO_MORE if self._strange else _STRANGE if self._known >= _KNOWN_FOR else _PLAIN
        self._strange = self._odds >= least
        self._under_lamp.take(now, self._odds)
        self._recent.append(self._water)

    def in_air(self, now: ProbeHalfHour) -> None:
        """One more half hour of a probe that is believed to be in air."""
        self._heard_at = now.at
        bare = self._bare or BareCourse.begun(self._air or AirCourse.begun(now.at))
        air, self._bare = bare.next(now)
        if self._water is not None and now.at - self._water.newest.at <= _GAP_S:
            water, self._water = self._water.next(now)
            self._odds += log(water / air)
            if self._odds > 0.0:
                return
        # It came back in the half hour after this one, at the earliest: what that holds is not believed.
        self._odds, self.since = 0.0, now.began + 2 * HALF_HOUR_S
        self._water = WaterCourse.begun(now, self._lag_s) if self._before is None else self._before.again(now)

    def fell(self, since: int) -> None:
        """From then on it is believed in air; what the vessel did before is kept for its return."""
        earlier = (course for course in reversed(self._recent) if course.newest.at < since)
        self._before = next(earlier, self._before)
        if since > self.since + HALF_HOUR_S:
            self._air = None
        self._odds, self._water, self._bare = 0.0, None, None
        self._under_lamp, self._known, self._strange = UnderLamp(), 0, False
        self._recent.clear()

    def returned(self) -> None:
        """From now on it is believed in water again."""
        self._odds, self._air = 0.0, None

    def _begin_air(self, now: ProbeHalfHour) -> None:
        self._odds, self.since = 0.0, now.began
        self._air, self._before = AirCourse.begun(now.at), self._water
