"""What was planned and what happened in a batch, as blocks."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from reports import amounts, night, times, words
from reports.batch.records import HatchTimes, PlannedBatch, ToldBatch
from reports.batch.watched import KNOWN_SHARE, watched
from reports.language import say, say_many, to_say
from reports.letters.blocks import Block, Facts, Heading, Paragraph, Table
from reports.records import TimeRange

_MOST_OUTAGES = _MOST_ALARMS = 8
_MOST_DEEDS = 40
# A report is read at any time, and a batch has two Mondays: no weekday alone says which day is meant.
_READ_AFTER = timedelta(days=366)
_BELOW, _ABOVE = to_say("Below {limit}: {length}"), to_say("Above {limit}: {length}")
_SAID_ELSEWHERE = frozenset({"first-swimmer", "hatched", "count", "set"})


def planned(batch: ToldBatch) -> list[Block]:
    """What was noted when it was set; says of each what was not."""
    plan, unknown = batch.planned, say("not noted")
    return [
        Heading(say("What was planned")),
        Facts(
            "",
            (
                *_for_a_lesson(batch),
                say("Set: {when}", when=times.full_moment(batch.record.span.began)),
                say("Cysts: {amount}", amount=_grams(plan) or unknown),
                say("Tin of cysts: {tin}", tin=words.clean(plan.tin) if plan.tin else unknown),
                say("Salt: {amount}", amount=_salt(plan) or unknown),
                say("Water: {amount}", amount=_water(plan)),
                say("Lamp: {lamp}", lamp=_lamp(plan)),
            ),
        ),
    ]


def _for_a_lesson(batch: ToldBatch) -> Iterable[str]:
    """The plan that was kept, where one was."""
    plan, now = batch.planned, _read_at(batch)
    if plan.set_at is not None:
        yield say("Planned to be set: {when}", when=times.full_moment(plan.set_at))
    if plan.lesson is not None:
        yield say("Planned for the lesson: {span}", span=times.short_span(plan.lesson, now))


def _in_the_lesson(batch: ToldBatch) -> str:
    """Whether the half-hatch fell there, by calculation; nothing where no plan was kept or none is known."""
    lesson, half = batch.planned.lesson, batch.believed.t50
    if lesson is None or half is None or half.p50 is None:
        return ""
    half_at = night.moment_utc(half.p50)
    if half_at < night.moment_utc(lesson.began):
        return say("By calculation half had most likely hatched before the lesson.")
    if half_at > night.moment_utc(lesson.ended):
        return say("By calculation half most likely hatched after the lesson.")
    return say("By calculation half most likely hatched in the lesson.")


def _grams(plan: PlannedBatch) -> str | None:
    return None if plan.cysts_g is None else f"{amounts.in_decimals(f'{plan.cysts_g:g}')} g"


def _salt(plan: PlannedBatch) -> str | None:
    if plan.salt_g_per_l is None:
        return None
    return say("{amount} g in a litre of water", amount=amounts.in_decimals(f"{plan.salt_g_per_l:g}"))


def _water(plan: PlannedBatch) -> str:
    if plan.volume_ml is not None:
        return amounts.volume(plan.volume_ml)
    return say("not noted; the mark is at {amount}", amount=amounts.volume(plan.mark_ml))


def _lamp(plan: PlannedBatch) -> str:
    if plan.light is None:
        return say("not noted")
    return say("with light") if plan.light else say("without light")


def happened(batch: ToldBatch) -> list[Block]:
    """What happened, measured before calculated, and what was done."""
    now = _read_at(batch)
    return [
        Heading(say("What happened")),
        Facts("", tuple(_watch(batch))),
        Facts(say("Warmth and light"), tuple(_warmth(batch))),
        *_hatch(batch),
        Facts(_water_title(batch), tuple(_water_and_salt(batch))),
        *_alarms(batch),
        Facts(say("What was done"), tuple(_deeds(batch, now))),
    ]


def _read_at(batch: ToldBatch) -> datetime:
    return batch.record.span.ended + _READ_AFTER


def _watch(batch: ToldBatch) -> Iterable[str]:
    seen, record = watched(batch), batch.record
    whole = times.elapsed(record.span.began, record.span.ended)
    yield say(
        "Watched: {share} of {length}",
        share=amounts.percent(seen.share),
        length=times.short_length(whole),
    )
    if seen.unread >= timedelta(minutes=10):
        yield say("Water not read, or not believed: {length}", length=times.short_length(seen.unread))
    for off in record.outages[:_MOST_OUTAGES]:
        yield say("Station off: {span}", span=times.short_span(off, _read_at(batch)))
    if (left := len(record.outages) - _MOST_OUTAGES) > 0:
        yield say_many("Station off: {count} more time", "Station off: {count} more times", left)
    for doubt in record.doubts:
        yield say("Probe {probe}: {doubt}", probe=words.clean(doubt.kind), doubt=words.clean(doubt.text))
    if not record.clock_sure:
        yield say("The station's clock was not sure all the time: hours and dates may be wrong.")


def _warmth(batch: ToldBatch) -> Iterable[str]:
    vessel, record = batch.vessel, batch.record
    found, unit = night.extremes(vessel.water_c), record.unit
    if found is None:
        yield say("Water: no readings")
    else:
        for name, point in ((say("Coldest"), found.coldest), (say("Warmest"), found.warmest)):
            yield say(
                "{name}: {water}, {when}",
                name=name,
                water=amounts.temperature(point.value or 0.0, unit),
                when=times.short_dated(point.at, _read_at(batch)),
            )
        seen = watched(batch)
        for sentence, length, limit_c in (
            (_BELOW, seen.cold, vessel.cold_c),
            (_ABOVE, seen.hot, vessel.hot_c),
        ):
            limit = amounts.temperature(limit_c, unit)
            yield say(sentence, limit=limit, length=_or_never(length, seen.share))
    if vessel.lamp_hours and vessel.light_unit is not None:
        lamp = night.lamp_seen(vessel, record.span)
        yield say(
            "Lamp in its hours: lit {lit}, dark {dark}, not seen {unseen}",
            lit=times.short_length(lamp.lit),
            dark=times.short_length(lamp.dark),
            unseen=times.short_length(lamp.unseen),
        )


def _or_never(length: timedelta, share: float) -> str:
    """How long; of what was not watched all the time nobody says "never"."""
    if length:
        return times.short_length(length)
    return say("never") if share >= KNOWN_SHARE else say("never while it was watched")


def _hatch(batch: ToldBatch) -> list[Block]:
    now = _read_at(batch)
    rows = [
        (name, _when(first, now), _when(last, now))
        for name, first, last in (
            (say("A tenth hatched"), batch.expected.t10, batch.believed.t10),
            (say("Half hatched"), batch.expected.t50, batch.believed.t50),
            (say("Nine tenths hatched"), batch.expected.t90, batch.believed.t90),
        )
    ]
    looks = [
        say("{when}: {seen}", when=times.short_dated(one.at, now), seen=words.clean(one.text))
        for one in batch.looks
    ]
    parts: list[Block] = [Heading(say("The hatch"))]
    if _any(batch.expected) or _any(batch.believed):
        head = (say("Of those that can hatch"), say("Expected when set"), say("Calculated at the end"))
        parts.append(Table(head, tuple(rows)))
    if batch.hatchable is not None:
        parts.append(
            Paragraph(
                say(
                    "Of all cysts can hatch, calculated: {share}.",
                    share=amounts.percent_range(batch.hatchable),
                )
            )
        )
    if in_lesson := _in_the_lesson(batch):
        parts.append(Paragraph(in_lesson))
    seen = looks or [say("Nobody noted first swimmers, a share or a count.")]
    return [*parts, Facts(say("Seen"), tuple(seen))]


def _any(moments: HatchTimes) -> bool:
    return any(one is not None for one in (moments.t10, moments.t50, moments.t90))


def _when(believed: TimeRange | None, now: datetime) -> str:
    return say("not known") if believed is None else times.short_range(believed, now)


def _water_title(batch: ToldBatch) -> str:
    return say("Water and salt, of one cup") if batch.vessel.count > 1 else say("Water and salt")


def _water_and_salt(batch: ToldBatch) -> Iterable[str]:
    water, vessel = batch.water, batch.vessel
    gone = water.gone_ml
    if gone is None:
        yield say("Evaporated: not known")
    else:
        yield say(
            "Evaporated, calculated: {range}, {a_day} mL a day",
            range=_ml_range(gone.p10, gone.p50, gone.p90),
            a_day=amounts.number(gone.p50 / max(water.days, 1 / 24)),
        )
    yield say("Poured in: {amount}", amount=amounts.volume(water.poured_ml))
    if water.drawn_ml:
        yield say("Taken out or drawn off: {amount}", amount=amounts.volume(water.drawn_ml))
    salt = [one.range.p50 for one in vessel.salinity_g_per_kg]
    if salt:
        yield say(
            "Salt in a kg of brine, calculated: {low} to {high} g",
            low=amounts.number(min(salt), 1),
            high=amounts.number(max(salt), 1),
        )


def _ml_range(low: float, likely: float, high: float) -> str:
    return say(
        "most likely {likely} ({low} to {high})",
        likely=amounts.volume(likely),
        low=amounts.number(low),
        high=amounts.number(high),
    )


def _alarms(batch: ToldBatch) -> list[Block]:
    vessel, now = batch.vessel, _read_at(batch)
    past = [
        say("{alarm}: {span}", alarm=words.capital(one.text), span=times.short_span(one.span, now))
        for one in vessel.past_alarms
    ]
    still = [
        say(
            "{alarm}: since {when}, to the end",
            alarm=words.capital(one.text),
            when=times.short_dated(one.at, now),
        )
        for one in vessel.open_alarms
    ]
    lines = [*past, *still]
    more = len(lines) - _MOST_ALARMS
    left = [say_many("{count} more alarm", "{count} more alarms", more)] if more > 0 else []
    none = [say("No alarm stood.")] if not lines else []
    return [Facts(say("Alarms"), (*lines[:_MOST_ALARMS], *left, *none))]


def _deeds(batch: ToldBatch, now: datetime) -> Sequence[str]:
    done = [one for one in batch.vessel.deeds if one.kind not in _SAID_ELSEWHERE]
    lines = [
        say("{when}: {deed}", when=times.short_dated(one.at, now), deed=words.clean(one.text))
        for one in done[:_MOST_DEEDS]
    ]
    if (more := len(done) - _MOST_DEEDS) > 0:
        lines.append(
            say_many("{count} more entry in the care log", "{count} more entries in the care log", more)
        )
    if batch.ended_at is not None:
        lines.append(say("{when}: batch ended", when=times.short_dated(batch.ended_at, now)))
    return lines or [say("Nothing was noted between setting and now.")]
