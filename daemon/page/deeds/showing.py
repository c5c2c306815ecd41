"""The forms as they are shown: empty, likely, or with what was sent and what is wrong with it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from werkzeug.exceptions import NotFound

from daemon.page.deeds.form import WHOLE, FormFaults
from daemon.page.deeds.moment import when_of
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.station import Vessel
from reports.page.doing import care, titles
from reports.page.doing.choices import Choice, buttons
from reports.page.doing.fields import Form, fields
from reports.page.doing.refusals import refusal
from reports.records import VesselNight


@dataclass(frozen=True, slots=True)
class FilledForm:
    """A form for one choice: its key, what is in its fields, what else was sent, and what is wrong.

    `also` are the other vessels it is for; `entry` and `was` the id and the moment (Unix s) of an entry that
    is changed. `why` is a reason of `reports.page.doing.refusals`; `guessed` says that nobody
    filled it in yet.
    """

    choice: Choice
    vessel: str
    key: str
    values: Mapping[str, str]
    sent: Mapping[str, str] = field(default_factory=dict)
    also: tuple[str, ...] = ()
    faults: FormFaults = field(default_factory=FormFaults)
    why: str = ""
    guessed: bool = False
    entry: int | None = None
    was: int | None = None


def vessel_of(glance: Glance, vessel_id: str) -> tuple[Vessel, VesselNight]:
    """A vessel and how it stands. Raises NotFound where the station has no such vessel."""
    vessel = glance.station.vessel(vessel_id)
    night = next((one for one in glance.record.vessels if one.vessel == vessel_id), None)
    if vessel is None or night is None:
        raise NotFound
    return vessel, night


def show_do(glance: Glance, vessel_id: str, key: str, line: str = "") -> str:
    """All that may be noted of a vessel."""
    vessel, night = vessel_of(glance, vessel_id)
    return show(
        glance,
        "do.html",
        "do",
        titles.of_do(glance.setting, night),
        vessel=vessel_id,
        stands=titles.stands(glance.setting, night),
        buttons=buttons(glance.setting, night),
        when=when_of(glance, {}),
        others=_others(glance, vessel, ()),
        care=care.everywhere(glance.setting, night),
        line=refusal(glance.setting, "played") if glance.played and not line else line,
        key=key,
    )


def show_form(glance: Glance, filled: FilledForm) -> str:
    """The form of a choice."""
    vessel, night = vessel_of(glance, filled.vessel)
    lots = tuple(lot.id for lot in glance.station.lots)
    by_field = filled.faults.by_field
    form = Form(filled.values, by_field, vessel.count, lots, guessed=filled.guessed)
    return show(
        glance,
        "deed.html",
        "do",
        titles.of_form(glance.setting, filled.choice, night, change=filled.entry is not None),
        vessel=filled.vessel,
        choice=filled.choice.key,
        entry=filled.entry,
        fields=fields(glance.setting, filled.choice, form),
        when=when_of(glance, filled.sent, filled.was, by_field.get("time", "")),
        others=_others(glance, vessel, filled.also) if filled.entry is None else [],
        first=care.first(glance.setting, filled.choice, night),
        care=care.care(glance.setting, filled.choice, night),
        line=_line(glance, filled),
        key=filled.key,
    )


def _line(glance: Glance, filled: FilledForm) -> str:
    """What is said above it."""
    if filled.why:
        return refusal(glance.setting, filled.why)
    whole = filled.faults.by_field.get(WHOLE)
    if whole:
        return whole
    return refusal(glance.setting, "fields") if filled.faults.by_field else ""


def _others(glance: Glance, vessel: Vessel, ticked: tuple[str, ...]) -> list[tuple[str, str, bool]]:
    """The other vessels: id, name, whether the same is to be noted of them."""
    others = [one for one in glance.record.vessels if one.vessel != vessel.id]
    return [(one.vessel, titles.name(glance.setting, one), one.vessel in ticked) for one in others]
