"""The post on the page: by which ways letters go, what waits and why, what went last."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports import words
from reports.language import in_its_language, say, say_many, to_say
from reports.page.letters import LetterEntry, fate, name
from reports.page.masked import masked
from reports.records import Setting

# Letters that were refused long ago stay; a page has room for so many.
_MOST = 20
_WAYS: Mapping[str, str] = {
    "mail": to_say("mail"),
    "webhook": to_say("web address"),
    "files": to_say("files"),
}


@dataclass(frozen=True, slots=True)
class Way:
    """A letter on one of its ways; `trouble` is why it did not go, in a program's words."""

    carrier: str
    attempts: int
    trouble: str


@dataclass(frozen=True, slots=True)
class WaitingLetter:
    """A letter that is not out by every way, and those that it waits for."""

    letter: LetterEntry
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class PostNow:
    """The post as it stands. `mail_host` and `web_host` are where letters go (None: not that way; empty: its
    address is kept apart)."""

    mail_host: str | None
    web_host: str | None
    waiting: tuple[WaitingLetter, ...]
    sent: tuple[LetterEntry, ...]


@dataclass(frozen=True, slots=True)
class LetterLine:
    """A letter in a list: its id, what it says in short, how it fared, what happened on each way, and for how
    many alike it stands."""

    id: int
    name: str
    fate: str
    ways: tuple[str, ...] = ()
    count: int = 1


@in_its_language
def way_lines(setting: Setting, post: PostNow) -> tuple[str, ...]:
    """By which ways letters go; nobody's address is among it."""
    lines = []
    if post.mail_host is not None:
        lines.append(
            say(
                "Letters of {station} go by mail, through {host}.",
                station=setting.station,
                host=post.mail_host,
            )
        )
    if post.web_host is not None:
        host = post.web_host
        lines.append(
            say("Letters go to a web address at {host}.", host=host)
            if host
            else say("Letters go to a web address that is kept apart.")
        )
    return tuple(lines) or (say("No way out is set up: letters are kept as files, and nobody gets them."),)


@in_its_language
def waiting_lines(setting: Setting, post: PostNow) -> list[LetterLine]:
    """What waits or was refused, the newest first; what waits alike, and has no words yet, in one line."""
    groups: dict[tuple[object, ...], list[WaitingLetter]] = {}
    for one in sorted(post.waiting, key=lambda one: one.letter.id, reverse=True):
        held = one.letter.state == "held"
        alike = (name(one.letter), fate(setting, one.letter)) if held else (one.letter.id,)
        groups.setdefault(alike, []).append(one)
    return [_waiting(setting, ones) for ones in list(groups.values())[:_MOST]]


def _waiting(setting: Setting, ones: Sequence[WaitingLetter]) -> LetterLine:
    first, count = ones[0], len(ones)
    called = name(first.letter)
    if count > 1:
        called = say("{name} ({count} alike)", name=called, count=count)
    ways = tuple(_way(way) for way in first.ways)
    return LetterLine(first.letter.id, called, fate(setting, first.letter), ways, count)


def _way(way: Way) -> str:
    by = say(_WAYS[way.carrier]) if way.carrier in _WAYS else words.clean(way.carrier)
    tries = say_many("{count} try", "{count} tries", way.attempts)
    if not way.trouble:
        return say("{way}: {tries} so far", way=words.capital(by), tries=tries)
    return say("{way}: {tries} so far. {why}", way=words.capital(by), tries=tries, why=masked(way.trouble))


@in_its_language
def sent_lines(setting: Setting, post: PostNow) -> list[LetterLine]:
    """What went last."""
    return [LetterLine(one.id, name(one), fate(setting, one)) for one in post.sent]


@in_its_language
def more_line(setting: Setting, post: PostNow, shown: Sequence[LetterLine]) -> str:
    """How many more wait than are shown; empty where none does."""
    more = len(post.waiting) - sum(one.count for one in shown)
    return (
        say_many(
            "{count} more waits at {station}.",
            "{count} more wait at {station}.",
            more,
            station=setting.station,
        )
        if more > 0
        else ""
    )
