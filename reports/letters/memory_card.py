"""The storage letters of a card that takes no writes: the last word, and the first one when it does again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters import record
from reports.letters.blocks import Block, Body, Facts
from reports.letters.known import Fact, Known, fact, known
from reports.letters.page import letter, subject
from reports.letters.sentences import (
    ASK_ABOUT_STATION,
    NOBODY_HAS_TO_COME,
    action,
    ending,
    name,
    nobody_must_come,
)
from reports.records import LetterText, Setting

_FULL = to_say("The memory card of {station} is full. Until there is room, the station watches over nothing.")
_READ_ONLY = to_say(
    "The memory card of {station} can no longer be written to. Until it can, the station watches over "
    "nothing."
)
_FAILING = to_say("The memory card of {station} fails. Until it works, the station watches over nothing.")
_FOUND = {"full": _FULL, "read-only": _READ_ONLY}
_MAKE_ROOM = to_say(
    "ask the person who set up the station to make room on its memory card. The file station.db must stay: "
    "it holds all readings. Until the station writes again, look at the vessels and at a thermometer "
    "yourself, each day you are there."
)
_NEW_CARD = to_say(
    "ask the person who set up the station for another memory card, with the newest backup. Until the "
    "station writes again, look at the vessels and at a thermometer yourself, each day you are there."
)
_KEEP_ROOM = to_say(
    "look at the vessels, and write in the care log what was done meanwhile. Then ask the person who set up "
    "the station why the card was full."
)
_CHANGE_SOON = to_say(
    "look at the vessels, and write in the care log what was done meanwhile. Then ask the person who set up "
    "the station for another memory card soon: it may fail again."
)
_NOW = {"full": _MAKE_ROOM}
_AFTERWARDS = {"full": _KEEP_ROOM}


@dataclass(frozen=True, slots=True)
class LastRead:
    """What a vessel's water was when it was last read, °C."""

    vessel: str
    count: int
    water_c: float
    at: datetime


@dataclass(frozen=True, slots=True)
class CardFailed:
    """A memory card that takes no writes: "full", "read-only" or "failing", and what was last known."""

    at: datetime
    found: str
    last_read: tuple[LastRead, ...]


@dataclass(frozen=True, slots=True)
class CardBack:
    """A memory card that takes writes again, from `back_at` on; `found` as above, `vessels` the station's."""

    failed_at: datetime
    back_at: datetime
    found: str
    vessels: tuple[str, ...]


@in_its_language
def card_failed_letter(setting: Setting, trouble: CardFailed) -> LetterText:
    """The memory card takes no writes: nothing is watched until it does."""
    found = say("Found {when}.", when=times.moment(trouble.at, setting.written_at))
    body = Body(
        action(setting, say(_NOW.get(trouble.found, _NEW_CARD))),
        besides=nobody_must_come(setting, ASK_ABOUT_STATION),
        known=[Facts("", (found,)), *_last_read(setting, trouble.last_read)],
        means=(
            say("This changes nothing in the vessels. But no letter will warn of cold, heat or low water."),
        ),
        ending=say(
            "The station tries again by itself. Until it watches again, it sends only this letter, once a "
            "day."
        ),
    )
    lead = say(_FOUND.get(trouble.found, _FAILING), station=setting.station)
    short = (
        say("Nothing is watched: card full")
        if trouble.found == "full"
        else say("Nothing is watched: card fails")
    )
    subject_line = subject(short, "", setting.station)
    return letter("storage", subject_line, lead, body, setting)


def _last_read(setting: Setting, read: Sequence[LastRead]) -> list[Block]:
    """What the water was when it was last read."""
    return known([Known(name(one), (_water(setting, one),)) for one in read], say("Vessel")) if read else []


def _water(setting: Setting, one: LastRead) -> Fact:
    temperature = amounts.temperature(one.water_c, setting.unit)
    when = times.moment(one.at, setting.written_at)
    return fact(say("Water last read"), say("{temperature}, {when}", temperature=temperature, when=when))


@in_its_language
def card_back_letter(setting: Setting, back: CardBack) -> LetterText:
    """The memory card takes writes again: what was missed."""
    now = setting.written_at
    gap = say(
        "It took no readings from {failed} to {back}.",
        failed=times.moment(back.failed_at, now),
        back=times.moment(back.back_at, now),
    )
    body = Body(
        action(setting, say(_AFTERWARDS.get(back.found, _CHANGE_SOON))),
        record=record.with_its_time(back.vessels),
        besides=nobody_must_come(setting, NOBODY_HAS_TO_COME),
        known=[Facts("", (gap,))],
        means=(say("What happened in between is not known. You do not have to start anything again."),),
        ending=ending(setting),
    )
    lead = say(
        "The station {station} watches again: its memory card takes readings.",
        station=setting.station,
    )
    subject_line = subject(say("Station watches again"), "", setting.station)
    return letter("storage", subject_line, lead, body, setting)
