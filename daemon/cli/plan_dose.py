"""naupliad plan dose: water, salt, baking soda and cysts for any number of vessels."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from daemon.cli.number_option import G_PER_L, GRAMS, ML, PLAIN, WATER_C, Count
from daemon.cli.options import is_given, json_option
from daemon.cli.plan_dose_json import as_json as told
from daemon.cli.plan_ground import PlanGround, ground_options, plan_ground
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.station import Station, Vessel

if TYPE_CHECKING:
    from daemon.planning.dose import CystWish, DoseWish, Way
    from daemon.science.hydrometer import Scale

# By option: what it asks for.
_WAYS: dict[str, "Way"] = {
    "cysts": "counted",
    "cysts_g_per_l": "g-per-l",
    "cysts_g": "g",
    "pinches": "pinches",
    "animals": "animals",
}


@click.command()
@click.option("--vessels", type=Count(), help="How many vessels alike; 1 when left out.")
@click.option("--volume-ml", type=ML, help="mL of each; without it the vessels of --config, to their mark.")
@click.option("--salt-g-per-l", type=G_PER_L, default=25.0, show_default=True, help="Grams of salt a litre.")
@click.option(
    "--reading",
    type=PLAIN,
    help="What the hydrometer is to show, such as 1.018, in place of --salt-g-per-l.",
)
@click.option(
    "--salt-means",
    type=click.Choice(["in", "to"]),
    default="in",
    show_default=True,
    help="Salt stirred in a litre of water, or made up to a litre of brine.",
)
@click.option(
    "--soda-g-per-l", type=G_PER_L, default=0.5, show_default=True, help="Grams of baking soda a litre."
)
@click.option("--cysts", type=PLAIN, help="Cysts counted into each vessel.")
@click.option(
    "--cysts-g-per-l", type=G_PER_L, help="Grams of cysts a litre; 0.2 when none of the five is given."
)
@click.option("--cysts-g", type=GRAMS, help="Grams of cysts for each vessel.")
@click.option("--pinches", type=PLAIN, help="Pinches of cysts for each vessel.")
@click.option("--animals", type=PLAIN, help="Animals wanted in each vessel.")
@ground_options
@click.option(
    "--hydrometer",
    default="25/25",
    show_default=True,
    help="What is printed on it: 25/20, 60/60 °F, g/mL 20, ppt 25.",
)
@click.option(
    "--water-c", type=WATER_C, default=25.0, show_default=True, help="The brine's temperature when checked."
)
@click.option("--vessel", help="One vessel of the station.")
@json_option
def dose(
    config: Path | None,
    state: Path | None,
    vessel: str | None,
    lot: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Work out water, salt, baking soda and cysts, and what to buy.

    \b
    naupliad plan dose --vessels 28 --volume-ml 200 --salt-g-per-l 30
    naupliad plan dose --volume-ml 200 --animals 50 --hatchable-fraction 0.8
    """
    from daemon.page.dose import doses_of, figures_of
    from daemon.planning.dose import planned
    from daemon.science.valid_range import OutOfRange
    from reports.planning.card import PlanReader, as_text
    from reports.planning.dose import dose_card

    if asked["reading"] is not None and is_given(click.get_current_context(), "salt_g_per_l"):
        raise InputError("plan dose: found --reading beside --salt-g-per-l; allowed: one of them")
    try:
        with plan_ground(config, state, lot) as ground:
            station = ground.station
            wish, usual = _wish(asked, ground)
        if asked["volume_ml"] is None:
            doses = doses_of(_vessels(station, vessel, asked), wish, usual_cysts=usual)
        elif vessel is None:
            doses = [((), planned(wish))]
        else:
            raise InputError("plan dose: found --vessel beside --volume-ml; allowed: one of them")
    except OutOfRange as error:
        raise InputError(f"plan dose: {error}") from error
    if as_json:
        known = {} if ground.unknown_tin is None else {"unknown_lot": lot}
        click.echo(json.dumps(told(doses) | known, indent=1, ensure_ascii=False))
        return
    figures = figures_of(doses, ground.unknown_tin, ground.alarmed_tin)
    reader = PlanReader() if station is None else PlanReader(station.language, station.temperature_unit)
    click.echo(as_text(dose_card(reader, figures)))


def _wish(asked: dict[str, Any], ground: PlanGround) -> "tuple[DoseWish, bool]":
    """What is wanted, and whether nobody said how many cysts."""
    from daemon.planning.dose import DoseWish

    cysts, usual = _cysts(asked)
    scale = _scale(asked["hydrometer"])
    wish = DoseWish(
        vessels=1 if asked["vessels"] is None else asked["vessels"],
        volume_ml=asked["volume_ml"] or 0.0,
        tin=ground.tin(asked["cysts_per_g"], asked["hatchable_fraction"]),
        salt_g_per_l=_salt_g_per_l(asked, scale),
        salt_means=asked["salt_means"],
        soda_g_per_l=asked["soda_g_per_l"],
        cysts=cysts,
        water_c=asked["water_c"],
        scale=scale,
    )
    return wish, usual


def _cysts(asked: dict[str, Any]) -> "tuple[CystWish, bool]":
    from daemon.planning.dose import CystWish

    given = [(way, asked[option]) for option, way in _WAYS.items() if asked[option] is not None]
    if len(given) > 1:
        named = ", ".join(f"--{name.replace('_', '-')}" for name in _WAYS if asked[name] is not None)
        raise InputError(f"plan dose: found {named}; allowed: one of them")
    return (CystWish(*given[0]), False) if given else (CystWish(), True)


def _salt_g_per_l(asked: dict[str, Any], scale: "Scale") -> float:
    """As it was asked for: in grams, or as the reading of a hydrometer. Raises OutOfRange."""
    if asked["reading"] is None:
        return float(asked["salt_g_per_l"])
    from daemon.planning.dose import salt_g_per_l_of
    from daemon.science.hydrometer import salinity_of_reading

    salinity = salinity_of_reading(asked["reading"], asked["water_c"], scale)
    return salt_g_per_l_of(salinity, asked["salt_means"], asked["water_c"])


def _scale(text: str) -> "Scale":
    from daemon.planning.printed_scale import printed_scale
    from daemon.science.valid_range import OutOfRange

    try:
        return printed_scale(text)
    except OutOfRange:
        raise
    except ValueError as error:
        raise InputError(f"plan dose: --hydrometer: found {shown(text)}; allowed: {error}") from error


def _vessels(station: Station | None, vessel_id: str | None, asked: dict[str, Any]) -> list[Vessel]:
    """Those of the station, each as many as it is."""
    if asked["vessels"] is not None:
        raise InputError(
            "plan dose: found --vessels without --volume-ml; allowed: both, or neither with --config"
        )
    if station is None:
        raise InputError(
            "plan dose: found no --volume-ml; allowed: --volume-ml, or --config with its vessels"
        )
    if vessel_id is None:
        return list(station.vessels)
    if (found := station.vessel(vessel_id)) is None:
        allowed = ", ".join(one.id for one in station.vessels)
        raise InputError(f"plan dose: --vessel: found {shown(vessel_id)}; allowed: {allowed}")
    return [found]
