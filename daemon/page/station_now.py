"""The station itself as the page shows it: probes, alarms, post, and what it keeps."""

from datetime import datetime, timedelta

from daemon.alarms.lifecycle import ACTIVE, State
from daemon.alarms.watch import alarm_keys
from daemon.hours import local_day, moment, morning_of_day, morning_of_weekday
from daemon.letters import storage
from daemon.letters.short_words import who_in_words
from daemon.letters.vessel_alarms import doubts, open_alarms, silenced_alarms
from daemon.page.glance import Glance
from daemon.page.night_list import letter_entry
from daemon.station import ProbePlan
from daemon.store import alarms as alarm_store
from daemon.store import deliveries as delivery_store
from daemon.store import letters as letter_store
from daemon.store import readings as reading_store
from daemon.store import shelved_alarms as shelf_store
from daemon.store.backup import BACKUPS, free_bytes, newest_day
from daemon.store.file import FILE_NAME
from reports.letters.page import lead_of
from reports.letters.record_full import RecordWaits
from reports.letters.storage import file_overlooked_letter
from reports.page.alarms import name_in, standing_in
from reports.page.station_alarms import AlarmsNow, AlarmStand
from reports.page.station_post import PostNow, WaitingLetter, Way
from reports.page.station_probes import ProbeStand
from reports.page.station_records import Keeping
from reports.records import Event, Measured, SilencedAlarm

_LAST_SENT = 5
_MONDAY = 0


def probes(glance: Glance) -> list[ProbeStand]:
    """Every probe of the station file, in its order."""
    doubted = doubts(glance.station, glance.connection, glance.at)
    return [_probe(glance, plan, doubted.get(plan.id)) for plan in glance.station.probes]


def _probe(glance: Glance, plan: ProbePlan, doubt: Event | None) -> ProbeStand:
    newest = reading_store.latest(glance.connection, plan.id)
    good = newest
    if newest is not None and not newest.good:
        good = reading_store.latest(glance.connection, plan.id, good=True)
    return ProbeStand(
        probe=plan.id,
        measures=plan.measures.value,
        vessels=tuple(vessel.id for vessel in glance.station.vessels if plan.id in vessel.probes),
        quality=None if newest is None else newest.quality.value,
        read_at=None if newest is None else glance.local(newest.at),
        good=None if good is None or good.value is None else Measured(good.value, glance.local(good.at)),
        doubt=doubt,
    )


def alarms(glance: Glance) -> AlarmsNow:
    """What stands, what is silenced, what nobody has seen."""
    known = {(key.vessel, key.condition, key.probe) for key in alarm_keys(glance.station)}
    rows = [
        row
        for row in alarm_store.standing(glance.connection, glance.at)
        if (row.vessel, row.condition, row.probe) in known
    ]
    states = [State(row.state) for row in rows]
    return AlarmsNow(
        standing=(*_of_station(glance), *_of_vessels(glance)),
        silenced=tuple(_silenced(glance)),
        over=states.count(State.RETURNED),
        unseen=State.UNACKNOWLEDGED in states or State.RETURNED in states,
        quiet_until=_quiet_until(glance),
    )


def _of_station(glance: Glance) -> list[AlarmStand]:
    return [
        AlarmStand(
            "",
            row.condition,
            standing_in(glance.language, row.condition, seen=State(row.state) is State.ACKNOWLEDGED),
            glance.local(row.since or row.at),
        )
        for row in alarm_store.standing(glance.connection, glance.at)
        if not row.vessel and State(row.state) in ACTIVE
    ]


def _of_vessels(glance: Glance) -> list[AlarmStand]:
    return [
        AlarmStand(vessel.id, alarm.kind, alarm.text, alarm.at)
        for vessel in glance.station.vessels
        for alarm in open_alarms(glance.station, glance.connection, vessel, glance.at)
    ]


def _silenced(glance: Glance) -> list[tuple[str, SilencedAlarm]]:
    of_station = [
        SilencedAlarm(
            shelf.condition,
            name_in(glance.language, shelf.condition),
            glance.local(shelf.at),
            None if shelf.until is None else glance.local(shelf.until),
            who_in_words(shelf.by, glance.language),
        )
        for shelf in shelf_store.standing(glance.connection, glance.at)
        if not shelf.vessel and shelf.condition
    ]
    of_vessels = [
        (vessel.id, one)
        for vessel in glance.station.vessels
        for one in silenced_alarms(glance.station, glance.connection, vessel, glance.at)
    ]
    return [*(("", one) for one in of_station), *of_vessels]


def _quiet_until(glance: Glance) -> datetime | None:
    ends = shelf_store.quiet_until(glance.connection, glance.at)
    return None if ends is None else glance.local(ends)


def alarms_there(glance: Glance) -> list[tuple[str, str]]:
    """Condition and vessel of every alarm the station can have."""
    return list(dict.fromkeys((key.condition, key.vessel) for key in alarm_keys(glance.station)))


def ends(glance: Glance) -> list[int]:
    """Until when something is likely to be put off, Unix seconds: this evening, tomorrow, Monday morning."""
    station, today = glance.station, local_day(glance.at, glance.station.timezone)
    found = (
        moment(today, station.post.nightly_at, station.timezone),
        morning_of_day(station, today + timedelta(days=1)),
        morning_of_weekday(station, _MONDAY, glance.at),
    )
    return [at for at in dict.fromkeys(found) if at > glance.at]


def post(glance: Glance) -> PostNow:
    """By which ways letters go, what waits, what went last."""
    server, webhook = glance.station.post.server, glance.station.webhook
    url = None if webhook is None else webhook.url
    return PostNow(
        mail_host=None if server is None else server.smtp_host,
        web_host=None if webhook is None else "" if url is None else url.host,
        waiting=tuple(_waiting(glance)),
        sent=tuple(
            letter_entry(glance, row) for row in letter_store.last_sent(glance.connection, _LAST_SENT)
        ),
    )


def _waiting(glance: Glance) -> list[WaitingLetter]:
    ways: dict[int, list[Way]] = {}
    for one in delivery_store.unfinished(glance.connection):
        ways.setdefault(one.letter, []).append(Way(one.carrier, one.attempts, one.trouble))
    held = letter_store.in_state(glance.connection, "held")
    going = [letter_store.one(glance.connection, letter_id) for letter_id in ways]
    return [WaitingLetter(letter_entry(glance, row), tuple(ways.get(row.id, ()))) for row in (*held, *going)]


def keeping(glance: Glance) -> Keeping:
    """Room on the disk, the records, their copies, and what befell them of late."""
    oldest = reading_store.oldest_at(glance.connection)
    return Keeping(
        free_mb=_free_mb(glance),
        records_mb=_records_mb(glance),
        began=None if oldest is None else glance.local(oldest),
        backup=newest_day(glance.state / BACKUPS),
        mishaps=tuple(_mishaps(glance)),
        waits=_waits(glance),
    )


def _free_mb(glance: Glance) -> float | None:
    try:
        return free_bytes(glance.state) / 1e6
    except OSError:
        return None


def _records_mb(glance: Glance) -> float | None:
    try:
        return (glance.state / FILE_NAME).stat().st_size / 1e6
    except OSError:  # put back or away at this moment
        return None


def _waits(glance: Glance) -> RecordWaits | None:
    if not glance.station.is_recorded:
        return None
    from daemon.letters.record_waiting import record_waits  # few stations are recorded

    return record_waits(glance.station, glance.connection, glance.at)


def _mishaps(glance: Glance) -> list[str]:
    """But for a station file that is not taken, which has a place of its own on the page."""
    place = glance.setting
    overlooked = storage.file_overlooked(glance.station, glance.connection)
    own = None if overlooked is None else lead_of(file_overlooked_letter(place, overlooked))
    leads = (
        lead_of(write(place)) for _, write in storage.mishaps(glance.station, glance.connection, glance.at)
    )
    return [lead for lead in leads if lead != own]
