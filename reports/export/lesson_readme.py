"""What goes with a batch for a lesson: its files and their columns, in the station's language."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from reports import times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.records import Setting

_MEASURES: Mapping[str, str] = {
    "water_c": to_say("warmth of the water"),
    "room_c": to_say("warmth of the room's air"),
    "room_rh_pct": to_say("humidity of the room's air"),
    "light_lux": to_say("light"),
    "light_fraction": to_say("light, as a share of what the probe can tell"),
    "float_low": to_say("float switch: 1 when the water is low"),
}
_QUALITIES: Mapping[str, str] = {
    "good": to_say("believed"),
    "absent": to_say("the probe did not answer"),
    "crc": to_say("garbled on the wire"),
    "reset": to_say("the probe had just been switched on"),
    "range": to_say("beyond what can be"),
    "jump": to_say("it changed as water does not"),
    "stuck": to_say("it no longer changed"),
    "in-air": to_say("the probe hung in air"),
}
_QUANTITIES: Mapping[str, str] = {
    "hatched_fraction": to_say("how many have hatched, of those that will: 0 none, 1 all"),
    "hatch_t10": to_say("when a tenth has hatched"),
    "hatch_t50": to_say("when half has hatched"),
    "hatch_t90": to_say("when nine in ten have hatched"),
    "instar_ii_at": to_say("when the middle animal can eat"),
    "hatchable_share": to_say("how many of all eggs (cysts) will hatch at all"),
    "loss_ml": to_say("how far the water stands below the mark; less than 0: above it"),
    "loss_ml_per_day": to_say("how much evaporates in a day"),
    "salinity_g_per_kg": to_say("grams of salt in a kilogram of brine"),
    "low_mark_at": to_say("when the water is at the low mark"),
    "water_c_min_next_16h": to_say("the coldest water of the next 16 hours"),
    "water_c_max_next_16h": to_say("the hottest water of the next 16 hours"),
    "has_heater": to_say("whether a heater holds the water: 1 yes, 0 no"),
    "fill_ml": to_say("plain water to pour before people leave for a day or more"),
    "water_c_min_away": to_say("the coldest water while they are away"),
    "water_c_max_away": to_say("the hottest water while they are away"),
    "harvest_opens_at": to_say("when the best time to harvest begins"),
    "harvest_closes_at": to_say("when the best time to harvest ends"),
}


@dataclass(frozen=True, slots=True)
class LessonBatch:
    """A batch for a lesson. `runs`: it is not over yet. `step_min` is how far apart its readings are, in
    minutes, `charts` how many nights' charts go with it.
    """

    vessel: str
    count: int
    set_at: datetime
    until: datetime
    runs: bool
    step_min: int
    charts: int


@in_its_language
def lesson_readme(setting: Setting, batch: LessonBatch) -> str:
    """The whole text, a paragraph's lines each on its own."""
    paragraphs = [
        *_about(setting, batch),
        say(
            "The tables: open them by your spreadsheet program's import, as UTF-8, with commas between "
            "columns and points in numbers."
        ),
        _columns(),
        _readings(batch),
        _estimates(),
        _deeds(),
        *_charts(batch),
        say(
            "Notes stand as they were written. Before you hand this on, read them and leave out what names "
            "people."
        ),
    ]
    return "\n\n".join(paragraphs) + "\n"


def _about(setting: Setting, batch: LessonBatch) -> list[str]:
    name = words.vessel_name(batch.vessel, batch.count)
    until = times.full_moment(batch.until)
    span = say("Set: {when}.", when=times.full_moment(batch.set_at))
    ends = (
        say("Up to: {when}; it still runs.", when=until) if batch.runs else say("Over: {when}.", when=until)
    )
    one = [say("Amounts and volumes are of one cup.")] if batch.count > 1 else []
    head = say("{station}: a batch of brine shrimp in {name}", station=setting.station, name=name)
    return [head, "\n".join([span, ends, *one])]


def _columns() -> str:
    return "\n".join(
        [
            say("In every table:"),
            _line("hours_since_set", say("hours since the batch was set")),
            _line("at_local", say("when, by the clock on the wall")),
            _line("at_utc", say("when, by the clock that is the same all over the world (UTC)")),
            _line("unit", say("the unit of the numbers in that row; 1 is a share, or yes and no")),
        ]
    )


def _readings(batch: LessonBatch) -> str:
    every = say_many(
        "readings.csv: what the probes read, one reading in {count} minute",
        "readings.csv: what the probes read, one reading in {count} minutes",
        batch.step_min,
    )
    return "\n".join(
        [
            every,
            _line("probe", say("which probe")),
            _line("measures", say("what it measures:")),
            *_lines(_MEASURES),
            _line("value", say("what it read; empty where it gave nothing")),
            _line("quality", say("good, or why it is not believed:")),
            *_lines(_QUALITIES),
        ]
    )


def _estimates() -> str:
    return "\n".join(
        [
            say("estimates.csv: what was calculated at that moment, and how sure it was"),
            _line("quantity", say("what of:")),
            *_lines(_QUANTITIES),
            _line("p50", say("the middle: as likely too high as too low")),
            _line("p10, p90", say("four times in five the truth should lie between these two")),
            _line(
                "p50_local",
                say("the middle as a moment, where it is one; its number counts seconds since 1970"),
            ),
        ]
    )


def _deeds() -> str:
    return "\n".join(
        [
            say("deeds.csv: what people did"),
            _line("deed", say("what was done, by its short name in the care log")),
            _line("amount", say("how much")),
            _line(
                "detail", say("more about it; an apostrophe before a sign keeps a note from being calculated")
            ),
        ]
    )


def _charts(batch: LessonBatch) -> list[str]:
    if not batch.charts:
        return []
    return [
        say_many(
            "charts: the chart of {count} night, named by the day of its letter",
            "charts: the charts of {count} nights, each named by the day of its letter",
            batch.charts,
        )
    ]


def _line(column: str, about: str) -> str:
    return f"  {column}: {about}"


def _lines(values: Mapping[str, str]) -> list[str]:
    return [f"    {value}: {say(about)}" for value, about in values.items()]
