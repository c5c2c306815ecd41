"""One Friday of the shelf of every stage: for each kind of letter the moment at which it has its reason."""

from collections.abc import Iterator

from daemon.stages import RUNNING, Stage
from sensors.reading import Quality
from tests.kit.desks import moment
from tests.kit.vessel_at_stage import FRIDAY, Shelf


def reasons(shelf: Shelf) -> Iterator[tuple[str, str]]:
    """Make each kind's reason stand, one after another: the kind and what it is about, at its moment."""
    yield "return", "they are back after a day off"
    shelf.live(at("13:30"))
    for kind in ("leave", "hatch", "harvest", "feed"):
        yield kind, "they leave for the weekend"
    yield "nightly", "nothing was the matter"
    shelf.live(at("15:00"), water_c=9.5)
    yield "cold", "cold"
    shelf.live(at("16:00"), water_c=31.5, lux=300.0)
    shelf.judge()
    yield "hot", "hot"
    yield "swing", "cold and hot within a day"
    shelf.live(at("17:00"), lux=300.0)
    shelf.judge()
    yield "lamp", "lit two hours after its time"
    shelf.live(at("18:00"))
    shelf.live(at("19:00"), lux=2.0, thermometers=Quality.ABSENT)
    yield "lamp", "dark in its hours"
    yield "probe", "absent"
    shelf.tell("remove", 0.17, RUNNING - {Stage.HARVESTED})
    shelf.be_off(at("21:00"))
    shelf.judge()
    yield "outage", "off for two hours"
    yield "water", "low"
    shelf.desks.clock_set, shelf.desks.free_bytes = False, 0
    shelf.live(at("22:00"))
    shelf.judge()
    shelf.tell("brine", 0.17, RUNNING - {Stage.HARVESTED}, salt_g_per_l=290.0)
    shelf.live(at("23:00"))
    shelf.judge()
    yield "water", "too salty"
    yield "storage", "the card is full"
    yield "clock", "nothing has set it for an hour"
    yield "nightly", "all of that was the matter"


def at(clock: str) -> int:
    """A moment of that Friday."""
    return moment(FRIDAY, clock)
