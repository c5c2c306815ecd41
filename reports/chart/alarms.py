"""The alarms of a vessel for its strip: those that stand, and those that somebody silenced, which says so."""

from reports import times
from reports.language import say
from reports.records import Event, SilencedAlarm, VesselNight


def alarm_events(vessel: VesselNight) -> tuple[Event, ...]:
    """Each at the moment from which it stands, or stands aside."""
    return (
        *vessel.open_alarms,
        *(Event(alarm.since, alarm.kind, _silenced(alarm)) for alarm in vessel.silenced),
    )


def _silenced(alarm: SilencedAlarm) -> str:
    if alarm.until is None:
        return say("silenced, out of service: {alarm}", alarm=alarm.text)
    return say("silenced until {until}: {alarm}", until=times.short_moment(alarm.until), alarm=alarm.text)
