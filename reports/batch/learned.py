"""What a batch taught, in plain words: what was believed before it and after it."""

from reports import amounts
from reports.batch.records import ColdNights, Taught, ToldBatch
from reports.language import say, say_many, to_say
from reports.letters.blocks import Block, Heading, Paragraph, Table
from reports.records import Range

# Each unknown's name in words, its digits and its unit; the order is the order on the page.
_UNKNOWNS = {
    "k": (to_say("Evaporation, as a multiple of what the laws say"), 2, ""),
    "t50_h_at_25_c": (to_say("These cysts: half hatched, in water of 25 °C, after"), 1, to_say("hours")),
    "synchrony": (to_say("These cysts: spread of the hatch, as a share of that time"), 2, ""),
    "hatchable_share": (to_say("These cysts: share that can hatch"), 0, "%"),
    "lamp_rise_k": (to_say("The lamp lifts the water by"), 1, "K"),
    "time_constant_h": (to_say("A change of warmth fades to a third in"), 1, to_say("hours")),
    "heater_c": (to_say("A heater holds the water at"), 1, "°C"),
}
# These are said also where nothing was learned of them.
_ALWAYS = frozenset({"k", "t50_h_at_25_c", "hatchable_share"})
_NARROWER = 0.8  # of its width before: then something was learned worth a word, our own choice


def learned(batch: ToldBatch) -> list[Block]:
    """A table of before and after, and the room's nights."""
    unit = batch.record.unit
    rows = [row for name in _UNKNOWNS if (row := _row(batch, name, unit)) is not None]
    nights = (
        say("Nights: the coldest water"),
        _nights(batch.nights_before, unit),
        _nights(batch.nights, unit),
    )
    head = (say("What is believed"), say("Before this batch"), say("After it"))
    return [
        Heading(say("What was learned")),
        *([Paragraph(_summary(batch))] if _is_believed(batch) else []),
        Table(head, (*rows, nights)),
        Paragraph(say("A range holds what is believed with eight chances in ten.")),
    ]


def _is_believed(batch: ToldBatch) -> bool:
    """Whether all was asked that was learned; where the store alone was, nobody knows how much it is."""
    return any(one.name == "k" for one in batch.learned)


def _summary(batch: ToldBatch) -> str:
    taught = [one for one in batch.learned if one.name in _UNKNOWNS and _is_narrower(one)]
    if not taught:
        return say(
            "This batch taught hardly anything new: look, count and fill to the mark, and the next one will."
        )
    return say_many(
        "{count} thing is known better than before.",
        "{count} things are known better than before.",
        len(taught),
    )


def _is_narrower(one: Taught) -> bool:
    if one.before is None or one.after is None:
        return one.after is not None
    before, after = (_width(known) for known in (one.before, one.after))
    return after < _NARROWER * before


def _width(known: Range) -> float:
    """Against its middle: a factor that turns out to be large is no less known for that."""
    return (known.p90 - known.p10) / max(abs(known.p50), 1e-9)


def _row(batch: ToldBatch, name: str, unit: str) -> tuple[str, ...] | None:
    found = next((one for one in batch.learned if one.name == name), None)
    if found is None or (found.before is None and found.after is None):
        return None
    if name not in _ALWAYS and found.before == found.after:
        return None
    label, _, _ = _UNKNOWNS[name]
    if unit == "F":
        label = _FAHRENHEIT.get(name, label)
    return say(label), _value(name, found.before, unit), _value(name, found.after, unit)


_FAHRENHEIT = {"t50_h_at_25_c": to_say("These cysts: half hatched, in water of 77 °F, after")}


def _value(name: str, known: Range | None, unit: str) -> str:
    if known is None:
        return say("not known")
    _, digits, measure = _UNKNOWNS[name]
    ends = [known.p10, known.p50, known.p90]
    if name == "hatchable_share":
        ends = [one * 100 for one in ends]
    if unit == "F" and measure == "K":
        ends, measure = [one * 1.8 for one in ends], "°F"
    elif measure == "K":
        measure = "°C"
    elif unit == "F" and measure == "°C":
        ends, measure = [amounts.in_unit(one, unit) for one in ends], "°F"
    low, likely, high = (amounts.number(one, digits) for one in ends)
    shown = say(measure) if measure else ""
    if low == high:
        return f"{likely} {shown}".strip()
    return say("{likely} ({low} to {high})", likely=f"{likely} {shown}".strip(), low=low, high=high)


def _nights(nights: ColdNights | None, unit: str) -> str:
    if nights is None:
        return say("not known")
    cold = amounts.temperature(nights.coldest_c, unit)
    if nights.count == 1:
        return say("one night: {coldest}", coldest=cold)
    return say(
        "{count} nights: mostly {middle}, once {coldest}",
        count=nights.count,
        middle=amounts.temperature(nights.middle_c, unit),
        coldest=cold,
    )
