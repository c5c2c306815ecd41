"""Today: everything that is to be done, the most pressing first, with its doses and its care."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reports import amounts, night, words
from reports.language import in_its_language, say
from reports.letters.feed import FOOD_DUST
from reports.letters.feeding import FeedDue, feed_advice
from reports.letters.harvest import HarvestNews, harvest_advice
from reports.letters.known import listed
from reports.letters.night_deed import night_deed
from reports.letters.night_findings import is_salt_off, likely_cold, likely_hot, over_brim
from reports.letters.pouring import LEAST_ML, brine_steps, is_harvested, is_to_fill
from reports.letters.return_first import HATCHED
from reports.letters.sentences import HYGIENE, NO_RELEASE, WASH, mains
from reports.letters.stages import is_hatch_ahead
from reports.letters.vessel_kinds import look_into
from reports.letters.vessel_night import newest
from reports.page.shelf import deed_of
from reports.records import NightRecord, Setting, VesselNight
from reports.starts import kept
from reports.starts.kept import KeptPlan
from reports.vessel_line import harvest_window

# From here on somebody who looks most likely sees swimmers.
_SWIMMERS = 0.05


@dataclass(frozen=True, slots=True)
class VesselDue:
    """What is due in a vessel besides what its night tells.

    `vessel_kind` is one of `reports.letters.vessel_kinds.KINDS`; `seen` the share of the hatch that somebody
    last saw (None: nobody looked); `feed` and `harvest` are None where nothing is.
    """

    vessel: str
    count: int
    vessel_kind: str
    seen: float | None
    feed: FeedDue | None
    harvest: HarvestNews | None


@dataclass(frozen=True, slots=True)
class Task:
    """Something to do: where (vessels' names), what, with which cautions, how it is mixed; `about` are the
    vessels' ids."""

    where: str
    what: str
    care: tuple[str, ...]
    steps: tuple[str, ...]
    about: tuple[str, ...]


@in_its_language
def tasks(
    setting: Setting, record: NightRecord, due: Sequence[VesselDue], planned: Sequence[KeptPlan] = ()
) -> list[Task]:
    """All of them; empty where nothing is to be done. `planned` are starts that somebody keeps."""
    return [
        *_of_station(setting, record),
        *(_of_group(setting, record, group) for group in _groups(setting, record)),
        *_harvests(setting, record, due),
        *_swimmers(record, due),
        *_feeds(due),
        *_planned(setting, planned),
    ]


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
        _task(listed(vessels), deed, [kept.care(setting)] if cysts else [], steps, tuple(vessels))
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
    return [_task("", deed.what, [one.text for one in deed.care], (), ())] if deed.asks else []


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
    return _task(
        listed([words.clean(one.vessel) for one in group]),
        deed.what,
        [one.text for one in deed.care],
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
            into = words.into_each(one.count)
            poured = amounts.volume_with_spoons(one.fill_ml)
            lines.append(
                say("{name}: {amount} of plain water into {where}", name=name, amount=poured, where=into)
            )
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
        _task(
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


def _swimmers(record: NightRecord, due: Sequence[VesselDue]) -> list[Task]:
    known = {one.vessel: one for one in due}
    new = [
        one
        for one in record.vessels
        if (hatched := newest(one, one.hatched_fraction)) is not None
        and hatched.p50 >= _SWIMMERS
        and is_hatch_ahead(one)
        and known[one.vessel].feed is None
        and known[one.vessel].harvest is None
        and (known[one.vessel].seen or 0.0) < HATCHED
    ]
    if not new:
        return []
    where = look_into([known[one.vessel] for one in new])
    what = say(
        "look into {where} with a torch from the side, and note what you see. So far the hatch is only "
        "calculated.",
        where=where,
    )
    names = listed([words.clean(one.vessel) for one in new])
    return [_task(names, what, [], (), tuple(one.vessel for one in new))]


def _feeds(due: Sequence[VesselDue]) -> list[Task]:
    feeds = [one.feed for one in due if one.feed is not None]
    if not feeds:
        return []
    names = listed([words.clean(one.vessel) for one in feeds])
    what = feed_advice(feeds, small=False)
    return [_task(names, what, [say(HYGIENE), say(FOOD_DUST)], (), tuple(one.vessel for one in feeds))]


def _task(where: str, what: str, care: Sequence[str], steps: Sequence[str], about: tuple[str, ...]) -> Task:
    return Task(where, words.capital(what), tuple(dict.fromkeys(care)), tuple(steps), about)
