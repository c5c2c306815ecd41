"""For a shared screen: one sentence a vessel that a child of eight reads, and what comes."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta

from reports import times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.letters.vessel_night import newest
from reports.records import NightRecord, Setting, VesselNight

_NOTHING = to_say("Nothing is in here now.")
# Of the hatch, as a child would say it: some, about half, nearly all.
_SOME, _MOST = 0.25, 0.75
# What is seen or sure from here on is some, or more than the first few.
_ANY, _FEW = 0.01, 0.1
# Beyond so many hours people count days.
_LONG = timedelta(hours=48)


@dataclass(frozen=True, slots=True)
class ForChildren:
    """A vessel for children: its name, a sentence, what comes (empty where nothing is known to).

    `shown` says that it is on its way from cyst to grown animal.
    """

    vessel: str
    name: str
    sentence: str
    coming: str
    shown: bool


@in_its_language
def for_children(
    setting: Setting, record: NightRecord, seen: Mapping[str, float | None]
) -> list[ForChildren]:
    """Every vessel in the order in which it stands there; `seen` is the share of the hatch that somebody last
    saw in each (None: nobody looked).
    """
    return [
        ForChildren(
            vessel.vessel,
            words.vessel_name(vessel.vessel, vessel.count),
            _sentence(vessel, seen.get(vessel.vessel) or 0.0),
            _coming(setting, vessel),
            vessel.stage in _SENTENCES and vessel.stage != "harvested",
        )
        for vessel in record.vessels
    ]


def _sentence(vessel: VesselNight, seen: float) -> str:
    said = _SENTENCES.get(vessel.stage)
    return say(_NOTHING) if said is None else said(vessel, seen)


def _share(vessel: VesselNight) -> float:
    hatched = newest(vessel, vessel.hatched_fraction)
    return 0.0 if hatched is None else hatched.p50


def _surely(vessel: VesselNight, seen: float) -> float:
    """The share that is out for sure: what was seen, or what is believed nine times in ten."""
    hatched = newest(vessel, vessel.hatched_fraction)
    return max(seen, 0.0 if hatched is None else hatched.p10)


def _egg(_vessel: VesselNight, _seen: float) -> str:
    return say("The eggs lie in salt water and wake up slowly.")


def _hatching(vessel: VesselNight, seen: float) -> str:
    share, surely = _share(vessel), _surely(vessel, seen)
    if surely < _ANY:
        return say("The first ones may be out. Nobody has seen one yet: look for tiny swimmers.")
    if share < _SOME or surely < _FEW:
        return say("The first ones are out! Look for tiny swimmers.")
    return say("About half are out and swim.") if share < _MOST else say("Nearly all are out and swim.")


def _hatched(vessel: VesselNight, seen: float) -> str:
    if _surely(vessel, seen) < _ANY:
        return say("They may have hatched. Nobody has seen one yet: look for tiny swimmers.")
    return say("They have hatched. They need no food yet: they still have yolk.")


def _growing(_vessel: VesselNight, _seen: float) -> str:
    return say("They grow and eat very tiny food.")


def _drawn(_vessel: VesselNight, _seen: float) -> str:
    return say("Some were taken out. The others swim on.")


def _emptied(_vessel: VesselNight, _seen: float) -> str:
    return say("Most of them were taken out.")


_SENTENCES: Mapping[str, Callable[[VesselNight, float], str]] = {
    "set": _egg,
    "hatching": _hatching,
    "hatched": _hatched,
    "growing": _growing,
    "being harvested": _drawn,
    "harvested": _emptied,
}


def _coming(setting: Setting, vessel: VesselNight) -> str:
    """When half of them swim, in hours, or in days where it takes long."""
    half = vessel.hatch_t50
    if vessel.stage not in ("set", "hatching") or half is None or _share(vessel) >= _SOME:
        return ""
    if half.p50 is None:
        return say("It takes longer than anybody can tell now.")
    now = setting.written_at
    ends = [None if at is None else times.elapsed(now, at) for at in (half.p10, half.p50, half.p90)]
    step = timedelta(days=1) if times.elapsed(now, half.p50) > _LONG else timedelta(hours=1)
    early, likely, late = (None if end is None else max(round(end / step), 0) for end in ends)
    if not likely:
        return say("Half of them may swim at any moment now. Look!")
    if early is None or late is None or early == late:
        return _about(likely, step)
    return say("{about} It may take {early} to {late}.", about=_about(likely, step), early=early, late=late)


def _about(count: int, step: timedelta) -> str:
    if step < timedelta(days=1):
        return say_many(
            "In about {count} hour half of them swim.", "In about {count} hours half of them swim.", count
        )
    return say_many(
        "In about {count} day half of them swim.", "In about {count} days half of them swim.", count
    )


@in_its_language
def title(setting: Setting) -> str:
    """The view's."""
    return say("Our brine shrimp, {when}", when=times.full_moment(setting.written_at))
