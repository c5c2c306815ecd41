"""Letters of care: water, hatch and the sample."""

from collections.abc import Sequence

from reports import words
from reports.letters.page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letters.parts import (
    ASK_ABOUT_CUPS,
    HYGIENE,
    WIDE,
    action,
    name,
    names,
    next_letter,
    nobody_must_come,
    place,
    silence,
)
from reports.outlooks import HatchNews
from reports.records import LetterText, Setting, TimeRange
from reports.tongue import in_its_language, say, to_say
from reports.troubles import WaterTrouble

_LOW = to_say("The water in {names} is getting low: most likely {level}.")
_LOWEST = to_say("The water in {names} is getting low: the lowest is most likely {level}.")
_SHARES = to_say(
    "The shares are of those cysts that will hatch at all, and are calculated from what was told, not "
    "measured."
)
# From here on a hatch is told by its share, before by its hour.
_UNDER_WAY = 0.1


@in_its_language
def water_letter(setting: Setting, troubles: Sequence[WaterTrouble]) -> LetterText:
    """Water at the low mark or there before somebody comes; `troubles` holds at least one."""
    lowest = max(troubles, key=lambda trouble: trouble.loss_ml.p50)
    level = words.level(lowest.loss_ml.p50)
    pour = words.joined([_fill(trouble) for trouble in troubles])
    told = say(
        "pour plain water, not salt water, up to the mark: {pour}. Stop at the mark. Then tell the care log.",
        pour=pour,
    )
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(trouble), _water_facts(setting, trouble)) for trouble in troubles),
        Paragraph(say("These figures are calculated from what was told, not measured.")),
        *([Paragraph(say(WIDE))] if any(trouble.learned_top_ups == 0 for trouble in troubles) else []),
        Heading(say("What it means")),
        Paragraph(
            say(
                "Water leaves, salt stays: what is left grows saltier and shallower. In saltier water "
                "eggs (cysts) hatch later, and the animals have less room."
            )
        ),
        action(setting, told, told),
        *nobody_must_come(setting, ASK_ABOUT_CUPS),
        next_letter(setting),
    ]
    lead = say(_LOW if len(troubles) == 1 else _LOWEST, names=names(troubles), level=level)
    return letter(
        "water",
        subject(say("Water: {level}", level=level), place(troubles), setting.station),
        lead,
        blocks,
        setting,
    )


def _fill(trouble: WaterTrouble) -> str:
    poured, of = words.volume_with_spoons(trouble.fill_ml), name(trouble)
    if trouble.count > 1:
        return say("{amount} into each cup of {name}", amount=poured, name=of)
    return say("{amount} into the vessel of {name}", amount=poured, name=of)


def _water_facts(setting: Setting, trouble: WaterTrouble) -> tuple[str, ...]:
    told = [
        say(
            "Water in {where}: {level}.",
            where=words.in_each(trouble.count),
            level=words.level_range(trouble.loss_ml),
        ),
        say(
            "Low mark, {amount} below the mark: {reached}.",
            amount=words.volume(trouble.low_ml),
            reached=reached(trouble.low_mark_at, setting),
        ),
    ]
    if trouble.salinity_g_per_kg is not None:
        told.append(
            say(
                "Salt: {salt} (grams in a kilogram of brine).",
                salt=words.salinity_range(trouble.salinity_g_per_kg),
            )
        )
    return tuple(told)


def reached(at: TimeRange, setting: Setting) -> str:
    """When something is reached: already, or in the range believed."""
    now = setting.written_at
    if at.p90 is not None and at.p90 <= now:
        return say("reached already")
    if at.p50 is not None and at.p50 <= now:
        return say("most likely reached already")
    return words.moment_range(at, now)


@in_its_language
def hatch_letter(setting: Setting, news: Sequence[HatchNews]) -> LetterText:
    """A hatch that is near or has come; `news` holds at least one."""
    first = max(news, key=lambda one: one.hatched_fraction.p50)
    share = words.percent(first.hatched_fraction.p50)
    blocks: list[Block] = [
        Heading(say("What is known")),
        *(Facts(name(one), _hatch_facts(setting, one)) for one in news),
        Paragraph(say(_SHARES)),
        Heading(say("What it means")),
        Paragraph(
            say(
                "The first swimmers are easy to miss: orange dots that jerk along and gather where it is "
                "bright. They live on their yolk at first; a first feed on day three or four is common "
                "practice."
            )
        ),
        action(
            setting,
            say(
                "look into a cup with light from the side, and tell the care log what you see: first "
                "swimmers, or none yet."
            ),
            say(
                "look into a cup with light from the side, and tell the care log what you see. What you see "
                "then still counts."
            ),
        ),
        Caution(say(HYGIENE)),
        next_letter(setting),
    ]
    lead = _hatch_lead(setting, news, first)
    half = first.hatch_t50.p50
    coming = half is not None and half > setting.written_at and first.hatched_fraction.p50 < _UNDER_WAY
    told = (
        say("Hatch: half by {when}", when=words.short_moment(words.believed_moment(half)))
        if coming and half
        else say("Hatch: about {share}", share=share)
    )
    return letter("hatch", subject(told, place(news), setting.station), lead, blocks, setting)


def _hatch_lead(setting: Setting, news: Sequence[HatchNews], first: HatchNews) -> str:
    share = words.percent(first.hatched_fraction.p50)
    if first.hatched_fraction.p50 >= 0.9:
        return say(
            "The hatch in {names} is nearly done: most likely {share}.", names=names(news), share=share
        )
    if first.hatched_fraction.p50 >= _UNDER_WAY:
        return say("The hatch in {names} is under way: most likely {share}.", names=names(news), share=share)
    half = first.hatch_t50.p50
    if half is None:
        return say(
            "The hatch in {names} is near: most likely {share} so far.", names=names(news), share=share
        )
    return say(
        "The hatch in {names} is near: most likely {share} so far, half most likely {when}.",
        names=names(news),
        share=share,
        when=words.moment(words.believed_moment(half), setting.written_at),
    )


def _hatch_facts(setting: Setting, one: HatchNews) -> tuple[str, ...]:
    now = setting.written_at
    return (
        say(
            "Set {when}, {ago}.",
            when=words.moment(one.set_at, now),
            ago=words.ago(words.elapsed(one.set_at, now)),
        ),
        say("Hatched so far: {share}.", share=words.percent_range(one.hatched_fraction)),
        say("The first tenth: {when}.", when=words.moment_range(one.hatch_t10, now)),
        say("Half: {when}.", when=words.moment_range(one.hatch_t50, now)),
        say("Nine in ten: {when}.", when=words.moment_range(one.hatch_t90, now)),
    )


@in_its_language
def sample_letter(setting: Setting) -> LetterText:
    """A letter that shows that the post works and what letters look like."""
    blocks: list[Block] = [
        Paragraph(
            say(
                "If you can read this, letters reach you. Nothing is wrong and no cup is meant. Each "
                "letter tells what is known and since when, what it means for the animals, one thing to "
                "do, and when the next one comes."
            )
        ),
        Paragraph(
            say(
                "A temperature looks like this: {temperature}.",
                temperature=words.temperature(24.5, setting.unit),
            )
        ),
        Action(say("tell the person who set up the station that this letter came.")),
        next_letter(setting),
        silence(setting),
    ]
    told = subject(
        say("Sample letter, {when}", when=words.short_moment(setting.written_at)), "", setting.station
    )
    return letter(
        "sample",
        told,
        say("This is a sample letter from {station}.", station=setting.station),
        blocks,
        setting,
    )
