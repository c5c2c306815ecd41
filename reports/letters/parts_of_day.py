"""The word for the part of the day in which something to come begins."""

from datetime import date, datetime, timedelta

from reports.language import say

# From this hour of the evening to this hour of the morning people say "tonight".
_EVENING, _MORNING, _NOON = 18, 6, 12


def part_of_day(at: datetime, ended: datetime, now: datetime) -> str | None:
    """The part of the day in which a stretch to come begins, of today, tomorrow or the next two nights.

    One that begins in the morning and goes on after noon is of the whole day.
    """
    at, ended = at.astimezone(now.tzinfo), ended.astimezone(now.tzinfo)
    days, night = (at.date() - now.date()).days, _night_of(at)
    morning = ended.date() == at.date() and (ended.hour, ended.minute) <= (_NOON, 0)
    if days == 0:
        return _part_of_today(at, now, morning=morning)
    if night == now.date() and now.hour >= _MORNING:
        return say("tonight")
    if night == now.date() + timedelta(days=1):
        return say("tomorrow night")
    return say("tomorrow morning") if days == 1 and morning else None


def _part_of_today(at: datetime, now: datetime, *, morning: bool) -> str | None:
    if _night_of(at) is not None:
        return say("this evening") if at.hour >= _EVENING and now.hour < _MORNING else say("tonight")
    if at.hour < _NOON:
        return say("this morning") if morning else None
    return say("this afternoon") if now.hour >= _NOON else None


def _night_of(at: datetime) -> date | None:
    """The date on which the night began that a moment lies in; None by day."""
    if at.hour >= _EVENING:
        return at.date()
    return at.date() - timedelta(days=1) if at.hour < _MORNING else None
