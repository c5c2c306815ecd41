"""For a shared screen: one sentence a vessel that a child of eight reads, and what comes."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta

from reports import times, words
from reports.language import in_its_language, say, say_many, to_say
from reports.records import NightRecord, Setting, TimeRange, VesselNight

# The stages as they are shown in a row, and which of them each stage of a vessel is.
SHOWN = ("egg", "hatching", "hatched", "growing")
_SHOWN_AT: Mapping[str, str] = {
    "set": "egg",
    "hatching": "hatching",
    "hatched": "hatched",
    "growing": "growing",
    "being harvested": "hatched",
}
_NOTHING = to_say("Nothing lives in here now.")


@dataclass(frozen=True, slots=True)
class ForChildren:
    """A vessel for children: its name, a sentence, what comes (empty where nothing is known to), and which of
    `SHOWN` it is at (None: nothing lives there)."""

    vessel: str
    name: str
    sentence: str
    coming: str
    shown: str | None


@in_its_language
def for_children(setting: Setting, record: NightRecord) -> list[ForChildren]:
    """Every vessel in the order in which it stands there."""
    return [
        ForChildren(
            vessel.vessel,
            words.vessel_name(vessel.vessel, vessel.count),
            _SENTENCES[vessel.stage](setting, vessel) if vessel.stage in _SENTENCES else say(_NOTHING),
            _coming(setting, vessel),
            _SHOWN_AT.get(vessel.stage),
        )
        for vessel in record.vessels
    ]


def _egg(_setting: Setting, _vessel: VesselNight) -> str:
    return say("The eggs lie in salt water and wake up slowly.")


def _hatching(_setting: Setting, vessel: VesselNight) -> str:
    share = vessel.hatched_fraction[-1].range.p50 if vessel.hatched_fraction else 0.0
    if share < 0.25:
        return say("The first ones are out! Look for tiny swimmers.")
    return say("About half are out and swim.") if share < 0.75 else say("Nearly all are out and swim.")


def _hatched(_setting: Setting, _vessel: VesselNight) -> str:
    return say("They have hatched. They need no food yet: they still have yolk.")


def _growing(_setting: Setting, _vessel: VesselNight) -> str:
    return say("They grow and eat very tiny food.")


def _drawn(_setting: Setting, _vessel: VesselNight) -> str:
    return say("Some were taken out. The others swim on.")


_SENTENCES: Mapping[str, Callable[[Setting, VesselNight], str]] = {
    "set": _egg,
    "hatching": _hatching,
    "hatched": _hatched,
    "growing": _growing,
    "being harvested": _drawn,
}


def _coming(setting: Setting, vessel: VesselNight) -> str:
    """When the first swim, or half of them, in hours."""
    half = vessel.hatch_t50
    if vessel.stage not in ("set", "hatching") or half is None:
        return ""
    return _hours_to_go(setting, half)


def _hours_to_go(setting: Setting, half: TimeRange) -> str:
    now = setting.written_at
    ends = [None if at is None else times.elapsed(now, at) for at in (half.p10, half.p90)]
    early, late = (None if end is None else max(round(end / timedelta(hours=1)), 0) for end in ends)
    if early is None:
        return say("It takes longer than anybody can tell now.")
    if late is None:
        return say_many(
            "In {count} hour or later half of them swim.",
            "In {count} hours or later half of them swim.",
            early,
        )
    if late == 0:
        return say("By now half of them should swim. Look!")
    if early == late:
        return say_many(
            "In about {count} hour half of them swim.", "In about {count} hours half of them swim.", late
        )
    return say_many(
        "In {early} to {count} hour half of them swim.",
        "In {early} to {count} hours half of them swim.",
        late,
        early=early,
    )


@in_its_language
def title(setting: Setting) -> str:
    """The view's."""
    return say("Our brine shrimp, {when}", when=times.full_moment(setting.written_at))
