"""A. "All well" is said only where all that is watched is well, and nothing is to be done."""

from collections.abc import Iterator

from daemon.station import Vessel
from reports.letters.night_findings import FILL_ERROR_ML
from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Letter
from tests.kit.invariants.record import ACTIVE, ASIDE, Record

HOUR_S = 3600
# What was poured in may come from a cold tap (docs/reference/alarms.md).
SETTLES_S = 3 * HOUR_S
# Filled to a line by eye: a millimetre to either side (common practice, no source).
BY_EYE_CM = 0.1


def _well(record: Record, *, now_only: bool = False) -> Iterator[Letter]:
    """Nightly letters headed so; with `now_only` those too that say it was not well before."""
    for letter in record.letters:
        if letter.kind != "nightly" or not record.english:
            continue
        headed = f"{letter.subject}. {letter.lead}"
        if phrases.ALL_WELL.pattern.search(headed) or (now_only and phrases.WELL_NOW.pattern.search(headed)):
            yield letter


def well_means_no_alarm_stands(record: Record) -> Iterator[Finding]:
    """None active; none put aside, unless the letter says so."""
    for letter in _well(record, now_only=True):
        for row in record.standing(letter.written_at).values():
            name = f"{row.condition} of {row.vessel or 'the station'} {row.probe}".strip()
            if row.state in ACTIVE:
                yield of(record, letter, "well", f"{name} is {row.state}")
            elif row.state in ASIDE and not phrases.PUT_ASIDE.pattern.search(letter.flat):
                yield of(record, letter, "well", f"{name} is {row.state}, and the letter does not say so")


def well_means_within_limits(record: Record) -> Iterator[Finding]:
    """No trusted reading of the day beyond a watched vessel's limits; for "well now", not the last one."""
    for letter in _well(record, now_only=True):
        whole_day = phrases.ALL_WELL.pattern.search(f"{letter.subject}. {letter.lead}") is not None
        for vessel in record.station.vessels:
            yield from _beyond(record, letter, vessel, whole_day=whole_day)


def _beyond(record: Record, letter: Letter, vessel: Vessel, *, whole_day: bool) -> Iterator[Finding]:
    water, at = record.water_of(vessel), letter.written_at
    if water is None or not record.watched(vessel, at):
        return
    until = at - record.station.sample_every_s  # what is read in the beat of the writing may come after it
    read = (
        water.between(record.night_of(at), until)
        if whole_day
        else [last for last in [water.last(until)] if last]
    )
    sets = [one.at for one in record.deeds if one.vessel == vessel.id and one.deed == "set"]
    read = [
        (then, value)
        for then, value in read
        if record.watched(vessel, then) and not any(set_at <= then < set_at + SETTLES_S for set_at in sets)
    ]
    for name, wrong in (
        ("cold", [pair for pair in read if pair[1] < vessel.cold_c]),
        ("hot", [pair for pair in read if pair[1] > vessel.hot_c]),
    ):
        if wrong:
            then, value = (min if name == "cold" else max)(wrong, key=lambda pair: pair[1])
            limit = vessel.cold_c if name == "cold" else vessel.hot_c
            when = record.local(then).strftime("%a %H:%M")
            yield of(
                record,
                letter,
                "well",
                f"{vessel.id} read {value:.2f} °C at {when}, its {name} limit is {limit}",
            )


def well_means_level_and_salt_within_limits(record: Record) -> Iterator[Finding]:
    """The middles of what is believed."""
    for letter in _well(record, now_only=True):
        for vessel in record.station.vessels:
            loss = record.belief(vessel.id, "loss_ml", letter.written_at)
            salt = record.belief(vessel.id, "salinity_g_per_kg", letter.written_at)
            over_ml = vessel.brim_ml + max(FILL_ERROR_ML, BY_EYE_CM * vessel.surface_cm2)
            if loss is not None and loss.p50 > vessel.low_ml:
                but = f"{vessel.id} is believed {loss.p50:.0f} mL below the mark, low is {vessel.low_ml:g}"
                yield of(record, letter, "well", but)
            if loss is not None and -loss.p50 > over_ml:
                believed = f"{vessel.id} is believed {-loss.p50:.0f} mL above the mark"
                but = f"{believed}, the brim is {vessel.brim_ml:g}"
                yield of(record, letter, "well", but)
            low, high = vessel.salinity_low_g_per_kg, vessel.salinity_high_g_per_kg
            if salt is not None and not low <= salt.p50 <= high:
                but = f"{vessel.id} is believed to have {salt.p50:.1f} g/kg, it should be {low:g} to {high:g}"
                yield of(record, letter, "well", but)


def well_means_no_cold_is_about_to_come(record: Record) -> Iterator[Finding]:
    """The middle of the coldest of the coming night lies within the limit."""
    for letter in _well(record, now_only=True):
        for vessel in record.station.vessels:
            coldest = record.belief(vessel.id, "water_c_min_next_16h", letter.written_at)
            if coldest is not None and coldest.p50 < vessel.cold_c:
                to = f"{coldest.p50:.1f} °C, its limit is {vessel.cold_c:g}"
                but = f"{vessel.id} will most likely fall to {to}"
                yield of(record, letter, "well", but)


def all_well_asks_for_nothing(record: Record) -> Iterator[Finding]:
    """A headline that says well, and another thing to do under it."""
    for letter in _well(record):
        if letter.action and not phrases.NOTHING.pattern.match(letter.action):
            yield of(record, letter, "all well", f"asks: {letter.action}")


def well_names_what_is_not_watched(record: Record) -> Iterator[Finding]:
    """Where something is not watched, or letters are held back, the letter says so."""
    for letter in _well(record, now_only=True):
        for vessel in record.station.vessels:
            said = phrases.UNWATCHED.pattern.search(letter.flat)
            if not said and not record.watched(vessel, letter.written_at):
                but = f"nothing watches {vessel.id}, and the letter does not say so"
                yield of(record, letter, "well", but)


def nothing_urgent_means_no_alarm_stands(record: Record) -> Iterator[Finding]:
    """The same of who comes back, for the vessels that the letter is about."""
    for letter in record.letters if record.english else ():
        if letter.kind != "return" or not phrases.NOTHING_URGENT.pattern.search(letter.lead):
            continue
        for row in record.standing(letter.written_at).values():
            if row.state in ACTIVE and row.vessel in letter.about:
                yield of(record, letter, "nothing urgent", f"{row.condition} of {row.vessel} is {row.state}")


def over_now_means_within_limits(record: Record) -> Iterator[Finding]:
    """Cold or heat that is told as over was read within the limit since: put aside is not over."""
    for letter in record.letters if record.english else ():
        for vessel in record.station.vessels:
            own = [line for line in letter.lines() if line.startswith(f"{vessel.id}: ")]
            for line in (*own, *letter.facts(vessel.id)):
                over, water = phrases.OVER_NOW.pattern.search(line), record.water_of(vessel)
                last = None if water is None else water.last_then(letter.written_at)
                if over is None or last is None:
                    continue
                cold = "cold" in (over[1] or over[2])
                key = (vessel.id, "cold" if cold else "hot", "")
                if record.raised(key, letter.written_at):
                    continue  # it came again, and stands in the letter as open
                if last[1] < vessel.cold_c if cold else last[1] > vessel.hot_c:
                    limits = f"its limits are {vessel.cold_c:g} and {vessel.hot_c:g}"
                    but = f"{vessel.id} last read {last[1]:.2f} °C, {limits}"
                    yield of(record, letter, line, but)
