"""The letter before an unattended stretch: what to fill, what to check, what to expect."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import reduce
from math import isfinite

from reports import amounts, times, words
from reports.language import in_its_language, say, to_say
from reports.letters.absence_warmth import past_limits, warmth_lines, warmth_steps
from reports.letters.feed import feeding_care
from reports.letters.feeding import FeedDue, feed_lines, is_unseen
from reports.letters.page import Action, Block, Facts, Heading, Paragraph, letter, subject
from reports.letters.past_alarm import open_alarm
from reports.letters.pouring import LEAST_ML, before_leaving, due_lines, is_due, is_harvested, water_steps
from reports.letters.sentences import (
    CALCULATED,
    WIDE,
    action,
    mains,
    name,
    names,
    next_letter,
    place,
    silence,
)
from reports.letters.stages import is_emptied, is_hatch_ahead
from reports.records import Absence, BrineDue, Event, LampHours, LetterText, Range, Setting, TimeRange

_ABOVE_ML = 3.0  # a level that an eye tells from the mark
_FEED = to_say("feed as listed below, if the water is clear")
_FEED_IF_ANY = to_say("feed as listed below, if animals swim and the water is clear")
_AT_MARK = to_say("look once whether the water stands at the mark")
_AS_LISTED = to_say("look once whether the water stands as high as listed below")


@dataclass(frozen=True, slots=True)
class VesselOutlook:
    """A vessel over the coming absence. `fill_ml` is plain water to pour now, a cup; `above_mark_ml` how
    far over the mark that ends; `fill_holds` whether that much is believed (9 in 10) to stay between the
    brim and the low mark until the return; where it is not, `fill_fails` is the side that fails, `low` or
    `brim`. `stage` is one of `reports.letters.stages`. `brine` is due where plain water is not. `feed`
    is due before going; the coldest and hottest water of the whole absence are a forecast,
    None where there is none. `open_alarms` stand as they go; `has_heater` says that a heater is to hold it.
    """

    vessel: str
    count: int
    batch_set_at: datetime
    fill_ml: float
    above_mark_ml: float
    fill_holds: bool
    loss_ml_at_return: Range
    salinity_at_return: Range | None
    low_ml: float
    cold_c: float
    hot_c: float
    water_c_min_next_16h: Range | None
    lamp_hours: tuple[LampHours, ...]
    hatched_fraction: Range
    hatch_t10: TimeRange
    hatch_t50: TimeRange
    hatch_t90: TimeRange
    learned_top_ups: int
    stage: str
    feed: FeedDue | None = None
    water_c_min_away: Range | None = None
    water_c_max_away: Range | None = None
    fill_fails: str | None = None
    brine: BrineDue | None = None
    open_alarms: tuple[Event, ...] = ()
    has_heater: bool = False


@in_its_language
def leave_letter(setting: Setting, absence: Absence, outlooks: Sequence[VesselOutlook]) -> LetterText:
    """Before nobody is in the room: fill, check, go. `outlooks` holds at least one vessel."""
    now = setting.written_at
    blocks: list[Block] = [
        Paragraph(
            say(
                "Nobody is in the room from {began} until {ended}, for {length}.",
                began=times.moment(absence.leaves_at, now),
                ended=times.moment(absence.returns_at, now),
                length=times.duration(times.elapsed(absence.leaves_at, absence.returns_at)),
            )
        ),
        _to_do(setting, outlooks),
        Heading(say("How much to pour")),
        *(Facts(name(one), _fill_facts(one)) for one in outlooks),
        mains(),
        *([feeding_care()] if any(one.feed for one in outlooks) else []),
        Heading(say("What to expect")),
        *(Facts(name(one), _expected(setting, absence, one)) for one in outlooks),
        Paragraph(" ".join([say(CALCULATED), say("Temperatures to come are a forecast.")])),
        *([Paragraph(say(WIDE))] if any(_wide(one) for one in outlooks) else []),
        next_letter(setting),
        silence(setting),
    ]
    short, about, own = before_leaving(outlooks)
    lead = say("Before you go: {what} in {names}.", what=short, names=names(about))
    if own is not None:
        lead = say("Before you go: {what}.", what=own)
    if likely := past_limits(outlooks):
        lead = f"{likely.sentence} {lead}"
        due = any(is_due(one) for one in outlooks)
        short = say("{found} and more", found=likely.short) if due else likely.short
    subject_line = subject(say("Before you go: {what}", what=short), place(about), setting.station)
    return letter("leave", subject_line, lead, blocks, setting)


def _wide(one: VesselOutlook) -> bool:
    """Whether a range of its water stands in the letter and is wide."""
    return one.learned_top_ups == 0 and not is_harvested(one)


def _to_do(setting: Setting, outlooks: Sequence[VesselOutlook]) -> Action:
    steps = [*warmth_steps(outlooks), *water_steps(outlooks)]
    if any(alarm.kind == "probe" for one in outlooks for alarm in one.open_alarms):
        steps.append(say("see that the probes are plugged in and in their places"))
    if any(one.lamp_hours for one in outlooks):
        steps.append(say("see that the lamp's timer is on and set right"))
    if hungry := [one.feed for one in outlooks if one.feed is not None]:
        steps.append(say(_FEED_IF_ANY if is_unseen(hungry) else _FEED))
    at_mark = all(one.above_mark_ml < _ABOVE_ML for one in outlooks)
    steps = steps or [say(_AT_MARK if at_mark else _AS_LISTED)]
    what = reduce(lambda before, after: say("{before}; then {after}", before=before, after=after), steps)
    return action(setting, say("before you go, {what}.", what=what))


def _fill_facts(one: VesselOutlook) -> tuple[str, ...]:
    lines = [*(due_lines(one) or _fill(one)), *([] if is_harvested(one) else [_holds(one)])]
    if one.lamp_hours:
        lines.append(say("Lamp timer: on from {hours}.", hours=times.hours(one.lamp_hours)))
    if one.feed is not None:
        lines.extend(feed_lines(one.feed, small=True))
    return tuple(lines)


def _fill(one: VesselOutlook) -> list[str]:
    if one.fill_ml < LEAST_ML:
        end = amounts.level(-one.above_mark_ml)
        return [say("Fill: nothing. The water stands {level}, as calculated.", level=end)]
    poured, end = amounts.volume_with_spoons(one.fill_ml), _ends(one.above_mark_ml)
    tell = say("Tell it: {command}", command=_care_line(one))
    if one.count <= 1:
        return [
            say(
                "Fill: {amount} of plain water into the vessel, which ends {level}.", amount=poured, level=end
            ),
            tell,
        ]
    each_ml = round(one.fill_ml, 1 if one.fill_ml < 10.0 else 0)  # as it is written, so that the sum agrees
    pour = say(
        "Fill: {amount} of plain water into each cup, {total} in all, which ends {level}.",
        amount=poured,
        total=amounts.volume(each_ml * one.count),
        level=end,
    )
    return [pour, tell]


def _ends(above_mark_ml: float) -> str:
    if above_mark_ml < 0.5 or not isfinite(above_mark_ml):
        return amounts.level(-above_mark_ml)
    amount, spoons = amounts.number(above_mark_ml), amounts.spoons(above_mark_ml)
    return say("{amount} mL ({spoons}) above the mark", amount=amount, spoons=spoons)


def _care_line(one: VesselOutlook) -> str:
    """The line for the care log, ready to copy."""
    amount = amounts.plain_number(one.fill_ml, 1).removesuffix(".0")
    line = "to=mark" if one.above_mark_ml < 0.5 else f"above_ml={amounts.plain_number(one.above_mark_ml)}"
    return f"naupliad care add {words.clean(one.vessel)} top-up {amount} --detail {line}"


def _holds(one: VesselOutlook) -> str:
    if one.fill_holds:
        return say(
            "That is believed to last: with nine chances in ten the water stays under the brim and "
            "over the low mark until you are back."
        )
    if one.fill_fails == "brim":
        return say(
            "The water may stand over the brim: with more than one chance in ten. Look, and take some out, "
            "down to the mark; then tell the care log how much."
        )
    return say(
        "That may not last until you are back. If somebody can look in meanwhile, ask them to "
        "fill to the mark; if nobody can, fill to the mark first when you are back."
    )


def _expected(setting: Setting, absence: Absence, one: VesselOutlook) -> tuple[str, ...]:
    lines = [open_alarm(alarm, setting.written_at) for alarm in one.open_alarms]
    if not is_harvested(one):
        level = amounts.level_range(one.loss_ml_at_return)
        lines.append(say("Water at your return: {level}.", level=level))
        lines.append(say("Low mark: {amount} below the mark.", amount=amounts.volume(one.low_ml)))
    if one.salinity_at_return is not None and not is_harvested(one):
        lines.append(say("Salt at your return: {salt}.", salt=amounts.salinity_range(one.salinity_at_return)))
    lines.extend(_hatch(setting.written_at, absence, one))
    return (*lines, *warmth_lines(setting, one))


def _hatch(now: datetime, absence: Absence, one: VesselOutlook) -> list[str]:
    set_at = say("Set {when}.", when=times.moment(one.batch_set_at, now))
    hatched = say(
        "Hatched by now, of those that will: {share}.", share=amounts.percent_range(one.hatched_fraction)
    )
    if is_emptied(one):
        return [set_at]
    if one.hatched_fraction.p10 > 0.9 or not is_hatch_ahead(one):
        return [set_at, hatched]
    half = one.hatch_t50.p50
    when = times.moment_range(one.hatch_t50, now)
    unseen = half is not None and absence.leaves_at < half < absence.returns_at
    return [
        set_at,
        hatched,
        say("The first tenth: {when}.", when=times.moment_range(one.hatch_t10, now)),
        say("Half: {when}, while nobody is here.", when=when) if unseen else say("Half: {when}.", when=when),
        say("Nine in ten: {when}.", when=times.moment_range(one.hatch_t90, now)),
    ]
