"""G. Day-words and moments name what they are about, and letters about absences come on their day."""

import re
from collections.abc import Iterator

from tests.kit.invariants import phrases
from tests.kit.invariants.calendar import in_hours
from tests.kit.invariants.finding import Finding, of
from tests.kit.invariants.letter import Letter
from tests.kit.invariants.record import Record
from tests.kit.invariants.wording import minute, minutes_apart, shown

HOUR_S = 3600
# Evening begins and night ends at hours that people differ in: between them either word is taken.
_EVENING, _MORNING = 17, 6
_BEFORE_GOING_S = 5 * HOUR_S


def a_forecast_s_day_word_is_its_own(record: Record) -> Iterator[Finding]:
    """ "Tonight" begins in the evening or the night; a named day is the local date."""
    for letter in record.letters if record.english else ():
        ahead = phrases.AHEAD_SUBJECT.pattern.search(letter.subject)
        spans = [m for line in letter.lines() if (m := phrases.FORESEEN.pattern.search(line))]
        if ahead is None or not spans:
            continue
        written = record.local(letter.written_at)
        begins = [max(minute(span[1], written), shown(written)) for span in spans]
        if not any(_names(ahead[2].lower(), began, shown(written)) for began in begins):
            yield of(record, letter, letter.subject, f"it begins {' or '.join(begins)}")


def _names(word: str, began: str, written: str) -> bool:
    """Whether a word names the day or night that something begins in."""
    hour, days = (
        int(began[11:13]),
        round(minutes_apart(f"{began[:10]} 00:00", f"{written[:10]} 00:00") / 1440),
    )
    night = hour >= _EVENING or hour < _MORNING
    # The small hours belong to the evening before, also for who reads in them.
    evening = days if hour >= _EVENING else days - 1
    this = 0 if int(written[11:13]) >= _MORNING else -1
    if "tonight" in word or "this night" in word:
        return night and evening == this
    if "tomorrow night" in word:
        return night and evening == this + 1
    if "tomorrow" in word:
        return days == 1
    if "today" in word or word.startswith("this "):
        return days == 0
    return "night" not in word or night


def back_is_when_somebody_comes(record: Record) -> Iterator[Finding]:
    """ "When you are back, tomorrow at 08:00": somebody is in the room then, and nobody is now."""
    for letter in record.letters if record.english else ():
        written, calendar = record.local(letter.written_at), record.calendar
        for action in letter.actions:
            back = phrases.WHEN_BACK.pattern.search(action)
            if back is None:
                continue
            if calendar.span_at(letter.written_at) is not None:
                yield of(record, letter, back[0], "somebody is in the room")
            arrival = calendar.next_arrival(letter.written_at)
            said = minute(back[1], written)
            come = "nobody comes" if arrival is None else shown(record.local(arrival))
            if arrival is None or minutes_apart(said, come) < 0 or not _arrives(record, said):
                yield of(record, letter, back[0], f"the next who comes does so at {come}")


def _arrives(record: Record, said: str) -> bool:
    """Whether somebody is in the room at a local minute."""
    return any(
        shown(record.local(began)) <= said < shown(record.local(ended))
        for began, ended in record.calendar.spans
    )


def harvest_is_asked_for_once_it_is_open(record: Record) -> Iterator[Finding]:
    """The later of the two: when somebody is there, and when the window opens."""
    for letter in record.letters if record.english else ():
        if letter.kind != "harvest" or "look whether many swim" in letter.action:
            continue
        written = record.local(letter.written_at)
        opens = [
            belief.p50
            for vessel in record.vessels_about(letter)
            if (belief := record.belief(vessel.id, "harvest_opens_at", letter.written_at)) is not None
        ]
        said = re.search(phrases.MOMENT, letter.action)
        acts = minute(said[0], written) if said else shown(written)
        if opens and minutes_apart(shown(record.local(min(opens))), acts) > 45:
            yield of(record, letter, letter.action[:60], f"it opens {shown(record.local(min(opens)))}")


def before_you_go_is_said_before_they_go(record: Record) -> Iterator[Finding]:
    """To somebody who is in the room, and goes within hours; and no later than what it is to prevent."""
    for letter in record.letters if record.english else ():
        if not any(phrases.BEFORE_YOU_GO.pattern.match(action) for action in letter.actions):
            continue
        span = record.calendar.span_at(letter.written_at)
        if span is None:
            yield of(record, letter, "before you go", "nobody is in the room")
            continue
        quiet = record.station.post.quiet
        late = quiet is not None and in_hours(quiet, record.local(span[1] - 2 * HOUR_S))  # so it comes sooner
        if span[1] - letter.written_at > _BEFORE_GOING_S and not late and not _back_that_day(record, letter):
            leaves = shown(record.local(span[1]))
            yield of(record, letter, "before you go", f"they go only at {leaves}")
        yield from _too_late(record, letter, shown(record.local(span[1])))


def _back_that_day(record: Record, letter: Letter) -> bool:
    """Who comes back and goes again on one day has one letter for both, in the morning."""
    day = record.local(letter.written_at).date()
    return any(record.local(ended).date() == day for _, ended in record.calendar.absences())


def _too_late(record: Record, letter: Letter, leaves: str) -> Iterator[Finding]:
    written = record.local(letter.written_at)
    spans = [m for line in letter.lines() if (m := phrases.FORESEEN.pattern.search(line))]
    begins = [max(minute(span[1], written), shown(written)) for span in spans]
    if begins and all(minutes_apart(leaves, began) > 60 for began in begins):
        yield of(record, letter, "before you go", f"it begins {min(begins)}, and they go at {leaves}")


def a_return_letter_comes_on_the_day_of_the_return(record: Record) -> Iterator[Finding]:
    """In every language: on the date, and not when they have long come."""
    for letter in record.letters:
        if letter.kind != "return":
            continue
        day = record.local(letter.sent_at).date()
        returns = [ended for _, ended in record.calendar.absences() if record.local(ended).date() == day]
        if not returns:
            yield of(record, letter, f"back on {day}", "no absence ends on that day")
        elif letter.written_at - max(returns) > HOUR_S and not _excused(record, max(returns)):
            yield of(record, letter, "back", f"they came at {shown(record.local(max(returns)))}")


def _excused(record: Record, back: int) -> bool:
    """Who comes in the quiet hours, or just after midnight, reads it after them; so does who finds the
    station off."""
    quiet, came = record.station.post.quiet, record.local(back)
    soon = record.local(back - HOUR_S)
    hushed = quiet is not None and (in_hours(quiet, came) or in_hours(quiet, soon))
    return hushed or soon.date() != came.date() or record.was_off(back)


def a_leave_letter_comes_while_they_are_there(record: Record) -> Iterator[Finding]:
    """In every language: before an absence, on the day on which it begins, or before the night in which it
    does."""
    for letter in record.letters:
        if letter.kind != "leave" or letter.number in record.late:
            continue
        day = record.local(letter.sent_at).date()
        leaves = [
            began
            for began, _ in record.calendar.absences()
            if 0 <= began - letter.sent_at <= 14 * HOUR_S or record.local(began - 1).date() == day
        ]
        if not leaves or min(leaves) < letter.sent_at:
            yield of(record, letter, "before you go", "no absence begins that day, nor in the night after")


def absences_are_the_calendar_s(record: Record) -> Iterator[Finding]:
    """ "Nobody is in the room from … until …", or was since …, names an absence of the station's calendar."""
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        absences = [
            (shown(record.local(b)), shown(record.local(e))) for b, e in record.calendar.absences(0.0)
        ]
        for began, ended in phrases.EMPTY_FROM.pattern.findall(letter.flat):
            said = minute(began, written), minute(ended, written)
            if said not in absences:
                yield of(record, letter, f"nobody from {said[0]} to {said[1]}", "the calendar says otherwise")
        for began in phrases.NOBODY_SINCE.pattern.findall(letter.flat):
            if minute(began, written) not in [first for first, _ in absences]:
                yield of(record, letter, f"nobody since {began}", "the calendar says otherwise")


def a_batch_was_set_when_it_says(record: Record) -> Iterator[Finding]:
    """ "Set today at 09:00": the running batch's own moment."""
    for letter in record.letters if record.english else ():
        written = record.local(letter.written_at)
        for vessel in record.station.vessels:
            set_at = record.set_at(vessel.id, letter.written_at)
            for line in letter.facts(vessel.id):
                said = phrases.SET_WHEN.pattern.match(line)
                if said is None:
                    continue
                true = "no batch runs" if set_at is None else shown(record.local(set_at))
                if minute(said[1], written) != true:
                    yield of(record, letter, f"{vessel.id}: {line}", f"it was set: {true}")
