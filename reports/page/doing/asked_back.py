"""What is asked back about an entry, said anew from its parts (daemon/page/deeds/asked_back.py)."""

from collections.abc import Callable, Mapping
from datetime import datetime

from reports import times, words
from reports.amounts import in_decimals
from reports.language import say, spoken

Parts = Mapping[str, str]


def question(language: str, name: str, parts: Parts, at: datetime | None, now: datetime) -> str:
    """One question; `at` is the moment that it speaks of, where it does."""
    with spoken(language):
        when = "" if at is None else times.moment(at, now)
        said = {key: in_decimals(value) for key, value in parts.items() if value and key not in _NAMES}
        told = {key: words.clean(value) for key, value in parts.items() if key in _NAMES}
        return _QUESTIONS[name]({**said, **told, "when": when})


_NAMES = ("vessel", "one_of", "keys")


def _of_one(parts: Parts) -> str:
    """The vessel, or one cup of it: of that the amount is."""
    vessel = parts["vessel"]
    return say("one cup of {vessel}", vessel=vessel) if parts.get("one_of") else vessel


def _measured(parts: Parts) -> str:
    return say(
        "By the entries so far {vessel} has {low} to {high} g of salt in a kg of brine, and {measured} "
        "was measured. Rinse the instrument, measure once more and write that down too. Or was brine "
        "poured in that nobody wrote down?",
        vessel=parts["vessel"],
        low=parts["low"],
        high=parts["high"],
        measured=parts["measured"],
    )


def _times_usual(parts: Parts) -> str:
    first = say(
        "{grams} g of cysts in {volume} mL is {times} times the {usual} g that are usual there.",
        grams=parts["grams"],
        volume=parts["volume"],
        times=parts["times"],
        usual=parts["usual"],
    )
    if not parts.get("all"):
        return " ".join((first, say("Is it right?")))
    of_all = say(
        "The amount is of one cup. Is that for all {count}? Then one cup got {grams} g.",
        count=parts["all"],
        grams=parts["each"],
    )
    return f"{first} {of_all}"


def _air(parts: Parts) -> str:
    first = say(
        "{grams} g of cysts in {volume} mL is more than they have air for; up to {most} g is usual.",
        grams=parts["grams"],
        volume=parts["volume"],
        most=parts["most"],
    )
    unit = (
        say("The amount is in grams, of one cup.") if parts.get("one_of") else say("The amount is in grams.")
    )
    return " ".join((first, unit, say("Is it right?")))


_QUESTIONS: Mapping[str, Callable[[Parts], str]] = {
    "day": lambda parts: say(
        "The cysts are in the water since then: {when}, {hours} hours ago. Is the day right?",
        when=parts["when"],
        hours=parts["hours"],
    ),
    "second-set": lambda parts: say(
        "A batch runs in {vessel} already, set {when}, and it was not ended. It counts as ended now. Was "
        "that meant?",
        vessel=parts["vessel"],
        when=parts["when"],
    ),
    "too-soon": lambda parts: say(
        "The batch in {vessel} was set {when}; nothing swims before some twelve hours are over. Is the "
        "vessel right, and the time?",
        vessel=parts["vessel"],
        when=parts["when"],
    ),
    "no-batch-seen": lambda parts: say(
        "No batch ran in {vessel} then ({when}), so the look says nothing. Is the vessel right, and the "
        "time?",
        vessel=parts["vessel"],
        when=parts["when"],
    ),
    "no-batch": lambda parts: say(
        "No batch ran in {vessel} then ({when}), so nothing is reckoned from it. Is the vessel right, and "
        "the time?",
        vessel=parts["vessel"],
        when=parts["when"],
    ),
    "gravity": lambda parts: say(
        "{salt} g of salt in a kg of brine is next to none. Was it the specific gravity that a "
        "hydrometer shows, {salt} sg?",
        salt=parts["salt"],
    ),
    "measured": _measured,
    "scale": lambda parts: say(
        "A hydrometer's reading says more with the temperature of the water and that printed on the "
        "scale (not given: {keys}). 25 °C is taken for what is not given. Is that right?",
        keys=parts["keys"].replace(" and ", ", "),
    ),
    "air": _air,
    "times-usual": _times_usual,
    "more-than-holds": lambda parts: say(
        "{amount} mL is more than there is room for: {one} holds {mark} mL. Is it right?",
        amount=parts["amount"],
        one=_of_one(parts),
        mark=parts["mark"],
    ),
    "no-room": lambda parts: say(
        "By the entries so far at most {room} mL were missing here: {one}. {amount} mL were poured in. "
        "Is it right?",
        room=parts["room"],
        one=_of_one(parts),
        amount=parts["amount"],
    ),
    "taken-out": lambda parts: say(
        "By the entries so far {one} held at most {held} mL, and {amount} mL were taken out. Is it right?",
        one=_of_one(parts),
        held=parts["held"],
        amount=parts["amount"],
    ),
    "brine": lambda parts: say(
        "{drawn} mL of brine were drawn off: was it brine that was poured in? Plain water leaves about "
        "{salt} g of salt in a kg of brine.",
        drawn=parts["drawn"],
        salt=parts["salt"],
    ),
    "most-of-it": lambda parts: say(
        "{amount} mL is most of what was in it: {one}. If the batch is over, note its end, too.",
        amount=parts["amount"],
        one=_of_one(parts),
    ),
}
