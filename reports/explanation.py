"""Why the numbers are what they are: what `naupliad now --explain` says, in plain words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from reports import amounts, times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.records import Range, Setting, Span

PAGE = "docs/explanation/science.md"
_TITLES = {
    "water": to_say("Water: how much is gone, how fast, and when it is low"),
    "salt": to_say("Salt"),
    "hatch": to_say("Hatch: how far, and when"),
    "warmth": to_say("Warmth: the coldest and hottest to come"),
}
_MODELS = {
    "water": to_say(
        "Two published laws of evaporation (Shah's and Rohwer's) on the water's warmth, weighed by the "
        "top-ups, times a learned factor of this vessel."
    ),
    "salt": to_say("The grams in the care log stay in the vessel; the water around them is the level above."),
    "hatch": to_say(
        "Time in the water, weighted by how fast cysts develop at its warmth, against how slow and uneven "
        "these cysts may be."
    ),
    "warmth": to_say(
        "The vessel as one lump between room and lamp; the room by the hour and by school day or not, as it "
        "was seen here."
    ),
}
_ALONE = to_say("It learns from the readings alone.")
_SECTIONS = {"water": "Water", "salt": "Brine", "hatch": "Hatch", "warmth": "Warmth"}
_KNOWNS = {
    "k": (to_say("This vessel's factor: {value}."), 2, ""),
    "salt_g": (to_say("Salt in the vessel: {value}."), 2, "g"),
    "t50_h_at_25_c": (
        to_say("Half hatched, in water of 25 °C all the time, after: {value}."),
        1,
        to_say("hours"),
    ),
    "synchrony": (to_say("Spread of the hatch, as a share of that time: {value}."), 2, ""),
    "time_constant_h": (to_say("A change of warmth fades to a third in: {value}."), 1, to_say("hours")),
    "lamp_rise_k": (to_say("The lamp lifts the water by: {value}."), 1, "K"),
    "heater_c": (to_say("A heater holds the water at: {value}."), 1, "°C"),
    "offset_k": (to_say("Without a lamp the water stands against the room by: {value}."), 1, "K"),
}


@dataclass(frozen=True, slots=True)
class Observations:
    """Observations of one kind that a belief learned from: how many, and the last."""

    kind: str
    count: int
    last_at: datetime


@dataclass(frozen=True, slots=True)
class Ground:
    """What some estimates rest on.

    `model` is "water", "salt", "hatch" or "warmth"; `span` the record they were computed from (None: there
    is none), `unread` how much of it had no readings. `knowns` are the model's own unknowns as believed now.
    """

    model: str
    quantities: tuple[str, ...]
    span: Span | None
    unread: timedelta
    observations: tuple[Observations, ...]
    knowns: tuple[tuple[str, Range], ...]


@in_its_language
def explanation(setting: Setting, vessel: str, count: int, grounds: Sequence[Ground]) -> str:
    """What a vessel's estimates rest on, model by model; says so where no batch runs."""
    name = words.vessel_name(vessel, count)
    if not grounds:
        return say("{name}: no batch running, so nothing is estimated.", name=name)
    parts = [
        "\n".join([title, *(f"  {line}" for line in lines)]) for title, lines in explained(setting, grounds)
    ]
    return "\n\n".join([say("{name}: what the numbers rest on", name=name), *parts])


@in_its_language
def explained(setting: Setting, grounds: Sequence[Ground]) -> list[tuple[str, tuple[str, ...]]]:
    """Each model's name, and line by line what its numbers rest on."""
    return [(say(_TITLES[one.model]), _lines(setting, one)) for one in grounds]


def _lines(setting: Setting, ground: Ground) -> tuple[str, ...]:
    return (
        say(_MODELS[ground.model]),
        _record(setting, ground),
        *(_known(name, believed) for name, believed in ground.knowns),
        say(_ALONE) if ground.model == "warmth" else _learned(setting, ground.observations),
        say("Numbers: {quantities}.", quantities=", ".join(ground.quantities)),
        say('More: {page}, section "{section}".', page=PAGE, section=_SECTIONS[ground.model]),
    )


def _record(setting: Setting, ground: Ground) -> str:
    if ground.span is None:
        return say("Computed from no readings yet: only from what is usual.")
    began = times.moment(ground.span.began, setting.written_at)
    ended = times.moment(ground.span.ended, setting.written_at)
    if ground.unread.total_seconds() < 60:
        return say("Computed from the water's readings from {began} to {ended}.", began=began, ended=ended)
    return say(
        "Computed from the water's readings from {began} to {ended}, {length} of it unread.",
        began=began,
        ended=ended,
        length=times.duration(ground.unread),
    )


def _known(name: str, believed: Range) -> str:
    sentence, digits, unit = _KNOWNS[name]
    ends = [amounts.number(value, digits) for value in (believed.p10, believed.p50, believed.p90)]
    return say(sentence, value=_value(ends, say(unit) if unit else ""))


def _value(ends: Sequence[str], unit: str) -> str:
    low, likely, high = ends
    if low == high:
        return f"{likely} {unit}".strip()
    return say(
        "between {low} and {high}, most likely {likely}",
        low=low,
        high=f"{high} {unit}".strip(),
        likely=f"{likely} {unit}".strip(),
    )


def _learned(setting: Setting, observations: Sequence[Observations]) -> str:
    if not observations:
        return say("Nobody's observation has taught it anything yet.")
    last = times.moment(max(one.last_at for one in observations), setting.written_at)
    seen = words.joined([_counted(one) for one in observations])
    return say("Learned from {observations}; the last {when}.", observations=seen, when=last)


def _counted(one: Observations) -> str:
    count = one.count
    match one.kind:
        case "top-up":
            return say_many("{count} filling to a known level", "{count} fillings to a known level", count)
        case "salinity":
            return say_many("{count} measuring of the salt", "{count} measurings of the salt", count)
        case "float":
            return say_many(
                "{count} change of the float switch", "{count} changes of the float switch", count
            )
        case "set":
            return say_many("{count} batch set", "{count} batches set", count)
        case "brine":
            return say_many("{count} pouring of salt water", "{count} pourings of salt water", count)
        case "remove":
            return say_many("{count} taking out of water", "{count} takings out of water", count)
        case "harvest":
            return say_many("{count} harvest", "{count} harvests", count)
        case "first-swimmer":
            return say_many("{count} first swimmer seen", "{count} first swimmers seen", count)
        case "hatched":
            return say_many("{count} hatched share judged", "{count} hatched shares judged", count)
        case "count":
            return say_many("{count} count", "{count} counts", count)
        case "lot":
            return say_many(
                "{count} other batch of the same tin", "{count} other batches of the same tin", count
            )
    raise ValueError(f"observations: found {one.kind!r}; allowed: a kind of observation that teaches")
