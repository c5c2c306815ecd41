"""What alarms know after a restart: what they knew before it."""

from pathlib import Path

import pytest

from daemon.alarms.conditions import AlarmKey
from daemon.assembly import assemble
from sensors.reading import Quality
from tests.kit.desks import HOUR, Desks, moment, tray_station

PROBE = AlarmKey("tray", "probe", "water")


def room(_at: int) -> float:
    return 20.0


@pytest.mark.parametrize(
    ("minutes", "seen", "told"), [(20, False, False), (180, False, False), (180, True, True)]
)
def test_a_restart_leaves_a_probe_its_half_day_to_be_seen_back_in_water(
    tmp_path: Path, minutes: int, seen: bool, told: bool
) -> None:
    """It hung in the air of an emptied vessel, which is no fault; set anew, it is slow to be believed.

    One that was seen in water since the set, and is in the air again, is a fault.
    """
    desks = Desks(tray_station(), tmp_path, moment(13, "08:00"))
    desks.tell("set", 0.05)
    desks.live(moment(13, "09:00"), room)
    desks.tell("end")
    desks.live(moment(13, "12:00"), room, quality=Quality.IN_AIR)
    desks.tell("set", 0.05)
    if seen:
        desks.live(desks.at + 600, room)
    desks.live(desks.at + minutes * 60, room, quality=Quality.IN_AIR)
    assert desks.alarms.watch.alarm(PROBE).active is told
    desks.alarms = assemble(desks.station, desks.store.connection, desks.at).alarms
    desks.alarms.take_up(desks.at)
    desks.live(desks.at + 3 * HOUR, room, quality=Quality.IN_AIR)
    assert desks.alarms.watch.alarm(PROBE).active is told
