"""J. How often, when and to whom: the budget, held for each kind and vessel, in every language."""

from collections.abc import Iterator
from datetime import timedelta

from daemon.letter_kinds import ABSENCES, OF_A_BATCH, PLANNED, UNPLANNED
from daemon.station import Vessel
from tests.kit.invariants import phrases
from tests.kit.invariants.calendar import in_hours
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Letter
from tests.kit.invariants.record import ACTIVE, KIND_OF, Record

HOUR_S, DAY_S, WEEK_S = 3600, 86_400, 7 * 86_400
# New 2002, FAO Fisheries Technical Paper 428: above it development stops. Only a reading is urgent.
URGENT_C = 33.0
# The handbook's budget (common practice, no source).
UNPLANNED_A_DAY, UNPLANNED_AN_ABSENCE, PLANNED_A_WEEK = 1, 2, 3
# What goes at the same hour of the next week goes a little earlier or later.
_A_WEEK_S = WEEK_S - HOUR_S
_A_KIND_A_WEEK = 3
# Said again where it became worse by so much (judgement, no source).
WORSE_K = 2.0
# Another night than those before (daemon/alarms/cold_nights.py; judgement, no source).
CLEARLY_K = 1.0


def urgent(record: Record, letter: Letter) -> bool:
    """Whether a reading of the last hours, of a vessel it is about, is above what the animals bear."""
    if letter.kind != "hot":
        return False
    waters = [record.water_of(vessel) for vessel in record.vessels_about(letter)]
    return any(
        value > URGENT_C
        for water in waters
        if water is not None
        for _, value in water.between(letter.written_at - DAY_S // 2, letter.written_at)
    )


def _asked_for(record: Record, letter: Letter) -> bool:
    """A kind that the station file wants told at any hour."""
    return letter.kind in getattr(record.station.post, "urgent", ())


def _unplanned(record: Record) -> list[Letter]:
    """Those in somebody's budget."""
    return [x for x in record.letters if x.kind in UNPLANNED and not urgent(record, x)]


def one_unplanned_letter_a_day(record: Record) -> Iterator[Finding]:
    """And two over an absence of a day and more."""
    unplanned = [x for x in _unplanned(record) if not _asked_for(record, x)]
    days: dict[object, int] = {}
    for letter in unplanned:
        day = record.local(letter.written_at).date()
        days[day] = days.get(day, 0) + 1
        if days[day] > UNPLANNED_A_DAY:
            yield of(record, letter, letter.subject, f"it is unplanned letter {days[day]} of {day}")
    for began, ended in record.calendar.absences():
        over = [x for x in unplanned if began <= x.written_at < ended - 12 * HOUR_S]
        for letter in over[UNPLANNED_AN_ABSENCE:]:
            yield of(record, letter, letter.subject, f"{len(over)} unplanned letters came over one absence")


def three_planned_letters_a_week(record: Record) -> Iterator[Finding]:
    """Beside the nightly ones: what is about a batch waits, or goes in a letter before or after an absence.

    But for a harvest that would be missed by then. Letters about absences come as the calendar has them, and
    are known before they come.
    """
    planned = [letter for letter in record.letters if letter.kind in PLANNED]
    for letter in planned:
        if letter.kind in ABSENCES or _would_be_missed(record, letter, planned):
            continue
        known = [x.sent_at for x in planned if x.sent_at <= letter.sent_at or x.kind in ABSENCES]
        ends = [at for at in known if 0 <= at - letter.sent_at < _A_WEEK_S]
        most = max(sum(1 for at in known if end - _A_WEEK_S < at <= end) for end in ends)
        if most > PLANNED_A_WEEK:
            yield of(record, letter, letter.subject, f"with it there are {most} planned letters in a week")


def _would_be_missed(record: Record, letter: Letter, planned: list[Letter]) -> bool:
    """Whether it is the first word of a harvest, and no letter about an absence comes before that closes."""
    if letter.kind != "harvest":
        return False
    for vessel in record.vessels_about(letter):
        opens = record.belief(vessel.id, "harvest_opens_at", letter.written_at)
        closes = record.belief(vessel.id, "harvest_closes_at", letter.written_at)
        set_at = record.set_at(vessel.id, letter.written_at) or 0
        told = any(
            x.kind == "harvest" and vessel.id in x.about and set_at <= x.sent_at < letter.sent_at
            for x in planned
        )
        reminds = told and opens is not None and opens.p50 <= letter.written_at
        sooner = closes is not None and any(
            x.kind in ABSENCES and letter.sent_at < x.sent_at <= closes.p50 for x in planned
        )
        if not reminds and not sooner:
            return True
    return False


def nothing_goes_in_quiet_hours(record: Record) -> Iterator[Finding]:
    """But heat that was read above 33 °C, and what was asked for; nor while somebody asked for silence."""
    quiet = record.station.post.quiet
    for letter in record.letters:
        if letter.kind not in (*UNPLANNED, *OF_A_BATCH, "return") or urgent(record, letter):
            continue
        if _held_by_the_post(letter) or _at_the_morning_hour(record, letter) or _asked_for(record, letter):
            continue
        if quiet is not None and in_hours(quiet, record.local(letter.sent_at)):
            yield of(
                record,
                letter,
                letter.subject,
                f"it went at {record.local(letter.sent_at):%H:%M}, in quiet hours",
            )
        if record.quiet(letter.sent_at):
            yield of(record, letter, letter.subject, "it went while somebody had asked for silence")


def _held_by_the_post(letter: Letter) -> bool:
    """It goes when the post is back, whatever the hour."""
    return letter.sent_at - letter.written_at > HOUR_S // 2


def _at_the_morning_hour(record: Record, letter: Letter) -> bool:
    """The hour that the station file names for letters, which may lie in its quiet hours."""
    local, morning = record.local(letter.sent_at), record.station.post.morning_at
    late = (local.hour - morning.hour) * 60 + local.minute - morning.minute
    return 0 <= late <= 25 + record.station.sample_every_s // 60


def _about_the_same(record: Record) -> Iterator[tuple[Letter, Letter]]:
    """Each unplanned letter with the last one before it of its kind and a vessel."""
    letters = [x for x in record.letters if x.kind in UNPLANNED]
    for place, letter in enumerate(letters):
        alike = [x for x in letters[:place] if x.kind == letter.kind and _shared(x, letter)]
        if alike and not urgent(record, letter):
            yield alike[-1], letter


def _shared(one: Letter, other: Letter) -> bool:
    return bool({*one.about} & {*other.about}) or (not one.about and not other.about and one.kind != "outage")


def nothing_is_said_twice_to_an_empty_room(record: Record) -> Iterator[Finding]:
    """The same kind about the same vessel, and nobody was there since."""
    for before, letter in _about_the_same(record):
        deeds = [one for one in record.deeds if before.sent_at < one.recorded_at <= letter.written_at]
        if not deeds and not record.calendar.anybody_between(before.sent_at, letter.written_at):
            but = f"letter {before.number} said it, and nobody was there since"
            yield of(record, letter, letter.subject, but)


def one_alarm_one_letter(record: Record) -> Iterator[Finding]:
    """An alarm that stood on is not told again: unless it became worse, or a week later without nightly."""
    for before, letter in _about_the_same(record):
        if set(letter.about) - set(before.about) or letter.kind == "outage":
            continue  # it tells of something new
        stood = [
            row
            for key in record.standing(letter.written_at)
            if KIND_OF.get(key[1]) == letter.kind
            and (key[0] in letter.about or not letter.about)
            and (row := record.raised(key, letter.written_at)) is not None
        ]
        old = stood and all(row.at <= before.written_at for row in stood)
        late = letter.sent_at - before.sent_at >= WEEK_S and not record.station.post.nightly
        if old and not late and not _worse(record, before, letter):
            yield of(
                record, letter, letter.subject, f"letter {before.number} told of it, and it stood on since"
            )


def _worse(record: Record, before: Letter, letter: Letter) -> bool:
    sign = {"cold": -1.0, "hot": 1.0}.get(letter.kind)
    if sign is None:
        return False
    for vessel in record.vessels_about(letter):
        water = record.water_of(vessel)
        then = None if water is None else water.last(before.written_at)
        if water is None or then is None:
            continue
        # A letter says how cold it was since, so what was read in a time of silence is news after it.
        since = water.between_then(before.written_at, letter.written_at, letter.written_at)
        if max((sign * (value - then[1]) for _, value in since), default=0.0) >= WORSE_K:
            return True
    return False


def not_again_within_a_day_without_a_change(record: Record) -> Iterator[Finding]:
    """Of one kind and vessel: a change is a deed, or an alarm of that kind raised since."""
    for before, letter in _about_the_same(record):
        if letter.sent_at - before.sent_at >= DAY_S or set(letter.about) - set(before.about):
            continue
        deeds = [one for one in record.deeds if before.written_at < one.recorded_at <= letter.written_at]
        raised = [
            row
            for row in record.alarms
            if before.written_at < row.at <= letter.written_at
            and KIND_OF.get(row.condition) == letter.kind
            and row.state in ACTIVE
            and record.raised(row.key, row.at) == row
        ]
        if not deeds and not raised and not _worse(record, before, letter) and letter.kind != "outage":
            hours = (letter.sent_at - before.sent_at) / HOUR_S
            yield of(record, letter, letter.subject, f"letter {before.number} said it {hours:.1f} h before")


def what_comes_each_night_is_not_told_each_night(record: Record) -> Iterator[Finding]:
    """Of a kind three in a week, for some vessel that a letter is about: unless it became worse than ever, or
    somebody asked for such letters at any hour.
    """
    unplanned = [x for x in _unplanned(record) if not _asked_for(record, x)]
    for letter in unplanned:
        alike = [
            x
            for x in unplanned
            if letter.written_at - WEEK_S < x.written_at < letter.written_at and x.kind == letter.kind
        ]
        vessels = record.vessels_about(letter) if letter.about else []
        of_each = [[x.written_at for x in alike if vessel.id in x.about] for vessel in vessels]
        of_each = of_each or [[x.written_at for x in alike]]
        if letter.kind == "outage" or min(map(len, of_each)) < _A_KIND_A_WEEK:
            continue  # what befalls a vessel for the first time is told, with those that are alike
        worse = (_worse_than_ever(record, letter, *one) for one in zip(vessels, of_each, strict=False))
        if not any(worse):
            but = f"it is the {min(map(len, of_each)) + 1}th such letter within a week"
            yield of(record, letter, letter.subject, but)


def _worse_than_ever(record: Record, letter: Letter, vessel: Vessel, told: list[int]) -> bool:
    """Whether it was read, or foreseen, clearly further out since the last of these letters than before."""
    sign, water = {"cold": -1.0, "hot": 1.0}.get(letter.kind), record.water_of(vessel)
    if sign is None or water is None:
        return False
    before = [sign * c for _, c in water.between(min(told), max(told))]
    since = [sign * c for c in water.valued(max(told) + 1, letter.written_at)]
    since += [
        sign * row.value
        for row in record.alarms
        if max(told) < row.at <= letter.written_at
        and (row.vessel, KIND_OF.get(row.condition)) == (vessel.id, letter.kind)
        and row.value is not None
    ]
    return bool(before and since) and max(since) - max(before) >= CLEARLY_K


def alarms_are_counted_by_what_failed(record: Record) -> Iterator[Finding]:
    """ "4 alarms open" for one probe that four vessels share is one."""
    for letter in record.letters if record.english else ():
        found = phrases.ALARMS_OPEN.pattern.search(f"{letter.subject}. {letter.lead}")
        if found is None or letter.kind not in ("nightly", "return"):
            continue
        named = [record.vessel(v) for v in letter.about] if letter.kind == "return" else []
        rows = [
            row for row in record.standing(letter.written_at).values() if row.state in ACTIVE and row.vessel
        ]
        rows = [row for row in rows if not named or row.vessel in letter.about]
        true = len({("probe", row.probe) if row.condition == "probe" else row.key for row in rows})
        if int(found[1]) != true:
            yield of(record, letter, found[0], f"{true} stand, a shared probe counted once")


def could_act(record: Record, letter: Letter) -> bool:
    """Whether somebody is in the room, or comes within three hours of a letter."""
    if record.calendar.span_at(letter.sent_at) is not None:
        return True
    arrival = record.calendar.next_arrival(letter.sent_at)
    return arrival is not None and arrival - letter.sent_at <= timedelta(hours=3).total_seconds()


def could_have_waited(record: Record, letter: Letter) -> bool:
    """Whether a planned letter came after it and before anybody, so that it told nobody in time to act."""
    if could_act(record, letter):
        return False
    arrival = record.calendar.next_arrival(letter.sent_at) or record.ended
    planned = (*PLANNED, "nightly")
    return any(x.kind in planned and letter.sent_at < x.sent_at <= arrival for x in record.letters)
