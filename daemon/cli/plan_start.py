"""naupliad plan start, naupliad plan calendar: when to set cysts for a lesson."""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from daemon.cli.options import is_given, json_option
from daemon.cli.plan_wish import in_the_way, plan_wished, tin_alarm_lines, wish_options
from daemon.errors import InputError, NaupliadError
from reports.records import Range
from reports.starts.records import Moments, Option, PlannedStart


@click.command()
@wish_options
@click.option("--keep", is_flag=True, help="Keep the best time: it stands in today and the calendar.")
@json_option
@click.pass_context
def start(context: click.Context, /, keep: bool, as_json: bool, **wished: Any) -> None:
    """Say when to set cysts so that half of them have hatched in a lesson, and how sure that is.

    The water is as stated with --water-c, or else as the station has learned it.
    """
    plan = plan_wished(context, **wished)
    met = in_the_way(plan.vessel, wished["state"]) if keep or is_given(context, "state") else ()
    number = _kept(plan, wished["state"]) if keep else None
    if as_json:
        told = as_told(plan) if number is None else {**as_told(plan), "kept": number}
        click.echo(json.dumps(told, indent=1, ensure_ascii=False))
        return
    from reports.starts.text import start_text

    click.echo("\n".join([start_text(plan), *tin_alarm_lines(plan, wished["state"])]))
    if met:
        click.echo("\n" + "\n".join(f"! {one}" for one in met))
    if number is not None:
        click.echo(f"\nkept as {number}: the best time stands in today and in the calendar")


def _kept(plan: PlannedStart, state: Path) -> int:
    """Its number. Raises InputError where there is nothing to keep, or nowhere."""
    from daemon.cli.requests import answer
    from daemon.start_record import keep_request
    from daemon.stored_station import station_and_now

    if not plan.days:
        from reports.starts.text import no_days_reason

        raise InputError(f"--keep: found no days; allowed: a plan that has some. {no_days_reason(plan)}")
    station, now = station_and_now(state)
    return int(answer(state, station, keep_request(plan), now)["id"])


@click.command()
@wish_options
@click.option("--out", type=click.Path(path_type=Path), help="The calendar file (.ics).")
@click.option("--replace", is_flag=True, help="Replace an earlier one.")
@click.pass_context
def calendar(context: click.Context, /, out: Path | None, replace: bool, **wished: Any) -> None:
    """Write the days of a planned start as a calendar (.ics), from buying to wrap-up.

    Without --out it is printed.
    """
    from daemon.export.start_calendar import start_calendar
    from daemon.made_beside import check_file, file_made_beside, not_taken
    from reports.starts.text import no_days_reason

    if out is not None:
        check_file(out, replace=replace)
    plan = plan_wished(context, **wished)
    if not plan.days:
        raise NaupliadError(f"--for: found no days for a calendar. {no_days_reason(plan)}")
    made = start_calendar(plan)
    if out is None:
        click.echo(made.decode(), nl=False)
        return
    try:
        with file_made_beside(out) as file:
            file.write(made)
    except OSError as error:
        raise not_taken(out, error) from error
    click.echo(f"{out}: {len(plan.days)} entries")


def as_told(plan: PlannedStart) -> dict[str, Any]:
    """The plan as JSON says it."""
    from reports.starts.text import day_texts, warned_texts

    hedge, swim = plan.hedge, plan.swimmers
    return {
        "options": [_option(one) for one in plan.options],
        "lesson": {"from": _iso(plan.lesson.began), "to": _iso(plan.lesson.ended)},
        "hedge": hedge
        and {
            "set_at": [_iso(hedge.first), _iso(hedge.second)],
            "share_in_lesson": _share(hedge.share_in_lesson),
        },
        "share_if_known": None if plan.if_known is None else _share(plan.if_known),
        "share_if_warm": None if plan.if_warm is None else _share(plan.if_warm),
        "instead": [
            {
                "lesson": {"from": _iso(one.lesson.began), "to": _iso(one.lesson.ended)},
                "set_at": _iso(one.set_at),
                "share_in_lesson": _share(one.share_in_lesson),
                "share_under_way": _share(one.under_way),
                "share_out": one.out and _range(one.out),
            }
            for one in plan.other_ways
        ],
        "swimmers": swim
        and {
            "set_at": _iso(swim.set_at),
            **_range(swim.hatched),
            "half_at": _iso(swim.half_at),
        },
        "assumed_hours": plan.assumed_hours or None,
        "warnings": [
            {"kind": one.kind, "text": text}
            for one, text in zip(plan.warnings, warned_texts(plan), strict=True)
        ],
        "picture": [
            {
                "at": _iso(one.at),
                **_range(one.hatched),
            }
            for one in plan.picture
        ],
        "days": [
            {"kind": one.kind, "from": _iso(one.span.began), "to": _iso(one.span.ended), "text": text}
            for one, text in zip(plan.days, day_texts(plan), strict=True)
        ],
    }


def _option(one: Option) -> dict[str, Any]:
    return {
        "set_at": _iso(one.set_at),
        "t10": _moments(one.t10),
        "t50": _moments(one.t50),
        "t90": _moments(one.t90),
        "share_in_lesson": _share(one.share_in_lesson),
        "share_under_way": _share(one.under_way),
        "share_out": one.out and _range(one.out),
        "as_good": {"from": _iso(one.good.began), "to": _iso(one.good.ended)},
    }


def _moments(moments: Moments) -> dict[str, str | None]:
    """Where one is later than is calculated it is null, with the moment that it is later than."""
    shown = {"p10": moments.p10, "p50": moments.p50, "p90": moments.p90}
    found = {name: None if at is None else _iso(at) for name, at in shown.items()}
    return found if all(found.values()) else {**found, "later_than": _iso(moments.looked_until)}


def _iso(at: datetime) -> str:
    return at.isoformat()


def _range(shares: Range) -> dict[str, float]:
    return {"p10": _share(shares.p10), "p50": _share(shares.p50), "p90": _share(shares.p90)}


def _share(share: float) -> float:
    return round(share, 4)
