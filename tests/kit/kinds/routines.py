"""What a careful teacher does in plain weeks at each kind of station, as raw events of a story."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from tests.kit.kinds.calendar import FRI, MON, THU, TUE, WED, Calendar

Event = dict[str, Any]
Routine = Callable[[Calendar], list[Event]]


@dataclass(frozen=True, slots=True)
class Batch:
    """A batch in a vessel from a day on (set at nine) to the day on which it is ended; None: it goes on."""

    vessel: str
    set_on: int
    ended_on: int | None = None


def kept(batches: Sequence[Batch], grams: float, food_g: float) -> Routine:
    """Cups or jars that are kept: looked at while they hatch, then fed on Mondays and Thursdays; filled on
    Mondays and Wednesdays and, as the letter asks, on Fridays."""

    def routine(calendar: Calendar) -> list[Event]:
        return [event for batch in batches for event in _of(batch, calendar, grams, food_g)]

    return routine


def _of(batch: Batch, calendar: Calendar, grams: float, food_g: float) -> Iterator[Event]:
    first, last = batch.set_on, calendar.days if batch.ended_on is None else batch.ended_on

    def event(day: int, clock: str, do: str, **values: Any) -> Event:
        return {"at": calendar.moment(day, clock), "do": do, "vessel": batch.vessel, **values}

    if first >= calendar.days:
        return
    yield event(first, "09:00", "set", grams=grams, salt_g_per_l=25.0, lot="shelf")
    yield from (event(day, clock, "look") for day, clock in ((first + 1, "14:30"), (first + 2, "09:00")))
    for day in calendar.weekdays(MON, WED):
        if first < day < last:
            yield event(day, "08:40", "top-up")
    for day in calendar.weekdays(FRI):
        if first < day < last:
            yield event(day, "15:00", "top-up", if_letter="leave", within_h=24.0, as_letter_asks=True)
    for day in calendar.weekdays(MON, THU):
        if first + 2 < day < last:
            yield event(day, "09:10", "feed", grams=food_g)
    if batch.ended_on is not None and batch.ended_on < calendar.days:
        yield event(batch.ended_on, "14:00", "end")


def drawn_off(vessel: str, grams: float, harvest_ml: float) -> Routine:
    """A cone that is set on Monday and on Tuesday afternoon, and drawn off and ended a day after each."""

    def routine(calendar: Calendar) -> list[Event]:
        events: list[Event] = []

        def happens(day: int, clock: str, do: str, **values: Any) -> None:
            if day < calendar.days:
                events.append({"at": calendar.moment(day, clock), "do": do, "vessel": vessel, **values})

        for day in calendar.weekdays(MON, TUE):
            happens(day, "15:00", "set", grams=grams, salt_g_per_l=25.0, lot="shelf")
            happens(day, "15:01", "heater-on")
            happens(day + 1, "14:20", "look")
            happens(day + 1, "14:25", "heater-off")  # who draws off pulls its plug first
            happens(day + 1, "14:30", "harvest", ml=harvest_ml)
            happens(day + 1, "14:40", "end")
        return events

    return routine


def unrecorded(vessel: str) -> Routine:
    """Cups that are set and filled, and nothing of it is written down."""

    def routine(calendar: Calendar) -> list[Event]:
        events = [
            {
                "do": "set",
                "at": calendar.moment(0, "08:10"),
                "grams": 0.05,
                "salt_g_per_l": 25.0,
                "lot": "shelf",
            }
        ]
        events += [
            {"do": "top-up", "at": calendar.moment(d, "08:40")} for d in calendar.weekdays(MON, THU)[1:]
        ]
        return [{**event, "vessel": vessel, "written": False} for event in events]

    return routine
