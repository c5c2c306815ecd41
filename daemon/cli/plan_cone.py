"""naupliad plan cone: when a cone's harvest opens and closes, what comes, and a harvest every day."""

import json
from dataclasses import replace
from datetime import time as clock_time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from daemon.cli.number_option import G_PER_L, GRAMS, ML, WATER_C
from daemon.cli.options import clock_of, json_option
from daemon.cli.plan_ground import PlanGround, ground_options, plan_ground
from daemon.errors import InputError
from daemon.input.file import shown
from daemon.science.strains import STRAINS
from daemon.station import CONE, Station, Vessel

if TYPE_CHECKING:
    from daemon.estimates.quantile import Estimate
    from daemon.planning.cone import ConeWish, PlannedCone
    from daemon.planning.cone_days import DailyHarvest, DailyRhythm
    from daemon.planning.cone_instead import Instead
    from daemon.planning.start_ground import Learned


@click.command()
@click.option("--volume-ml", type=ML, help="mL in the cone; without it to the mark of the station's cone.")
@click.option("--cysts-g", type=GRAMS, required=True, help="Grams of cysts.")
@click.option("--water-c", type=WATER_C, help="°C at which it is held; without it as the cone's heater_c.")
@click.option("--salt-g-per-l", type=G_PER_L, default=25.0, show_default=True, help="Grams of salt a litre.")
@ground_options
@click.option("--strain", type=click.Choice(sorted(STRAINS)), help="Where the cysts are from.")
@click.option("--daily-at", metavar="HH:MM", help="A fresh harvest every day at this hour.")
@click.option("--vessel", help="The cone, where the station has several.")
@json_option
def cone(
    config: Path | None,
    state: Path | None,
    vessel: str | None,
    lot: str | None,
    daily_at: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Say when a cone's harvest opens and closes, how many hatch, and how to keep them.

    \b
    naupliad plan cone --volume-ml 1500 --cysts-g 3 --water-c 27
    naupliad plan cone --cysts-g 3 --daily-at 08:30 --config station.toml
    """
    from daemon.page.cone import cone_figures, days_of, rhythm_of, seen_tin
    from daemon.planning.cone import planned_cone
    from daemon.planning.cone_days import cones_of, daily_harvests, daily_rhythm
    from daemon.planning.cone_instead import instead_of
    from daemon.science.valid_range import OutOfRange
    from reports.planning.card import PlanReader, as_text
    from reports.planning.cone import cone_card

    at = None if daily_at is None else _clock(daily_at)
    try:
        with plan_ground(config, state, lot) as ground:
            station, now = ground.station, ground.now
            held = _cone(station, vessel)
            wish = _wish(asked, ground, held)
        learned, left_out = _learned(state, ground, held, asked["strain"])
        plan = planned_cone(replace(wish, seen=None if learned is None else seen_tin(learned)))
    except OutOfRange as error:
        raise InputError(f"plan cone: {error}") from error
    rhythm = daily_rhythm(plan.hatch) if at and station is None else None
    harvests = daily_harvests(plan.hatch, station, at, now) if at and station else []
    instead = instead_of(plan.wish, plan.hatch, station, at, now, harvests) if at and station else None
    if as_json:
        cones = rhythm.cones if rhythm else cones_of(harvests)
        unknown = {} if ground.unknown_tin is None else {"unknown_lot": lot}
        told = _as_json(plan) | unknown | (_daily(rhythm, harvests, cones, station, instead) if at else {})
        click.echo(json.dumps(told, indent=1, ensure_ascii=False))
        return
    days, cones = days_of(harvests, station) if station else ((), 0)
    figures = cone_figures(
        plan,
        heated=held is None or held.heater_c is not None,
        rhythm=rhythm_of(rhythm, at) if rhythm and at else None,
        tin=(lot or "") if ground.unknown_tin is None else "",
        left_out=left_out,
        daily_at=at,
        days=days,
        cones=cones,
        unknown_tin=ground.unknown_tin,
        alarmed_tin=ground.alarmed_tin,
        instead=instead,
    )
    reader = PlanReader() if station is None else PlanReader(station.language, station.temperature_unit)
    click.echo(as_text(cone_card(reader, figures)))


def _cone(station: Station | None, name: str | None) -> Vessel | None:
    """The cone of that name, or the station's first; None where there is none."""
    if station is None:
        return None
    cones = {one.id: one for one in station.vessels if one.kind == CONE}
    if name is None:
        return next(iter(cones.values()), None)
    if name not in cones:
        allowed = ", ".join(cones) or "none, the station has no cone"
        raise InputError(f"plan cone: --vessel: found {shown(name)}; allowed: {allowed}")
    return cones[name]


def _learned(
    state: Path | None, ground: PlanGround, held: Vessel | None, strain: str | None
) -> "tuple[Learned | None, str]":
    """What the station learned of the tin; or why that is not in the plan, as `rests_on` has it."""
    from reports.planning.rests_on import NO_RECORDS, STRAIN_CHOSEN

    if not ground.lot or ground.unknown_tin is not None:
        return None, ""
    if state is None:
        return None, NO_RECORDS
    if strain is not None:
        return None, STRAIN_CHOSEN
    from daemon.cli.plan_wish import learned

    where = held if held in ground.watched else ground.watched[0]
    return learned(state, where, ground.lot, ground.now, for_water=False), ""


def _wish(asked: dict[str, Any], ground: PlanGround, held: Vessel | None) -> "ConeWish":
    from daemon.planning.cone import CONE_ML, ConeWish
    from daemon.planning.tin_yield import strain_of
    from daemon.science.valid_range import written_out

    volume_ml, water_c = asked["volume_ml"], asked["water_c"]
    if volume_ml is None and held is not None:
        volume_ml = held.mark_ml
    if water_c is None and held is not None:
        water_c = held.heater_c
    if volume_ml is None:
        raise InputError("plan cone: found no --volume-ml; allowed: --volume-ml, or --config with a cone")
    if water_c is None:
        raise InputError(
            "plan cone: found no --water-c; allowed: --water-c, or --config whose cone has heater_c"
        )
    if volume_ml < CONE_ML[0]:
        least, most = (written_out(end) for end in CONE_ML)
        raise InputError(
            f"plan cone: volume is {volume_ml:g} mL; allowed is {least} to {most} mL, and a litre is 1000 mL"
        )
    return ConeWish(
        volume_ml=volume_ml,
        cysts_g=asked["cysts_g"],
        water_c=water_c,
        strain=STRAINS[asked["strain"]] if asked["strain"] else strain_of(ground.station, ground.lot),
        tin=ground.tin(asked["cysts_per_g"], asked["hatchable_fraction"]),
        salt_g_per_l=asked["salt_g_per_l"],
    )


def _clock(text: str) -> clock_time:
    try:
        return clock_of(text)
    except ValueError as error:
        raise InputError(
            f"plan cone: --daily-at: found {shown(text)}; allowed: HH:MM, such as 08:30"
        ) from error


def _as_json(plan: "PlannedCone") -> dict[str, Any]:
    hatch, first = plan.hatch, plan.hatch.first_of_two
    return {
        "volume_ml": plan.wish.volume_ml,
        "cysts_g": plan.wish.cysts_g,
        "water_c": plan.wish.water_c,
        "strain": plan.wish.strain.name,
        "hatches_seen": 0 if plan.wish.seen is None else plan.wish.seen.hatches,
        "half_hatched_h": _range(hatch.half_h),
        "harvest_opens_h": _range(hatch.opens_h),
        "harvest_closes_h": _range(hatch.closes_h),
        "two_harvests": plan.two_harvests,
        "two_harvests_fraction": round(hatch.two_harvests_chance, 4),
        "first_harvest_h": _range(first[0]) if first else None,
        "first_harvest_hatched_fraction": _range(first[1]) if first else None,
        "animals": _range(plan.animals),
        "hold_ml": _range(plan.hold_l, 1000.0),
        "cysts_most_g": plan.most_cysts_g,
        "air_enough": plan.air_enough,
        "salt_g_per_kg": float(f"{plan.salt_g_per_kg:.7g}"),
    }


def _daily(
    rhythm: "DailyRhythm | None",
    harvests: "list[DailyHarvest]",
    cones: int,
    station: Station | None,
    instead: "Instead | None",
) -> dict[str, Any]:
    if rhythm is not None or station is None:
        every = rhythm and {
            "set_before_h": rhythm.after_h,
            "in_window_fraction": round(rhythm.chance, 4),
            "hatched_fraction": _range(rhythm.out),
        }
        return {"daily": {"cones": cones, "every_day": every}}
    from daemon.hours import local_time

    def iso(at: int) -> str:
        return local_time(at, station.timezone).isoformat()

    days = [
        {
            "at": iso(one.at),
            "attended": one.attended,
            "set_at": None if one.set_at is None else iso(one.set_at),
            "cone": one.cone or None,
            "in_window_fraction": round(one.chance, 4),
            "hatched_fraction": one.out and _range(one.out),
            "open": None if one.set_at is None else one.is_open,
        }
        for one in harvests
    ]
    would_do = instead and {
        "at": instead.clock and f"{instead.clock:%H:%M}",
        "water_c": instead.water_c,
    }
    return {"daily": {"cones": cones, "harvests": days, "would_do": would_do}}


def _range(found: "Estimate", times: float = 1.0) -> dict[str, float]:
    return {name: float(f"{getattr(found, name) * times:.5g}") for name in ("p10", "p50", "p90")}
