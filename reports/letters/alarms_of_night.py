"""What is not well after a night, or not known: alarms that stand, are over or silenced; doubts; gaps."""

from collections.abc import Callable, Hashable, Sequence
from datetime import datetime
from typing import TypeVar

from reports import night, times, words
from reports.language import say
from reports.letters.blocks import Facts
from reports.letters.clock import put_right
from reports.letters.known import listed
from reports.letters.past_alarm import in_doubt, past_alarms, silenced
from reports.letters.sentences import readings_came, station_off
from reports.records import Event, NightRecord, PastAlarm, SilencedAlarm, VesselNight

_Alarm = TypeVar("_Alarm", Event, PastAlarm, SilencedAlarm)


def not_well(record: NightRecord, now: datetime) -> list[Facts]:
    """What is not well, or not known, a line each; nothing where all is."""
    lines = [
        *(_open(names, alarms, now) for names, alarms in _alike(record, lambda one: one.open_alarms, _kind)),
        *(
            say("{vessel}: {text}", vessel=listed(names), text=silenced(alarms[0], now))
            for names, alarms in _alike(record, lambda one: one.silenced, lambda one: one)
        ),
        *(_past(names, alarms, now) for names, alarms in _alike(record, lambda one: one.past_alarms, _fate)),
        *(in_doubt(doubt, now) for doubt in record.doubts),
        *_unread(record),
        *_clock(record, now),
        *(station_off(off, now) for off in record.outages),
    ]
    return [Facts(say("What is not well, or not known"), tuple(lines))] if lines else []


def _kind(alarm: Event) -> Hashable:
    return alarm.kind, alarm.text


def _fate(alarm: PastAlarm) -> Hashable:
    return alarm.kind, alarm.text, alarm.afterwards


def _alike(
    record: NightRecord,
    of: Callable[[VesselNight], Sequence[_Alarm]],
    key: Callable[[_Alarm], Hashable],
) -> list[tuple[list[str], list[_Alarm]]]:
    """Alarms that say the same, with the names of their vessels; of a probe that vessels share, once."""
    groups: dict[Hashable, tuple[list[str], list[_Alarm]]] = {}
    for vessel in record.vessels:
        for alarm in of(vessel):
            names, alarms = groups.setdefault(key(alarm), ([], []))
            names += [words.clean(vessel.vessel)] if words.clean(vessel.vessel) not in names else []
            alarms.append(alarm)
    return list(groups.values())


def _open(names: Sequence[str], alarms: Sequence[Event], now: datetime) -> str:
    first = min(alarms, key=lambda alarm: alarm.at.timestamp())
    values = {"vessel": listed(names), "text": words.begun(first.text), "when": times.moment(first.at, now)}
    if len({alarm.at for alarm in alarms}) == 1:
        return say("{vessel}: {text}, since {when}. Still open.", **values)
    return say("{vessel}: {text}, first since {when}. Still open.", **values)


def _past(names: Sequence[str], alarms: Sequence[PastAlarm], now: datetime) -> str:
    (text,) = past_alarms(alarms, now)
    return say("{vessel}: {text}", vessel=listed(names), text=text)


def _unread(record: NightRecord) -> list[str]:
    lines = []
    if night.share_read(record) < night.KNOWN_SHARE:
        came = readings_came(record.readings_good, record.readings_expected)
        lines.append(" ".join([came, say("What happened in between is not known.")]))
    if blind := [words.clean(vessel.vessel) for vessel in night.blind_vessels(record)]:
        lines.append(
            say(
                "The water of {names} was not read all the time.",
                names=listed(blind),
            )
        )
    return lines


def _clock(record: NightRecord, now: datetime) -> list[str]:
    lines = []
    if not record.clock_sure:
        lines.append(say("The station's clock may have been wrong, and so may the hours in this letter."))
    if record.clock_put_right is not None:
        lines.append(put_right(record.clock_put_right, now))
    return lines
