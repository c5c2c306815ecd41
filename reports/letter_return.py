"""The letter on the morning of the first day back: how everything stands, in one glance."""

from collections.abc import Callable, Sequence

from reports import night, words
from reports.dilution import LEAST_ML
from reports.letter_page import Action, Block, Caution, Facts, Heading, Paragraph, letter, subject
from reports.letter_parts import CALCULATED, HYGIENE, action, name, names, next_letter, place, silence
from reports.records import LetterText, ReturnNews, ReturnVessel, Setting, Span

# From here on somebody who looks most likely sees swimmers, or sees that nearly all have hatched.
_SWIMMERS, _HATCHED = 0.05, 0.9
_Chosen = tuple[str, Sequence[ReturnVessel], str]


def return_letter(setting: Setting, news: ReturnNews) -> LetterText:
    """The end of an absence: the most useful thing first, then a block for each vessel."""
    short, about, told = _first(news.vessels)
    blocks: list[Block] = [
        _action(setting, told),
        Heading("How they stand"),
        *(Facts(name(one), _facts(setting, one)) for one in news.vessels),
        *([Paragraph(f"Water, salt and hatch are {CALCULATED}.")] if news.vessels else []),
        Heading("What was seen"),
        Facts("", _seen(setting, news)),
        Caution(HYGIENE),
        next_letter(setting),
        silence(setting),
    ]
    who = f" in {names(about)}" if about else ""
    lead = f"Back after {_length(news)}: {short}{who}."
    return letter("return", subject(f"Back: {short}", _place(about), setting.station), lead, blocks, setting)


def _length(news: ReturnNews) -> str:
    return words.duration(words.elapsed(news.absence.leaves_at, news.absence.returns_at))


def _place(about: Sequence[ReturnVessel]) -> str:
    return place(about) if about else ""


def _action(setting: Setting, told: str) -> Action:
    return action(setting, told, told)


def _first(vessels: Sequence[ReturnVessel]) -> _Chosen:
    """What to do first: in a few words, about which vessels, and in a sentence."""
    choices: tuple[Callable[[Sequence[ReturnVessel]], _Chosen | None], ...] = (
        _heat,
        _fill,
        _other_alarms,
        _swimmers,
        _feed,
    )
    for choice in choices:
        chosen = choice(vessels)
        if chosen is not None:
            return chosen
    return (
        "nothing urgent",
        (),
        "look into each cup once, with light from the side, and tell the care log what you see.",
    )


def _alarmed(vessels: Sequence[ReturnVessel], *kinds: str) -> list[ReturnVessel]:
    return [one for one in vessels if any(alarm.kind in kinds for alarm in one.open_alarms)]


def _heat(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    hot = _alarmed(vessels, "hot")
    told = (
        "look, with dry hands, whether the sun or a lamp makes the water hot, and take that away. Do not "
        "add ice."
    )
    return ("too warm", hot, told) if hot else None


def _fill(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    dry = [one for one in vessels if one.fill_ml >= LEAST_ML]
    if not dry:
        return None
    poured = words.joined([f"{words.volume_with_spoons(one.fill_ml)} into {_where(one)}" for one in dry])
    amounts = {words.volume(one.fill_ml) for one in dry}
    most = words.volume(max(one.fill_ml for one in dry))
    each = " a cup" if any(one.count > 1 for one in dry) else ""
    told = (
        f"pour plain water, not salt water, up to the mark: {poured}. Stop at the mark. Then tell the care "
        "log."
    )
    return f"pour {'' if len(amounts) == 1 else 'up to '}{most}{each}", dry, told


def _where(one: ReturnVessel) -> str:
    return f"each cup of {name(one)}" if one.count > 1 else name(one)


def _other_alarms(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    troubled = [one for one in vessels if one.open_alarms]
    if not troubled:
        return None
    alarms = words.many(sum(len(one.open_alarms) for one in troubled), "alarm")
    return (
        f"{alarms} open",
        troubled,
        f"look first at {names(troubled)}: what is not well there is told below.",
    )


def _swimmers(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    new = [one for one in vessels if one.hatched_fraction.p50 >= _SWIMMERS and not one.feed]
    if not new:
        return None
    share = words.percent(max(one.hatched_fraction.p50 for one in new))
    told = "look for swimmers with light from the side, and tell the care log what you see."
    return f"about {share} hatched", new, told


def _feed(vessels: Sequence[ReturnVessel]) -> _Chosen | None:
    hungry = [one for one in vessels if one.feed]
    told = (
        "if you can see through the water, give a pinch of food to "
        f"{words.joined([_where(one) for one in hungry])}. If it is cloudy, do not feed."
    )
    return ("feed a pinch", hungry, told) if hungry else None


def _facts(setting: Setting, one: ReturnVessel) -> tuple[str, ...]:
    now = setting.written_at
    told = [
        f"Not well: {words.clean(alarm.text)}, since {words.moment(alarm.at, now)}."
        for alarm in one.open_alarms
    ]
    told += [
        f"Over now: {words.clean(past.text)}, from {words.moment(past.span.began, now)} to "
        f"{words.moment(past.span.ended, now)}."
        for past in one.past_alarms
    ]
    told += _water(setting, one)
    told += [f"Hatched, of those that will: {words.percent_range(one.hatched_fraction)}."]
    if not one.hatched_fraction.p10 > _HATCHED:
        told.append(f"Half hatched: {words.moment_range(one.hatch_t50, now)}.")
    if one.feed:
        told.append("A feed is due: a pinch, only if the water is clear.")
    return tuple(told)


def _water(setting: Setting, one: ReturnVessel) -> list[str]:
    unit = setting.unit
    now = "not known" if one.water_c is None else words.temperature(one.water_c, unit)
    told = [f"Water now: {now}."]
    if one.coldest_c is not None and one.hottest_c is not None:
        low, high = words.temperature(one.coldest_c, unit), words.temperature(one.hottest_c, unit)
        told.append(f"While you were away: from {low} to {high}.")
    told.append(f"Water in {words.each_of(one.count)}: {words.level_range(one.loss_ml)}.")
    if one.salinity_g_per_kg is not None:
        told.append(f"Salt: {words.salinity_range(one.salinity_g_per_kg)}.")
    return told


def _seen(setting: Setting, news: ReturnNews) -> tuple[str, ...]:
    now, away = setting.written_at, news.absence
    told = [
        f"Nobody was there from {words.moment(away.leaves_at, now)} to {words.moment(away.returns_at, now)}."
    ]
    if news.readings_expected <= 0:
        told.append("No readings were due.")
    else:
        share = news.readings_good / news.readings_expected
        told.append(
            f"Readings: {news.readings_good} of {news.readings_expected} came and are trusted "
            f"({words.percent(share)})."
        )
        if share < night.KNOWN_SHARE:
            told.append("What happened in between is not known.")
    return (*told, *(_outage(setting, span) for span in news.outages))


def _outage(setting: Setting, span: Span) -> str:
    now = setting.written_at
    return (
        f"The station was off from {words.moment(span.began, now)} to {words.moment(span.ended, now)}, for "
        f"{words.duration(words.elapsed(span.began, span.ended))}."
    )
