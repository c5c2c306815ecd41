"""Letters about animals that swim: when to harvest a cone, when to feed."""

from collections.abc import Sequence
from datetime import datetime

from reports import words
from reports.letter_page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import CALCULATED, HYGIENE, action, mains, name, names, next_letter, place
from reports.records import FeedNews, HarvestNews, LetterText, Setting

# Course notes of Ghent University: under 10 °C, slight air, up to 24 h.
_HOLD_BELOW_C = 10.0
_HOW = (
    "turn the air off with dry hands, let the cone settle until the empty shells float on top, hold a "
    "light low at one side, and draw the animals off there"
)


def harvest_letter(setting: Setting, news: Sequence[HarvestNews]) -> LetterText:
    """A cone's harvest that opens soon, is open, or closes soon; `news` holds at least one."""
    first = min(news, key=_edge_s)
    cold = words.temperature(_HOLD_BELOW_C, setting.unit, 0)
    blocks: list[Block] = [
        Heading("What is known"),
        *(Facts(name(one), _harvest_facts(setting, one)) for one in news),
        Paragraph(f"The times and shares are {CALCULATED}."),
        Heading("What it means"),
        Paragraph(
            "Fresh from the egg the animals live on their yolk, and it does not last: in their first day "
            "they use up 22 to 37 % of their energy (Vanhaecke and others 1983). Too early, many are "
            "still in the egg; too late, they have little yolk left."
        ),
        *_closes_unseen(setting, first),
        _to_harvest(setting, first),
        Paragraph(
            "How to draw off a cone is common practice, no source. If you do not need the animals at once: "
            f"under {cold} with a little air they keep for up to 24 hours (course notes of Ghent University)."
        ),
        Caution(HYGIENE),
        mains(),
        next_letter(setting),
    ]
    lead = f"The harvest of {names(news)} {_harvest_said(setting, first)}."
    told = subject(_harvest_short(setting, first), place(news), setting.station)
    return letter("harvest", told, lead, blocks, setting)


def _closes_unseen(setting: Setting, one: HarvestNews) -> tuple[Paragraph, ...]:
    closes, back = one.closes_at.p50, setting.returns_at
    if setting.attended_now or closes is None or back is None or back <= closes:
        return ()
    return (
        Paragraph(
            "It most likely closes before somebody is back. Nobody has to come in for this: what you draw "
            "off then has less yolk."
        ),
    )


def _edge(one: HarvestNews) -> datetime | None:
    return one.closes_at.p50 if one.closing else one.opens_at.p50


def _edge_s(one: HarvestNews) -> float:
    edge = _edge(one)
    return float("inf") if edge is None else edge.timestamp()


def _open(setting: Setting, one: HarvestNews) -> bool:
    return one.opens_at.p50 is not None and one.opens_at.p50 <= setting.written_at


def _closed(setting: Setting, one: HarvestNews) -> bool:
    return one.closes_at.p50 is not None and one.closes_at.p50 <= setting.written_at


def _harvest_said(setting: Setting, one: HarvestNews) -> str:
    edge, now = _edge(one), setting.written_at
    if one.closing and _closed(setting, one):
        return "is most likely past its best time"
    if not one.closing and _open(setting, one):
        return "is most likely open"
    verb = "closes" if one.closing else "opens"
    return f"{verb} later than can be told" if edge is None else f"{verb} most likely {_told(edge, now)}"


def _told(at: datetime, now: datetime) -> str:
    return words.moment(words.believed_moment(at), now)


def _harvest_short(setting: Setting, one: HarvestNews) -> str:
    edge = _edge(one)
    if edge is None:
        return "Harvest: hour not known yet"
    at = words.short_moment(words.believed_moment(edge))
    if one.closing:
        return f"Harvest by {at}"
    return f"Harvest open since {at}" if _open(setting, one) else f"Harvest from {at}"


def _harvest_facts(setting: Setting, one: HarvestNews) -> tuple[str, ...]:
    now = setting.written_at
    return (
        f"Hatched so far, of those that will: {words.percent_range(one.hatched_fraction)}.",
        f"Best from: {words.moment_range(one.opens_at, now)}.",
        f"Best until: {words.moment_range(one.closes_at, now)}.",
    )


def _to_harvest(setting: Setting, one: HarvestNews) -> Action:
    opens, now = one.opens_at.p50, setting.written_at
    if opens is None:
        return action(
            setting, f"look whether many swim; once they do, {_HOW}.", f"look whether many swim; then {_HOW}."
        )
    if setting.attended_now and opens > now:
        return Action(f"{_told(opens, now)}, or when you are next there after that, {_HOW}.")
    return action(setting, f"{_HOW}.", f"{_HOW}.")


def feed_letter(setting: Setting, news: Sequence[FeedNews]) -> LetterText:
    """Animals that may be fed; `news` holds at least one. None is told to feed before their second stage."""
    able = [one for one in news if _can_eat(setting, one)]
    small = any(one.small for one in news)
    blocks: list[Block] = [
        Heading("What is known"),
        *(Facts(name(one), _feed_facts(setting, one)) for one in news),
        Paragraph(f"When they can eat is {CALCULATED}."),
        Heading("What it means"),
        Paragraph(
            "Fresh from the egg the animals cannot eat; they can from their second stage on. A first feed "
            "on day three or four, then once or twice a week, is common practice. Where it is cooler, all "
            "goes slower."
        ),
        Paragraph(
            "It is easy to give too much: milky water that does not clear in a day, a smell, or "
            "animals at the surface mean too much. Yeast alone feeds them poorly."
        ),
        _to_feed(setting, able, small),
        Caution(f"{HYGIENE} Food is dust too: keep it away from faces."),
        next_letter(setting),
    ]
    return letter(
        "feed", _feed_subject(setting, news, able, small), _feed_lead(news, able, small), blocks, setting
    )


def _can_eat(setting: Setting, one: FeedNews) -> bool:
    return one.instar_ii_at.p50 is not None and one.instar_ii_at.p50 <= setting.written_at


def _portion(small: bool) -> str:
    return "half a pinch" if small else "a pinch"


def _each(able: Sequence[FeedNews]) -> str:
    return " a cup" if any(one.count > 1 for one in able) else ""


def _feed_lead(news: Sequence[FeedNews], able: Sequence[FeedNews], small: bool) -> str:
    if not able:
        return f"The animals in {names(news)} are most likely still too young to eat."
    return f"The animals in {names(able)} can be fed: {_portion(small)}{_each(able)}, if the water is clear."


def _feed_subject(setting: Setting, news: Sequence[FeedNews], able: Sequence[FeedNews], small: bool) -> str:
    if not able:
        return subject("No feed yet: too young", place(news), setting.station)
    day = words.elapsed(min(one.set_at for one in able), setting.written_at).days + 1
    return subject(f"Feed, day {day}: {_portion(small)}", place(able), setting.station)


def _to_feed(setting: Setting, able: Sequence[FeedNews], small: bool) -> Action:
    if not able:
        told = "look, and do not feed yet."
        return action(setting, told, told)
    where = words.joined([f"each cup of {name(one)}" if one.count > 1 else name(one) for one in able])
    why = ", no more: nobody will look for a day or more" if small else ""
    told = (
        f"if you can see through the water, give {_portion(small)} of food to {where}{why}. If it is "
        "cloudy, do not feed."
    )
    return action(setting, told, told)


def _feed_facts(setting: Setting, one: FeedNews) -> tuple[str, ...]:
    now = setting.written_at
    fed = "not told yet"
    if one.last_fed_at is not None:
        ago = words.duration(words.elapsed(one.last_fed_at, now))
        fed = f"{words.moment(one.last_fed_at, now)}, {ago} ago"
    return (
        f"Set {words.moment(one.set_at, now)}, {words.duration(words.elapsed(one.set_at, now))} ago.",
        f"Able to eat from: {words.moment_range(one.instar_ii_at, now)}.",
        f"Last fed: {fed}.",
    )
