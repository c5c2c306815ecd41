"""The dose card: a form whose values stand in the address, and the card under it. Nothing is recorded."""

from collections.abc import Mapping

from flask import request
from werkzeug.exceptions import NotFound

from daemon.care.vessel_limits import USUAL_CUP_G_PER_L
from daemon.estimates.water.salt import USUAL_SALT_G_PER_L
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.page.typed_numbers import TypedNumbers, filled_in, filled_in_water, typed, unknown_lot
from daemon.planning import dose as plan
from daemon.planning.printed_scale import printed_scale
from daemon.science.hydrometer import Scale
from daemon.station import CONE, Station, Vessel
from daemon.store.tin_names import named_lots
from reports.planning import dose_form as words
from reports.planning.card import PlanReader
from reports.planning.dose import dose_card
from reports.planning.dose_figures import DoseFigures
from reports.planning.form import AskedPlan
from reports.planning.warned import UnknownTin, unknown_tin

_NO_CYSTS = "none"
_USUAL_C = 25.0
# What may stand behind a number, as people write it.
_UNITS = {"volume_ml": ("mL",), "salt_g_per_l": ("g/L",), "soda_g_per_l": ("g/L",)}
_AMOUNT_UNITS: Mapping[plan.Way, tuple[str, ...]] = {"g-per-l": ("g/L",), "g": ("g",)}


def plan_dose(glance: Glance) -> str:
    """Water, salt, soda and cysts for cups of any number and size."""
    vessel = _vessel(glance.station)
    values = typed(request.args, _filled_in(vessel, glance))
    tins = named_lots(glance.connection, glance.station)
    unknown = unknown_lot(values, tins)
    figures, faults = _worked_out(values, glance, unknown)
    faults = {**faults, **unknown_tin(glance.language, unknown)}
    reader = PlanReader(glance.language, glance.station.temperature_unit)
    return show(
        glance,
        "plan/worked_out.html",
        "plan",
        words.dose_title(glance.setting),
        fields=words.dose_fields(glance.setting, AskedPlan(values, faults, tins)),
        vessels=[("/plan/dose", one.id, one is vessel) for one in glance.station.vessels],
        asked=bool(request.args),
        card=None if figures is None else dose_card(reader, figures),
        more=[("/paper/dose", words.to_the_sheet(glance.setting))],
    )


def _vessel(station: Station) -> Vessel:
    """The one that the form is filled in for. Raises NotFound where the station has none of that name."""
    if not (asked := request.args.get("vessel")):
        return station.vessels[0]
    if (found := station.vessel(asked)) is None:
        raise NotFound
    return found


def _filled_in(vessel: Vessel, glance: Glance) -> Mapping[str, str]:
    """The usual recipe in that vessel."""
    language = glance.language
    return {
        "vessels": str(vessel.count),
        "volume_ml": filled_in(language, vessel.mark_ml),
        "salt_g_per_l": filled_in(language, USUAL_SALT_G_PER_L),
        "salt_means": "in",
        "soda_g_per_l": filled_in(language, plan.USUAL_SODA_G_PER_L),
        "way": _NO_CYSTS if vessel.kind == CONE else "g-per-l",
        "amount": filled_in(language, USUAL_CUP_G_PER_L),
        "lot": "",
        "share": "",
        "cysts_per_g": "",
        "hydrometer": "25/25",
        "water_c": filled_in_water(language, glance.station.temperature_unit, _USUAL_C),
    }


def _worked_out(
    values: Mapping[str, str], glance: Glance, unknown: UnknownTin | None
) -> tuple[DoseFigures | None, Mapping[str, str]]:
    """The figures, or a line for each field that is wrong."""
    from daemon.page.dose import figures_of

    numbers = TypedNumbers(values, glance.language, glance.station.temperature_unit)
    vessels = numbers.whole("vessels", plan.LIMITS["vessels"])
    asked = {name: numbers.number(name, plan.LIMITS[name], *units) for name, units in _UNITS.items()}
    water_c = numbers.water_c("water_c", plan.LIMITS["water_c"])
    tin = numbers.tin(glance)
    scale = _scale(values["hydrometer"])
    faults = {} if scale else {"hydrometer": words.no_scale(glance.setting)}
    cysts = _cysts(values, numbers)
    if numbers.faults or scale is None:
        return None, {**faults, **numbers.faults}
    wish = plan.DoseWish(
        vessels=vessels,
        volume_ml=asked["volume_ml"],
        tin=tin,
        salt_g_per_l=asked["salt_g_per_l"],
        salt_means="to" if values["salt_means"] == "to" else "in",
        soda_g_per_l=asked["soda_g_per_l"],
        cysts=cysts,
        water_c=water_c,
        scale=scale,
    )
    return figures_of([((), plan.planned(wish))], unknown, numbers.alarmed_tin), {}


def _cysts(values: Mapping[str, str], numbers: TypedNumbers) -> plan.CystWish | None:
    if values["way"] == _NO_CYSTS:
        return None
    way = next((one for one in plan.AMOUNTS if one == values["way"]), plan.CystWish().way)
    return plan.CystWish(way, numbers.number("amount", plan.AMOUNTS[way], *_AMOUNT_UNITS.get(way, ())))


def _scale(text: str) -> Scale | None:
    try:
        return printed_scale(text)
    except ValueError:
        return None
