"""What was read, and whether it is so now: what is older is said with its age."""

from reports import amounts, times
from reports.language import say
from reports.records import Measured, Setting


def is_fresh(setting: Setting, read: Measured) -> bool:
    """Whether a reading speaks of the moment at which the letter is written."""
    return times.elapsed(read.at, setting.written_at) <= setting.fresh_for


def water_read(setting: Setting, water_c: Measured | None) -> str:
    """ "Water now: 17.4 °C.", or when it was last read where that is longer ago."""
    if water_c is None:
        return say("Water: not known.")
    temperature = amounts.temperature(water_c.value, setting.unit)
    if is_fresh(setting, water_c):
        return say("Water now: {temperature}.", temperature=temperature)
    return say(
        "Water last read: {temperature}, {when}.", temperature=temperature, when=_when(setting, water_c)
    )


def room_read(setting: Setting, room_c: Measured) -> str:
    """The room's air, with its age where that is not of now."""
    temperature = amounts.temperature(room_c.value, setting.unit)
    if is_fresh(setting, room_c):
        return say("Room air: {temperature}.", temperature=temperature)
    return say(
        "Room air last read: {temperature}, {when}.", temperature=temperature, when=_when(setting, room_c)
    )


def _when(setting: Setting, read: Measured) -> str:
    now = setting.written_at
    return say("{when}, {ago}", when=times.moment(read.at, now), ago=times.ago(times.elapsed(read.at, now)))
