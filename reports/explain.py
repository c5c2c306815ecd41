"""Why the numbers are what they are: what `naupliad now --explain` says, in plain words."""

from collections.abc import Sequence

from reports import words
from reports.records import Ground, Range, Setting, Taught

PAGE = "docs/explanation/science.md"
_TITLES = {
    "water": "Water: how much is gone, how fast, and when it is low",
    "salt": "Salt",
    "hatch": "Hatch: how far, and when",
    "warmth": "Warmth: the coldest and hottest to come",
}
_MODELS = {
    "water": "A published law of evaporation (Shah's) on the water's measured warmth, times a factor of this "
    "vessel that is learned.",
    "salt": "The grams that were told stay in the vessel; the water around them is the level above.",
    "hatch": "Time in the water, weighted by how fast cysts develop at its warmth, against how slow and "
    "uneven this lot may be.",
    "warmth": "The vessel as one lump between room and lamp; the room by the hour and by school day or not, "
    "as it was seen here.",
}
_ALONE = "It learns from the readings alone."
_SECTIONS = {"water": "Water", "salt": "Brine", "hatch": "Hatch", "warmth": "Warmth"}
_KNOWNS = {
    "k": ("This vessel's factor", 2, ""),
    "salt_g": ("Salt in the vessel", 2, " g"),
    "t50_h_at_25_c": ("Half hatched, in water of 25 °C all the time, after", 1, " hours"),
    "synchrony": ("Spread of the hatch, as a share of that time", 2, ""),
    "time_constant_h": ("A change of warmth fades to a third in", 1, " hours"),
    "lamp_rise_k": ("The lamp lifts the water by", 1, " K"),
    "offset_k": ("Without a lamp the water stands against the room by", 1, " K"),
}
_TAUGHT = {
    "top-up": ("filling to a known level", "fillings to a known level"),
    "salinity": ("measured salinity", "measured salinities"),
    "float": ("change of the float switch", "changes of the float switch"),
    "set": ("batch set", "batches set"),
    "brine": ("pouring of salt water", "pourings of salt water"),
    "remove": ("taking out of water", "takings out of water"),
    "harvest": ("harvest", "harvests"),
    "first-swimmer": ("first swimmer seen", "first swimmers seen"),
    "hatched": ("hatched share judged", "hatched shares judged"),
    "count": ("count", "counts"),
    "lot": ("other batch of the same lot", "other batches of the same lot"),
}


def explanation(setting: Setting, vessel: str, count: int, grounds: Sequence[Ground]) -> str:
    """What a vessel's estimates rest on, model by model; says so where no batch runs."""
    name = words.vessel_name(vessel, count)
    if not grounds:
        return f"{name}: no batch running, so nothing is estimated."
    return "\n\n".join([f"{name}: what the numbers rest on", *(_ground(setting, one) for one in grounds)])


def _ground(setting: Setting, ground: Ground) -> str:
    lines = [
        _MODELS[ground.model],
        _record(setting, ground),
        *(_known(name, believed) for name, believed in ground.knowns),
        _ALONE if ground.model == "warmth" else _learned(setting, ground.taught),
        f"Numbers: {', '.join(ground.quantities)}.",
        f'More: {PAGE}, section "{_SECTIONS[ground.model]}".',
    ]
    return "\n".join([_TITLES[ground.model], *(f"  {line}" for line in lines)])


def _record(setting: Setting, ground: Ground) -> str:
    if ground.span is None:
        return "Computed from no readings yet: only from what is usual."
    began = words.moment(ground.span.began, setting.written_at)
    ended = words.moment(ground.span.ended, setting.written_at)
    unread = "" if ground.unread.total_seconds() < 60 else f", {words.duration(ground.unread)} of it unread"
    return f"Computed from the water's readings from {began} to {ended}{unread}."


def _known(name: str, believed: Range) -> str:
    title, digits, unit = _KNOWNS[name]
    low, likely, high = (words.number(value, digits) for value in (believed.p10, believed.p50, believed.p90))
    if low == high:
        return f"{title}: {likely}{unit}."
    return f"{title}: between {low} and {high}{unit}, most likely {likely}{unit}."


def _learned(setting: Setting, taught: Sequence[Taught]) -> str:
    if not taught:
        return "Nobody's observation has taught it anything yet."
    told = [words.many(one.count, *_TAUGHT[one.kind]) for one in taught]
    last = words.moment(max(one.last_at for one in taught), setting.written_at)
    return f"Learned from {words.joined(told)}; the last {last}."
