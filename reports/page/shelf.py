"""The shelf: how each vessel stands in a sentence, what is to be done there, and what comes first of all."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reports import times, words
from reports.language import in_its_language, say
from reports.letters.night_deed import NightDeed, night_deed
from reports.letters.past_alarm import silenced
from reports.records import NightRecord, Setting, VesselNight
from reports.vessel_line import stage_and_level, vessel_parts


@dataclass(frozen=True, slots=True)
class First:
    """What to do, with the care it takes; `asks` is False where nothing is to be done."""

    what: str
    care: str
    asks: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """A vessel on the shelf.

    `vessel` is its id, `name` as people read it, `short` its sentence for little room, `alarms` those
    that are open and what was silenced, `first` what to do there (None: nothing, or said of all already).
    """

    vessel: str
    name: str
    sentence: str
    short: str
    alarms: tuple[str, ...]
    first: First | None


@in_its_language
def first_of_all(setting: Setting, record: NightRecord) -> First:
    """The one thing to do before all others."""
    return _first(night_deed(setting, record))


@in_its_language
def shelf(setting: Setting, record: NightRecord) -> list[Standing]:
    """Every vessel in the order in which it stands there."""
    lead = night_deed(setting, record)
    return [_standing(setting, record, vessel, lead) for vessel in record.vessels]


def _standing(setting: Setting, record: NightRecord, vessel: VesselNight, lead: NightDeed) -> Standing:
    deed = deed_of(setting, record, [vessel])
    said_already = deed.what == lead.what
    return Standing(
        vessel.vessel,
        words.vessel_name(vessel.vessel, vessel.count),
        sentence(setting, vessel),
        _short(vessel),
        alarms(setting, vessel),
        _first(deed) if deed.asks and not said_already else None,
    )


def deed_of(setting: Setting, record: NightRecord, vessels: Sequence[VesselNight]) -> NightDeed:
    """The one thing to do about some of the vessels, as the night's letter would ask for it."""
    return night_deed(setting, replace(record, vessels=tuple(vessels)))


def sentence(setting: Setting, vessel: VesselNight) -> str:
    """How it stands, in a line."""
    parts = map(words.capital, vessel_parts(setting, vessel))
    return " ".join(part if part.endswith(("?", ".")) else f"{part}." for part in parts)


def _short(vessel: VesselNight) -> str:
    """Stage and level, where there is room for little."""
    return "; ".join(stage_and_level(vessel))


def alarms(setting: Setting, vessel: VesselNight) -> tuple[str, ...]:
    """What is not well, and what somebody put aside."""
    now = setting.written_at
    opened = tuple(f"{words.capital(words.clean(alarm.text))}." for alarm in vessel.open_alarms)
    return opened + tuple(words.capital(silenced(alarm, now)) for alarm in vessel.silenced)


def _first(deed: NightDeed) -> First:
    care = " ".join(dict.fromkeys(one.text for one in deed.care))
    return First(words.capital(deed.what), care, deed.asks)


@in_its_language
def title(setting: Setting) -> str:
    """The view's."""
    return say("The shelf, {when}", when=times.moment(setting.written_at, setting.written_at))
