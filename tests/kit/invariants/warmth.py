"""D and E. Cold and hot are said of what is so, by the letter's own numbers, and "now" is now."""

import re
from collections.abc import Callable, Iterable, Iterator

from daemon.station import Vessel
from tests.kit.invariants import phrases
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Letter
from tests.kit.invariants.record import Record
from tests.kit.invariants.rows import Series
from tests.kit.invariants.wording import celsius, minute, number, shown


def _english(record: Record, *kinds: str) -> list[Letter]:
    return [letter for letter in record.letters if record.english and (not kinds or letter.kind in kinds)]


def cold_or_hot_now_is_read_beyond_the_limit(record: Record) -> Iterator[Finding]:
    """Every vessel that stands there as found beyond its limit is so at the writing."""
    for letter in _english(record, "cold", "hot"):
        if not phrases.NOW_SUBJECT.pattern.search(letter.subject):
            continue
        for vessel in record.station.vessels:
            if not any(phrases.BEYOND_SINCE.pattern.search(line) for line in letter.facts(vessel.id)):
                continue
            water = record.water_of(vessel)
            last = None if water is None else water.last_then(letter.written_at)
            if last is None:
                yield of(record, letter, f"{vessel.id} is {letter.kind}", "nothing was read of it")
                continue
            inside = last[1] >= vessel.cold_c if letter.kind == "cold" else last[1] <= vessel.hot_c
            limit = vessel.cold_c if letter.kind == "cold" else vessel.hot_c
            if inside:
                but = f"{vessel.id} last read {last[1]:.2f} °C, its limit is {limit:g}"
                yield of(record, letter, letter.subject, but)


def a_forecast_is_beyond_the_limit(record: Record) -> Iterator[Finding]:
    """The middle of a cold or hot forecast is beyond the limit that stands beside it."""
    for letter in _english(record, "cold", "hot"):
        if phrases.AHEAD_SUBJECT.pattern.search(letter.subject) is None:
            continue
        for vessel in record.station.vessels:
            text = "\n".join(letter.facts(vessel.id))
            coming, limit = phrases.TO_COME.pattern.search(text), phrases.LIMIT.pattern.search(text)
            if coming is None or limit is None:
                continue
            sign = 1.0 if coming[1] == "Coldest" else -1.0
            middle, edge = celsius(coming[2], coming[3]), celsius(limit[1], limit[2])
            if sign * middle >= sign * edge:
                yield of(record, letter, letter.subject, f"{vessel.id}: {coming[0]}; {limit[0]}")


def now_is_read_lately(record: Record) -> Iterator[Finding]:
    """ "Water now", "Light now": read within half an hour, or three beats."""
    longest_s = max(1800, 3 * record.station.sample_every_s)
    for letter in _english(record):
        for vessel in record.station.vessels:
            light = record.light_of(vessel)
            for phrase, series in (
                (phrases.WATER_NOW, record.water_of(vessel)),
                (phrases.LIGHT_NOW, None if light is None else light[0]),
            ):
                said = _fact(letter, vessel, phrase)
                if said is None or (
                    series and series.valued(letter.written_at - longest_s, letter.written_at)
                ):
                    continue
                last = None if series is None else series.last(letter.written_at)
                ago = "never" if last is None else f"{(letter.written_at - last[0]) / 3600:.1f} h ago"
                yield of(record, letter, f"{vessel.id}: {said[0]}", f"that was read {ago}")


def now_is_what_was_read(record: Record) -> Iterator[Finding]:
    """ "Water now" is the last reading that was trusted, then or in the end."""
    for letter in _english(record):
        for vessel in record.station.vessels:
            water, said = record.water_of(vessel), _fact(letter, vessel, phrases.WATER_NOW)
            last = None if water is None else water.last(letter.written_at)
            if said is None or water is None or last is None:
                continue
            near = water.valued(letter.written_at - 2 * record.station.sample_every_s, letter.written_at)
            if not any(abs(celsius(said[1], said[2]) - value) <= 0.06 for value in (last[1], *near)):
                yield of(record, letter, f"{vessel.id}: {said[0]}", f"{last[1]:.2f} °C was read last")


def _fact(letter: Letter, vessel: Vessel, phrase: phrases.Phrase) -> re.Match[str] | None:
    """The first line of a vessel's facts that begins so."""
    return next((m for line in letter.facts(vessel.id) if (m := phrase.pattern.match(line))), None)


def the_subject_says_the_facts(record: Record) -> Iterator[Finding]:
    """The figure of a cold or hot letter's subject was read lately in one of its vessels, or is foreseen."""
    for letter in _english(record, "cold", "hot"):
        now, ahead = (p.pattern.search(letter.subject) for p in (phrases.NOW_SUBJECT, phrases.AHEAD_SUBJECT))
        if now is not None:
            read = _read_lately(record, letter)
            if not any(abs(value - celsius(now[2], now[3])) <= 0.06 for value in read):
                yield of(record, letter, letter.subject, f"its vessels read {sorted(set(read)) or 'nothing'}")
        elif ahead is not None:
            facts = [m for line in letter.lines() if (m := phrases.TO_COME.pattern.match(line))]
            if not any(abs(number(m[2]) - number(ahead[3])) <= 0.56 for m in facts):
                told = ", ".join(m[0] for m in facts) or "none"
                yield of(record, letter, letter.subject, f"its facts say {told}")


def _read_lately(record: Record, letter: Letter) -> list[float]:
    """What was read within half an hour, or three beats, in those that it says are beyond their limit, °C."""
    longest_s = max(1800, 3 * record.station.sample_every_s)
    beyond = (
        vessel
        for vessel in record.station.vessels
        if any(phrases.BEYOND_SINCE.pattern.search(line) for line in letter.facts(vessel.id))
    )
    found = (record.water_of(vessel) for vessel in beyond)
    spans = [one.valued(letter.written_at - longest_s, letter.written_at) for one in found if one is not None]
    return [value for span in spans for value in span]


def the_night_says_the_extremes(record: Record) -> Iterator[Finding]:
    """The coldest and warmest of a nightly letter are those of the day's trusted readings."""
    for letter in _english(record, "nightly"):
        hour = f"{record.station.post.nightly_at:%H:%M}"
        if record.local(letter.written_at).strftime("%H:%M") != hour:
            continue  # one that came late is about the day up to its hour
        for vessel in record.station.vessels:
            water = record.water_of(vessel)
            for phrase, extreme in ((phrases.COLDEST_READ, min), (phrases.WARMEST_READ, max)):
                said, row = _fact(letter, vessel, phrase), _fact(letter, vessel, phrases.LOWEST_TO_HIGHEST)
                true = [] if water is None else _extremes(record, water, letter.written_at, extreme)
                told_c = celsius(said[1], said[2]) if said else None
                if row is not None:
                    told_c = celsius(row[1 if extreme is min else 2], row[3])
                if told_c is not None and true and not any(abs(told_c - value) <= 0.06 for value in true):
                    yield of(record, letter, f"{vessel.id}: {told_c:.1f} °C", f"{true[0]:.2f} °C was read")


def _extremes(
    record: Record, water: Series, at: int, extreme: Callable[[Iterable[float]], float]
) -> list[float]:
    """The extreme of the day before, with and without the readings at its two ends."""
    beat = record.station.sample_every_s
    began = record.night_of(at)
    spans = ((began, at), (began + beat, at - 1), (began, at - 1), (began + beat, at))
    read = [[value for _, value in water.between(*span)] for span in spans]
    read += [[value for _, value in water.between_then(*span, at)] for span in spans]
    read += [water.valued(*span) for span in spans]  # what was believed then, and is not any more
    return [extreme(values) for values in read if values]


def a_night_s_subject_says_its_facts(record: Record) -> Iterator[Finding]:
    """The span in the subject is that of the coldest and warmest below."""
    for letter in _english(record, "nightly"):
        span = phrases.NIGHT_SPAN.pattern.search(letter.subject)
        facts = [
            number(m[1])
            for line in letter.lines()
            for phrase in (phrases.COLDEST_READ, phrases.WARMEST_READ)
            if (m := phrase.pattern.match(line))
        ]
        ends = [m for line in letter.lines() if (m := phrases.LOWEST_TO_HIGHEST.pattern.match(line))]
        facts += [number(end) for m in ends for end in (m[1], m[2])]
        if span and facts and (number(span[1]), number(span[2])) != (min(facts), max(facts)):
            yield of(record, letter, span[0], f"its facts go from {min(facts)} to {max(facts)}")


def an_absence_s_extremes_were_read(record: Record) -> Iterator[Finding]:
    """ "While you were away: … to …": the trusted readings since they left."""
    for letter in _english(record, "return"):
        away = phrases.NOBODY_SINCE.pattern.search(letter.flat)
        for vessel in record.station.vessels if away else ():
            water, said = record.water_of(vessel), _fact(letter, vessel, phrases.WHILE_AWAY)
            if said is None or water is None or away is None:
                continue
            began = minute(away[1], record.local(letter.written_at))
            read = [v for at, v in water.between(0, letter.written_at) if shown(record.local(at)) >= began]
            told = celsius(said[1], said[2]), celsius(said[3], said[4])
            if read and (told[0] > min(read) + 0.06 or told[1] < max(read) - 0.06):
                yield of(
                    record,
                    letter,
                    f"{vessel.id}: {said[0]}",
                    f"{min(read):.2f} to {max(read):.2f} °C were read",
                )
