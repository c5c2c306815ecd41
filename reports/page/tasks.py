"""Today: everything that is to be done, the most pressing first, with its doses and its care."""

from collections.abc import Sequence
from dataclasses import replace

from reports import amounts, night, words
from reports.language import in_its_language, say
from reports.letters.feed import FOOD_DUST
from reports.letters.feeding import feed_advice
from reports.letters.harvest import harvest_advice
from reports.letters.known import listed
from reports.letters.night_deed import NightDeed, night_deed
from reports.letters.night_findings import is_salt_off, likely_cold, likely_hot, over_brim
from reports.letters.pouring import LEAST_ML, brine_steps, is_harvested, is_to_fill
from reports.letters.return_first import is_worth_a_look
from reports.letters.sentences import HYGIENE, NO_RELEASE, WASH, mains
from reports.letters.stages import is_hatch_ahead
from reports.letters.vessel_kinds import look_into
from reports.letters.vessel_night import newest
from reports.page import water_tasks
from reports.page.task import Task, once_there, texts, to_do
from reports.page.vessel_due import VesselDue
from reports.records import NightRecord, Setting, VesselNight
from reports.starts import kept
from reports.starts.kept import KeptPlan
from reports.vessel_line import harvest_window

# What stands for a look that found swimmers, and how many nobody said.
_SOME = 0.01
# A look tells shares apart no finer than that [P].
_FINER = 0.1


@in_its_language
def tasks(
    setting: Setting, record: NightRecord, due: Sequence[VesselDue], planned: Sequence[KeptPlan] = ()
) -> list[Task]:
    """All of them; empty where nothing is to be done. `planned` are starts that somebody keeps."""
    calm = _without_going(record, due)
    return [
        *_of_station(setting, record),
        *(_of_group(setting, calm, group) for group in _groups(setting, calm)),
        *water_tasks.before_going(setting, due),
        *water_tasks.fills(setting, calm.vessels, due),
        *_harvests(setting, record, due),
        *_swimmers(setting, record, due),
        *_feeds(setting, due),
        *_planned(setting, planned),
    ]


def _without_going(record: NightRecord, due: Sequence[VesselDue]) -> NightRecord:
    """Without what is to be done before going, of vessels that people are about to leave alone."""
    going = {one.vessel for one in due if one.going is not None}
    vessels = (_without_what_comes(one) if one.vessel in going else one for one in record.vessels)
    return replace(record, vessels=tuple(vessels))


def _without_what_comes(one: VesselNight) -> VesselNight:
    return replace(one, fill_ml=0.0, brine=None, water_c_min_next_16h=None, water_c_max_next_16h=None)


def deed_of(setting: Setting, record: NightRecord, vessels: Sequence[VesselNight]) -> NightDeed:
    """The one thing to do about some of the vessels, as the night's letter would ask for it."""
    return night_deed(setting, replace(record, vessels=tuple(vessels)))


def _planned(setting: Setting, planned: Sequence[KeptPlan]) -> list[Task]:
    """What is planned for today: water put up to stand, cysts set."""
    today, now = setting.written_at.date(), setting.written_at
    alike: dict[tuple[str, tuple[str, ...], bool], list[str]] = {}
    for one in planned:
        if one.set_at.date() == today or one.set_at < now:
            what = kept.deed(setting, one), tuple(kept.steps(setting, one)), True
        elif one.water_at is not None and one.water_at.date() == today:
            what = kept.water_deed(setting, one), (), False
        else:
            continue
        alike.setdefault(what, []).append(one.vessel)
    return [
        to_do(listed(vessels), deed, [kept.care(setting)] if cysts else [], steps, tuple(vessels))
        for (deed, steps, cysts), vessels in alike.items()
    ]


@in_its_language
def said_once(_setting: Setting, found: Sequence[Task]) -> str:
    """What to mind with all that follows, where several tasks ask for it: hands, dust, no animals released.

    What is dangerous at one place (plugs, lamps, heaters) stands at each task, however often.
    """
    bearing = [task for task in found if _everywhere() & set(task.care)]
    if len(bearing) < 2:
        return ""
    told = {one for task in bearing for one in task.care} & _everywhere()
    return say(HYGIENE) if say(HYGIENE) in told else " ".join(one for one in _in_order() if one in told)


@in_its_language
def own_care(_setting: Setting, task: Task, once: str) -> str:
    """What to mind with this task alone; where something was said above all, it points there."""
    if not once or not _everywhere() & set(task.care):
        return " ".join(task.care)
    own = [one for one in task.care if one not in _everywhere()]
    return " ".join([*own, say("What stands above all tasks counts here, too.")])


def _in_order() -> list[str]:
    return [say(WASH), say(NO_RELEASE), say(HYGIENE)]


def _everywhere() -> set[str]:
    return set(_in_order())


def _of_station(setting: Setting, record: NightRecord) -> list[Task]:
    """What is wrong with the station itself comes before all: what is known of the vessels hangs on it."""
    dead_probe = any(alarm.kind == "probe" for one in record.vessels for alarm in one.open_alarms)
    if record.clock_sure and (night.is_known(record) or dead_probe):  # the probe's own task says enough
        return []
    calm = tuple(replace(one, open_alarms=(), silenced=()) for one in record.vessels)
    deed = night_deed(setting, replace(record, vessels=calm))
    what = once_there(setting, deed.what)
    return [to_do("", what, texts(deed.care), (), ())] if deed.asks else []


def _groups(setting: Setting, record: NightRecord) -> list[list[VesselNight]]:
    """Vessels of which the same is to be done, the most pressing first."""
    alike: dict[tuple[object, ...], list[VesselNight]] = {}
    for vessel in record.vessels:
        alike.setdefault(_state(setting, vessel), []).append(vessel)
    pressing = [(state, group) for state, group in alike.items() if any(state)]
    return [group for _, group in sorted(pressing, key=lambda one: _gravity(one[0]))]


def _state(setting: Setting, vessel: VesselNight) -> tuple[object, ...]:
    """What `night_deed` asks about, the most pressing first."""
    return (
        tuple(sorted({alarm.kind for alarm in vessel.open_alarms})),
        bool(vessel.silenced),
        over_brim(vessel),
        is_salt_off(vessel),
        is_to_fill(setting, vessel),
        likely_cold(vessel),
        likely_hot(vessel),
        is_harvested(vessel),
    )


def _gravity(state: tuple[object, ...]) -> int:
    return next(place for place, holds in enumerate(state) if holds)


def _of_group(setting: Setting, record: NightRecord, group: Sequence[VesselNight]) -> Task:
    deed = deed_of(setting, record, group)
    steps = [line for block in brine_steps(group) for line in getattr(block, "lines", ())]
    return to_do(
        listed([words.clean(one.vessel) for one in group]),
        once_there(setting, deed.what),
        texts(deed.care),
        (*_figures(group), *steps),
        tuple(one.vessel for one in group),
    )


def _figures(group: Sequence[VesselNight]) -> list[str]:
    """What the deed speaks of as listed, or as standing below: amounts to pour, levels, salt."""
    lines = []
    for one in group:
        name, kinds = words.vessel_name(one.vessel, one.count), {alarm.kind for alarm in one.open_alarms}
        loss_ml, salt = newest(one, one.loss_ml), newest(one, one.salinity_g_per_kg)
        if one.fill_ml >= LEAST_ML and not kinds & {"water", "salinity", "probe"}:
            lines.append(water_tasks.poured(one))
        if "water" in kinds and loss_ml is not None:
            lines.append(say("{name}: water {level}", name=name, level=amounts.level_range(loss_ml)))
        if "salinity" in kinds and salt is not None:
            lines.append(
                say("{name}: salt in a kg of brine {salt}", name=name, salt=amounts.salinity_range(salt))
            )
    return lines


def _harvests(setting: Setting, record: NightRecord, due: Sequence[VesselDue]) -> list[Task]:
    windows = {one.vessel: harvest_window(setting, one) for one in record.vessels}
    alike: dict[tuple[str, bool], list[str]] = {}
    for one in (one.harvest for one in due if one.harvest is not None):
        alike.setdefault((harvest_advice(setting, one), one.has_heater), []).append(one.vessel)
    return [
        to_do(
            listed([words.clean(vessel) for vessel in vessels]),
            what,
            [mains().text, say(HYGIENE)] if heated else [say(HYGIENE)],
            [_window(vessel, line, vessels) for vessel in vessels for line in windows.get(vessel, [])],
            tuple(vessels),
        )
        for (what, heated), vessels in alike.items()
    ]


def _window(vessel: str, line: str, vessels: Sequence[str]) -> str:
    return words.capital(line) if len(vessels) == 1 else f"{words.clean(vessel)}: {words.begun(line)}"


def _swimmers(setting: Setting, record: NightRecord, due: Sequence[VesselDue]) -> list[Task]:
    known = {one.vessel: one for one in due}
    new = [
        one
        for one in record.vessels
        if (hatched := newest(one, one.hatched_fraction)) is not None
        and is_hatch_ahead(one)
        and known[one.vessel].feed is None
        and known[one.vessel].harvest is None
        and is_worth_a_look(hatched, seen := known[one.vessel].seen)
        and hatched.p50 >= (seen or 0.0) + (0.0 if seen is None else _FINER)  # it went on since
    ]
    if not new:
        return []
    where = look_into([known[one.vessel] for one in new])
    what = say("look into {where} with a torch from the side, and note what you see.", where=where)
    about = tuple(one.vessel for one in new)
    names, steps = listed([words.clean(one) for one in about]), [_seen(one, known[one.vessel]) for one in new]
    return [to_do(names, once_there(setting, what), [], steps, about)]


def _seen(one: VesselNight, due: VesselDue) -> str:
    """What somebody saw of its hatch, beside what is calculated."""
    name, hatched = words.vessel_name(one.vessel, one.count), newest(one, one.hatched_fraction)
    share = "" if hatched is None else amounts.percent_range(hatched)
    if due.seen is None:
        return say("{name}: hatched {share}, calculated; nobody looked yet", name=name, share=share)
    if 0.0 < due.seen <= _SOME:
        return say("{name}: some were seen; by now {share}, calculated", name=name, share=share)
    seen = amounts.percent(due.seen)
    return say("{name}: last seen {seen}; by now {share}, calculated", name=name, seen=seen, share=share)


def _feeds(setting: Setting, due: Sequence[VesselDue]) -> list[Task]:
    hungry = [one for one in due if one.going is None and one.feed is not None]
    feeds = [one.feed for one in hungry if one.feed is not None]
    if not feeds:
        return []
    about = tuple(one.vessel for one in feeds)
    names, small = listed([words.clean(one) for one in about]), any(one.small for one in hungry)
    what = once_there(setting, feed_advice(feeds, small=small))
    return [to_do(names, what, [say(HYGIENE), say(FOOD_DUST)], (), about)]
