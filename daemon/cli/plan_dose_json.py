"""A planned dose as JSON: names carry their units; `each` is one vessel, `all` all of them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from daemon.estimates.quantile import Estimate
    from daemon.page.dose import Named
    from daemon.planning.dose import CystDose, PlannedDose
    from daemon.planning.spoons import Spoonfuls
    from daemon.science.soda import PhRange

_SUMS = ("salt_g_all", "soda_g_all", "water_ml_all")


def as_json(doses: "Sequence[tuple[Named, PlannedDose]]") -> dict[str, Any]:
    """Flat where all vessels are alike; else the sums, and `doses` with the vessels that each is of."""
    from daemon.planning.dose import shopping

    some = [
        {**({"of": [name for name, _ in names]} if names else {}), **_dose(dose)} for names, dose in doses
    ]
    buy = shopping([dose for _, dose in doses])
    bought = {"water_ml": buy.water_ml, "salt_g": buy.salt_g, "soda_g": buy.soda_g, "cysts_g": buy.cysts_g}
    if len(some) == 1:
        return some[0] | {"buy": bought}
    return {**{key: _tidy(sum(one[key] for one in some)) for key in _SUMS}, "buy": bought, "doses": some}


def _dose(dose: "PlannedDose") -> dict[str, Any]:
    wish, brine, count = dose.wish, dose.brine, dose.wish.vessels
    return {
        "vessels": count,
        "volume_ml": _tidy(wish.volume_ml),
        "salt_g_per_l": _tidy(wish.salt_g_per_l),
        "salt_means": wish.salt_means,
        "salinity_g_per_kg": _tidy(brine.salinity_g_per_kg),
        "salt_g_each": _tidy(brine.salt_g),
        "salt_g_all": _tidy(brine.salt_g * count),
        "salt_spoons_each": _all_spoons(brine.salt_g),
        "salt_spoons_all": _all_spoons(brine.salt_g * count),
        "soda_g_each": _tidy(brine.soda_g),
        "soda_g_all": _tidy(brine.soda_g * count),
        "water_ml_each": _tidy(brine.water_ml),
        "water_ml_all": _tidy(brine.water_ml * count),
        "brine_ml_each": _tidy(brine.brine_ml),
        "ph_mixed": _ph(brine.ph_mixed),
        "ph_aired": _ph(brine.ph_aired),
        "hydrometer": {
            "kind": wish.scale.kind,
            "calibrated_c": wish.scale.calibrated_c,
            "reference_c": wish.scale.reference_c,
            "water_c": wish.water_c,
            "reading": _tidy(brine.reading),
        },
        **({"cysts_g_each": None} if dose.cysts is None else _cysts(dose.cysts, count)),
    }


def _cysts(cysts: "CystDose", count: int) -> dict[str, Any]:
    return {
        "cysts_g_each": _range(cysts.g),
        "cysts_g_all": _range(cysts.g, count),
        "cysts_g_taken_each": _tidy(cysts.in_vessel_g.p50),
        "cysts_each": _range(cysts.cysts),
        "animals_each": _range(cysts.animals),
        "cysts_most_g_each": _tidy(cysts.most_g),
        "air_enough": cysts.air_enough,
    }


def _all_spoons(salt_g: float) -> list[dict[str, Any]]:
    from daemon.page.dose import spoons_for

    return [_spoons(grain, found) for grain, found in spoons_for(salt_g) if found is not None]


def _spoons(grain: str, found: "Spoonfuls") -> dict[str, Any]:
    return {
        "grain": grain,
        "spoon": found.spoon,
        "number": found.number,
        "low_g": _tidy(found.low_g),
        "high_g": _tidy(found.high_g),
    }


def _ph(found: "PhRange | None") -> dict[str, Any] | None:
    if found is None:
        return None
    return {"low": _tidy(found.low), "middle": _tidy(found.middle), "high": _tidy(found.high)}


def _range(found: "Estimate", times: int = 1) -> dict[str, float | None]:
    return {
        "p10": _tidy(found.p10 * times),
        "p50": _tidy(found.p50 * times),
        "p90": _tidy(found.p90 * times),
    }


def _tidy(value: float | None) -> float | None:
    """To seven figures: no scale knows more, and 2.8000000000000003 helps nobody."""
    return None if value is None else float(f"{value:.7g}")
