"""The storage letters of a card that takes no writes: the last word, and the first one when it does again."""

from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times
from reports.language import in_its_language, say, to_say
from reports.letters.page import Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.sentences import ASK_ABOUT_STATION, action, name, next_letter, nobody_must_come, silence
from reports.records import LetterText, Setting

_FULL = to_say("The card is full.")
_READ_ONLY = to_say("The card can be read, but no longer written to.")
_FAILING = to_say("The card fails when it is read or written to.")
_FOUND = {"full": _FULL, "read-only": _READ_ONLY}
_MAKE_ROOM = to_say(
    "ask the person who set up the station to make room on its memory card. The file station.db must stay: "
    "it holds all readings. Until the station writes again, look at the vessels and at a thermometer "
    "yourself, "
    "once a day."
)
_NEW_CARD = to_say(
    "ask the person who set up the station to put in another memory card, and to take over the newest "
    "backup. Until the station writes again, look at the vessels and at a thermometer yourself, once a day."
)
_KEEP_ROOM = to_say(
    "look at the vessels, and tell the station what was done with them meanwhile. Then ask the person who "
    "set "
    "up the station why the card was full."
)
_CHANGE_SOON = to_say(
    "look at the vessels, and tell the station what was done with them meanwhile. Then ask the person who "
    "set "
    "up the station to put in another memory card soon: a card that fails once will fail again."
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
    """A memory card that takes writes again, from `back_at` on; `found` as above."""

    failed_at: datetime
    back_at: datetime
    found: str


@in_its_language
def card_failed_letter(setting: Setting, trouble: CardFailed) -> LetterText:
    """The memory card takes no writes: nothing is watched until it does."""
    advice = say(_NOW.get(trouble.found, _NEW_CARD))
    found = say("Found {when}.", when=times.moment(trouble.at, setting.written_at))
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(say("The station's memory card"), (say(_FOUND.get(trouble.found, _FAILING)), found)),
        *(
            Facts(
                name(one),
                (
                    say(
                        "Water when it was last read, {when}: {temperature}.",
                        when=times.moment(one.at, setting.written_at),
                        temperature=amounts.temperature(one.water_c, setting.unit),
                    ),
                ),
            )
            for one in trouble.last_read
        ),
        Heading(say("What it means")),
        Paragraph(
            say(
                "This by itself changes nothing in the vessels. But the station can keep no reading, so it "
                "watches over nothing now: no letter will warn of cold, of heat or of low water."
            )
        ),
        action(setting, advice),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        Paragraph(
            say(
                "The station tries again by itself, and writes when it watches again. Until then it sends no "
                "other letter than this one, once a day."
            )
        ),
    ]
    lead = say(
        "The memory card of {station} takes nothing more. Until it does, the station watches over nothing.",
        station=setting.station,
    )
    subject_line = subject(say("Nothing is watched: memory card fails"), "", setting.station)
    return letter("storage", subject_line, lead, blocks, setting)


@in_its_language
def card_back_letter(setting: Setting, back: CardBack) -> LetterText:
    """The memory card takes writes again: what was missed."""
    advice = say(_AFTERWARDS.get(back.found, _CHANGE_SOON))
    now = setting.written_at
    blocks: list[Block] = [
        Heading(say("What is known")),
        Facts(
            say("The station's memory card"),
            (
                say("It took nothing from {when} on.", when=times.moment(back.failed_at, now)),
                say("It takes readings again since {when}.", when=times.moment(back.back_at, now)),
            ),
        ),
        Heading(say("What it means")),
        Paragraph(
            say(
                "In between the station could keep nothing, so what happened then is not known. You do not "
                "have to start anything again: the batch goes on as it was."
            )
        ),
        action(setting, advice),
        *nobody_must_come(setting, ASK_ABOUT_STATION),
        next_letter(setting),
        silence(setting),
    ]
    lead = say(
        "The memory card of {station} takes readings again. The station watches again.",
        station=setting.station,
    )
    subject_line = subject(say("Station watches again"), "", setting.station)
    return letter("storage", subject_line, lead, blocks, setting)
