"""The forms as they are shown: empty, likely, or with what was sent and what is wrong with it."""

from dataclasses import replace

from daemon.page.deeds.alone import alone
from daemon.page.deeds.checked import in_words
from daemon.page.deeds.form import WHOLE, FilledForm, FormFaults
from daemon.page.deeds.moment import when_of
from daemon.page.deeds.others import beside, others
from daemon.page.glance import Glance
from daemon.page.pictures import pictures
from daemon.page.shown import show
from reports.page.doing import care, titles
from reports.page.doing.choices import buttons
from reports.page.doing.fields import Form, fields
from reports.page.doing.refusals import refusal
from reports.records import Setting


def show_do(glance: Glance, vessel_id: str, key: str, line: str = "", also: tuple[str, ...] = ()) -> str:
    """All that may be noted of a vessel; `also` are others that are ticked."""
    one = alone(glance, vessel_id)
    (night,) = one.record.vessels
    return show(
        glance,
        "do.html",
        "do",
        titles.of_do(one.setting, night),
        vessel=vessel_id,
        picture=pictures(one, one.record, "small").of[vessel_id],
        stands=titles.stands(one.setting, night),
        buttons=buttons(one.setting, night),
        when=when_of(glance, {}),
        others=others(glance, vessel_id, also),
        care=care.everywhere(one.setting, night),
        line=refusal(one.setting, "played") if glance.played and not line else line,
        key=key,
    )


def show_form(glance: Glance, filled: FilledForm) -> str:
    """The form of a choice; what the checks found is said in its language."""
    one = alone(glance, filled.vessel)
    said = {name: in_words(glance, line) for name, line in filled.faults.by_field.items()}
    filled = replace(filled, faults=FormFaults(said))
    (night,) = one.record.vessels
    lots = tuple(lot.id for lot in glance.station.lots)
    by_field = filled.faults.by_field
    form = Form(filled.values, by_field, night.count, lots, guessed=filled.guessed)
    return show(
        glance,
        "deed.html",
        "do",
        titles.of_form(one.setting, filled.choice, night, change=filled.entry is not None),
        vessel=filled.vessel,
        choice=filled.choice.key,
        entry=filled.entry,
        fields=fields(one.setting, filled.choice, form),
        when=when_of(glance, filled.sent, filled.was, by_field.get("time", "")),
        others=[] if filled.entry is not None else others(glance, filled.vessel, filled.also, filled),
        first=care.first(one.setting, filled.choice, night, beside(glance, filled.also)),
        care=care.care(one.setting, filled.choice, night, beside(glance, filled.also)),
        line=_line(one.setting, filled),
        key=filled.key,
    )


def _line(setting: Setting, filled: FilledForm) -> str:
    """What is said above it."""
    if filled.why:
        return refusal(setting, filled.why)
    whole = filled.faults.by_field.get(WHOLE)
    if whole:
        return whole
    return refusal(setting, "fields") if filled.faults.by_field else ""
