"""A cone's card: a form whose values stand in the address, and the card under it. Nothing is recorded."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from flask import request
from werkzeug.exceptions import NotFound

from daemon.errors import InputError
from daemon.estimates.water.salt import USUAL_SALT_G_PER_L
from daemon.page.asking import NotAnswered, asked
from daemon.page.cone import cone_figures, days_of, seen_tin
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.page.typed_numbers import TypedNumbers, filled_in, filled_in_water, typed, unknown_lot
from daemon.planning.cone import (
    CONE_ML,
    CYSTS_G,
    USUAL_CYSTS_G_PER_L,
    WATER_C,
    ConeWish,
    SeenTin,
    planned_cone,
)
from daemon.planning.cone_days import daily_harvests
from daemon.planning.cone_instead import instead_of
from daemon.planning.dose import LIMITS
from daemon.planning.tin_yield import strain_of
from daemon.science.strains import STRAINS
from daemon.station import CONE, Vessel
from daemon.store.tin_names import named_lots
from reports.planning import cone_form as words
from reports.planning.card import PlanReader
from reports.planning.cone import cone_card
from reports.planning.cone_figures import ConeFigures
from reports.planning.form import AskedPlan
from reports.planning.rests_on import STRAIN_CHOSEN
from reports.planning.warned import unknown_tin

_USUAL_ML, _USUAL_C = 1000.0, 27.0


def plan_cone(glance: Glance) -> str:
    """When a cone's harvest opens and closes, what comes, and a harvest every day."""
    cones = [one for one in glance.station.vessels if one.kind == CONE]
    cone = _cone(cones)
    values = typed(request.args, _filled_in(cone, glance))
    tins = named_lots(glance.connection, glance.station)
    figures, faults = _worked_out(values, glance, cone, tins)
    faults = {**faults, **unknown_tin(glance.language, unknown_lot(values, tins))}
    reader = PlanReader(glance.language, glance.station.temperature_unit)
    return show(
        glance,
        "plan/worked_out.html",
        "plan",
        words.cone_title(glance.setting),
        fields=words.cone_fields(glance.setting, AskedPlan(values, faults, tins)),
        vessels=[("/plan/cone", one.id, one is cone) for one in cones],
        asked=bool(request.args),
        card=None if figures is None else cone_card(reader, figures),
        more=[],
    )


def _cone(cones: list[Vessel]) -> Vessel | None:
    """The one that the form is filled in for. Raises NotFound where the station has none of that name."""
    if not (asked := request.args.get("vessel")):
        return cones[0] if cones else None
    if (found := next((one for one in cones if one.id == asked), None)) is None:
        raise NotFound
    return found


def _filled_in(cone: Vessel | None, glance: Glance) -> Mapping[str, str]:
    language = glance.language
    volume_ml = _USUAL_ML if cone is None else cone.mark_ml
    held_c = _USUAL_C if cone is None or cone.heater_c is None else cone.heater_c
    return {
        "volume_ml": filled_in(language, volume_ml),
        "cysts_g": filled_in(language, float(f"{USUAL_CYSTS_G_PER_L * volume_ml / 1000.0:.3g}"), 6),
        "water_c": filled_in_water(language, glance.station.temperature_unit, held_c),
        "daily_at": "",
        "lot": "",
        "share": "",
        "cysts_per_g": "",
        "strain": "",
        "salt_g_per_l": filled_in(language, USUAL_SALT_G_PER_L),
    }


def _worked_out(
    values: Mapping[str, str], glance: Glance, cone: Vessel | None, tins: Sequence[str]
) -> tuple[ConeFigures | None, Mapping[str, str]]:
    """The figures, or a line for each field that is wrong."""
    station = glance.station
    numbers = TypedNumbers(values, glance.language, station.temperature_unit)
    lot = values["lot"] if values["lot"] in tins else ""
    wish = ConeWish(
        volume_ml=numbers.number("volume_ml", CONE_ML, "mL"),
        cysts_g=numbers.number("cysts_g", CYSTS_G, "g"),
        water_c=numbers.water_c("water_c", WATER_C),
        strain=STRAINS.get(values["strain"]) or strain_of(station, lot),
        tin=numbers.tin(glance),
        salt_g_per_l=numbers.number("salt_g_per_l", LIMITS["salt_g_per_l"], "g/L"),
    )
    daily_at = numbers.hour_or_none("daily_at")
    if numbers.faults:
        return None, numbers.faults
    seen, left_out = _seen(glance, cone, lot, values["strain"])
    wish = replace(wish, seen=seen)
    plan = planned_cone(wish)
    harvests = [] if daily_at is None else daily_harvests(plan.hatch, station, daily_at, glance.at)
    days, count = days_of(harvests, station)
    figures = cone_figures(
        plan,
        heated=cone is None or cone.heater_c is not None,
        tin=lot,
        unknown_tin=unknown_lot(values, tins),
        alarmed_tin=numbers.alarmed_tin,
        left_out=left_out,
        daily_at=daily_at,
        days=days,
        cones=count,
        instead=None
        if daily_at is None
        else instead_of(wish, plan.hatch, station, daily_at, glance.at, harvests),
    )
    return figures, {}


def _seen(glance: Glance, cone: Vessel | None, lot: str, strain: str) -> tuple[SeenTin | None, str]:
    """What the watch learned of the tin, or why that is not in the plan."""
    if not lot:
        return None, ""
    if strain in STRAINS:
        return None, STRAIN_CHOSEN
    from daemon.requests.start_words import learned_read  # for those who name a tin

    vessel = glance.station.vessels[0] if cone is None else cone
    try:
        answer = asked(glance, {"ask": "ahead", "vessel": vessel.id, "lot": lot})
        return seen_tin(learned_read(answer, vessel.id, for_water=False)), ""
    except NotAnswered as fault:
        return None, fault.line
    except InputError as fault:
        return None, str(fault)
