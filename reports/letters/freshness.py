"""What was read, and whether it is so now: what is older is said with its age."""

from reports import amounts, times
from reports.language import say
from reports.letters.known import Fact, fact
from reports.records import Measured, Setting


def is_fresh(setting: Setting, read: Measured) -> bool:
    """Whether a reading speaks of the moment at which the letter is written."""
    return times.elapsed(read.at, setting.written_at) <= setting.fresh_for


def water_read(setting: Setting, water_c: Measured | None) -> Fact:
    """ "Water now: 17.4 °C", or when it was last read where that is longer ago."""
    if water_c is None:
        return fact(say("Water"), amounts.not_known())
    return _read(setting, water_c, say("Water now"), say("Water last read"))


def room_read(setting: Setting, room_c: Measured) -> Fact:
    """The room's air, with its age where that is not of now."""
    return _read(setting, room_c, say("Room air"), say("Room air last read"))


def _read(setting: Setting, read: Measured, now: str, before: str) -> Fact:
    temperature = amounts.temperature(read.value, setting.unit)
    if is_fresh(setting, read):
        return fact(now, temperature)
    when = times.moment(read.at, setting.written_at)
    return fact(before, say("{temperature}, {when}", temperature=temperature, when=when))
