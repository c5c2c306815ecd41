"""What was read, and whether it is so now: what is older is said with its age."""

from reports import amounts, times
from reports.language import say
from reports.letters.known import Fact
from reports.records import Measured, Setting


def is_fresh(setting: Setting, read: Measured) -> bool:
    """Whether a reading speaks of the moment at which the letter is written."""
    return times.elapsed(read.at, setting.written_at) <= setting.fresh_for


def water_read(setting: Setting, water_c: Measured | None) -> Fact:
    """ "Water now: 17.4 °C", or when it was last read where that is longer ago."""
    if water_c is None:
        return Fact(say("Water"), amounts.not_known(), amounts.not_known())
    return _read(setting, water_c, say("Water now"), say("Water last read"), say("Water"))


def room_read(setting: Setting, room_c: Measured) -> Fact:
    """The room's air, with its age where that is not of now."""
    return _read(setting, room_c, say("Room air"), say("Room air last read"), say("Room air"))


def _read(setting: Setting, read: Measured, now: str, before: str, head: str) -> Fact:
    temperature = amounts.temperature(read.value, setting.unit)
    if is_fresh(setting, read):
        return Fact(now, temperature, temperature, head)
    when = times.moment(read.at, setting.written_at)
    old = say("{temperature}, {when}", temperature=temperature, when=when)
    return Fact(before, old, old, head)
