"""When a trouble must have been told, from what was truly so in the simulated room and the documented delays.

The delays are those of docs/reference/alarms.md, quiet hours and mornings of docs/explanation/saying.md:
the product's promises, written down here a second time.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from daemon.play.story_world import StoryWorld
from daemon.play.world.vessel import Truth
from daemon.play.world.world import attended
from tests.kit.kinds.calendar import ZONE

HOUR_S, MINUTE_S = 3600, 60
_MORNING, _EVENING = time(7, 15), time(20, 0)
_WRITING_S = 10 * MINUTE_S  # a letter is written at a beat, and some beats may be needed
_COLD_S, _HOT_S, _PROBE_S, _LAMP_S = 60 * MINUTE_S, 10 * MINUTE_S, 15 * MINUTE_S, 30 * MINUTE_S
_READS_C = 0.1  # a DS18B20's step of 1/16 °C and its noise
# What is calculated of the loss in the first weeks may be that far off: our own allowance.
_LEVEL_KNOWN = 1.5
_SUNLIT_S = 30 * MINUTE_S  # a probe in the sun reads some tenths more than the water has
URGENT_C = 33.0


@dataclass(frozen=True, slots=True)
class Scene:
    """A trial that was played: the world that knows the truth, the vessel, when the trouble began."""

    world: StoryWorld
    vessel: str
    began: int

    @property
    def beats_s(self) -> int:
        """Two beats: a reading that begins it, and one more."""
        return 2 * self.world.story.station.sample_every_s

    def first(self, so: Callable[[Truth], bool], lasts_s: int) -> int | None:
        """When something has been so for so long without a pause, from the trouble on; None: never."""
        since: int | None = None
        for at in range(self.began, self.world.story.ends, MINUTE_S):
            if not so(self.world.truth(at)[self.vessel]):
                since = None
            elif since is None:
                since = at
            if since is not None and at - since >= lasts_s:
                return at
        return None


Window = tuple[int, int] | None
"""From when to when it must be told; None where there is nothing to tell."""


def out_of_quiet(at: int) -> int:
    """`at`, or the morning after it where it lies in quiet hours."""
    local = datetime.fromtimestamp(at, ZONE)
    if _MORNING <= local.time() < _EVENING:
        return at
    day = local.date() + timedelta(days=local.time() >= _EVENING)
    return int(datetime.combine(day, _MORNING, ZONE).timestamp())


def with_somebody(scene: Scene, at: int) -> int:
    """`at` where somebody is in the room, or the morning before somebody comes."""
    local = datetime.fromtimestamp(at, ZONE)
    station = scene.world.story.station
    if attended(station, local):
        return at
    day = local.date() + timedelta(days=local.time() >= time(8, 0))
    while not attended(station, datetime.combine(day, time(9, 0), ZONE)):
        day += timedelta(days=1)
    return int(datetime.combine(day, _MORNING, ZONE).timestamp())


def cold(scene: Scene) -> Window:
    """Sixty minutes below the limit, or foreseen before; not in quiet hours."""
    cold_c = _limits(scene)[0]
    at = scene.first(lambda truth: _kept(truth) and truth.water_c < cold_c - _READS_C, _COLD_S)
    return None if at is None else (scene.began, out_of_quiet(at + scene.beats_s) + _WRITING_S)


def hot(scene: Scene) -> Window:
    """Ten minutes above the limit, or foreseen before; not in quiet hours."""
    hot_c = _limits(scene)[1]
    at = scene.first(lambda truth: truth.water_c > hot_c + _READS_C, _HOT_S)
    return None if at is None else (scene.began, out_of_quiet(at + scene.beats_s) + _WRITING_S)


def urgent(scene: Scene) -> Window:
    """Ten minutes above 33 °C: at once, at any hour, and not before it was read."""
    passes = scene.first(lambda truth: truth.water_c > URGENT_C - _READS_C, 0)
    at = scene.first(lambda truth: truth.water_c > URGENT_C + _READS_C, _HOT_S)
    return None if at is None or passes is None else (passes - _SUNLIT_S, at + scene.beats_s + _WRITING_S)


def low_water(scene: Scene) -> Window:
    """The water at the low mark, as well as it can be known; to somebody who can fill it."""
    vessel = next(v for v in scene.world.story.station.vessels if v.id == scene.vessel)
    at = scene.first(lambda truth: truth.loss_ml >= _LEVEL_KNOWN * vessel.low_ml, 0)
    return None if at is None else (scene.began, with_somebody(scene, at + HOUR_S) + _WRITING_S)


def within(first_s: int, last_s: int) -> Callable[[Scene], Window]:
    """So long after it began, and not in quiet hours."""
    return lambda scene: (scene.began + first_s, out_of_quiet(scene.began + last_s) + _WRITING_S)


def probe_gone(scene: Scene) -> Window:
    """A quarter of an hour without a reading, and when somebody comes who can plug it in."""
    return (scene.began, with_somebody(scene, scene.began + _PROBE_S + scene.beats_s) + _WRITING_S)


def lamp_dark(scene: Scene) -> Window:
    """Half an hour dark in lamp hours, which begin at six in the evening."""
    evening = datetime.combine(datetime.fromtimestamp(scene.began, ZONE).date(), time(18, 0), ZONE)
    on_at = int(evening.timestamp())
    return (on_at, on_at + _LAMP_S + scene.beats_s + _WRITING_S)


def morning(scene: Scene) -> Window:
    """The morning before somebody comes."""
    at = with_somebody(scene, scene.began)
    return (at - HOUR_S, at + _WRITING_S)


def _kept(truth: Truth) -> bool:
    """Whether there is water: an emptied vessel has the warmth of the room."""
    return truth.hatched_fraction is not None


def _limits(scene: Scene) -> tuple[float, float]:
    vessel = next(v for v in scene.world.story.station.vessels if v.id == scene.vessel)
    return vessel.cold_c, vessel.hot_c
