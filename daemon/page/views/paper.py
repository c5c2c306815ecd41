"""Sheets to print. Each loads what it alone needs."""

from collections.abc import Sequence
from datetime import date, timedelta
from ipaddress import ip_address
from urllib.parse import quote, urlsplit

from flask import request
from werkzeug.exceptions import NotFound

from daemon.bare_import import instead, put_off
from daemon.page.glance import Glance
from daemon.page.shown import address_of, show
from daemon.station import LOOPBACK, Vessel
from reports.page.paper import sheets
from reports.page.paper.sheets import SheetChoice


def paper(glance: Glance) -> str:
    """All that can be printed."""
    return show(
        glance,
        "paper/sheets.html",
        "paper",
        sheets.title(glance.setting),
        sheets=sheets.sheets(glance.setting),
    )


def paper_labels(glance: Glance) -> str:
    """Labels with codes, one for each cup."""
    from reports.page.paper import labels as words

    with instead({"urllib.request": put_off("urllib.request")}):  # 2.5 MiB of OpenSSL: by XML, by segno
        from reports.page.paper.code import code_of

    names = _asked("names", (words.NUMBERS, words.CREATURES))
    grid = _asked("grid", tuple(words.GRIDS))
    plans = [
        words.LabelPlan(one.id, one.count, one.mark_ml, _deeds_of(glance, one)) for one in _vessels(glance)
    ]
    plan = glance.station.page
    loopback = plan.listen == LOOPBACK or _means_itself(address_of(glance))
    return _sheet(
        glance,
        "labels",
        [_vessel_choice(glance), *words.choices(glance.setting, names, grid)],
        pages=words.pages_of(words.labels(glance.setting, plans, names), grid),
        codes=[code_of(one.address) for one in plans],
        grid=grid,
        notes=words.notes(
            glance.setting, address_of(glance), loopback=loopback, told=plan.address is not None
        ),
    )


def paper_week(glance: Glance) -> str:
    """What is expected on each day, with boxes to tick."""
    from daemon.page.week import week_from
    from reports.page.paper import week as words

    begins = _asked("from", (words.TODAY, words.MONDAY))
    today = glance.setting.written_at.date()
    week = week_from(glance, _monday_after(today) if begins == words.MONDAY else today)
    return _sheet(
        glance,
        "week",
        [words.choice(glance.setting, begins)],
        days=words.day_heads(glance.setting, week),
        rows=words.rows(glance.setting, week),
        legend=words.legend(glance.setting, week),
        care=sheets.care_of_room(
            glance.setting, heated=any(one.heater_c is not None for one in glance.station.vessels)
        ),
    )


def _monday_after(day: date) -> date:
    return day + timedelta(days=7 - day.weekday())


def paper_count(glance: Glance) -> str:
    """A form for counting animals and cysts."""
    from reports.page.paper import count as words

    counted = [
        words.CountedVessel(one.id, one.count, one.mark_ml, _deeds_of(glance, one))
        for one in _vessels(glance)
    ]
    return _sheet(
        glance,
        "count",
        [_vessel_choice(glance, none=words.VESSEL_BLANK)],
        form=words.count_form(glance.setting, counted, address_of(glance)),
        samples=words.SAMPLES,
        care=sheets.care_of_animals(glance.setting),
    )


def paper_dose(glance: Glance) -> str:
    """Salt, soda and cysts for each vessel."""
    from daemon.page.dose import dose_of, recipe
    from reports.page.paper import dose as words

    return _sheet(
        glance,
        "dose",
        [_vessel_choice(glance)],
        heads=words.heads(glance.setting),
        rows=words.rows(glance.setting, [dose_of(one) for one in _vessels(glance)]),
        notes=words.notes(glance.setting, recipe()),
        care=[*sheets.care_of_animals(glance.setting), words.care(glance.setting)],
    )


def paper_experiment(glance: Glance) -> str:
    """An experiment's seat map, with the form for counting or the list of levels."""
    from daemon.shown_experiment import planned_of, seats_of
    from daemon.store import experiments
    from reports.experiment import design as words
    from reports.experiment import seats as seat_words
    from reports.page.experiment import sheet as sheet_words
    from reports.page.experiment.counting import lost_line

    every = {str(one.id): one for one in reversed(experiments.every(glance.connection))}
    which = _asked("sheet", sheet_words.SHEETS)
    choices = [sheet_words.sheet_choice(glance.language, which)]
    if not every:
        _asked("experiment", ("",))
        return _sheet(glance, "experiment", choices, named="", care=sheets.care_of_animals(glance.setting))
    one = every[_asked("experiment", tuple(every))]
    lost = experiments.lost(glance.connection, one.id)
    planned, seats = planned_of(one, glance.language), seats_of(one, lost)
    names = [(key, words.title(planned_of(each, glance.language), each.id)) for key, each in every.items()]
    return _sheet(
        glance,
        "experiment",
        [sheet_words.experiment_choice(glance.language, str(one.id), names), *choices],
        named=words.title(planned, one.id),
        idea=one.design.idea,
        sheet=which,
        near=words.near_line(planned),
        rows=seat_words.rows_of(seats),
        levels=seat_words.levels_with_codes(planned, seats),
        cups=seat_words.to_count(seats),
        lost=lost_line(glance.language, lost),
        cysts=one.design.cysts,
        alike=words.alike(planned),
        steps=words.steps(planned),
        address=f"{address_of(glance)}/experiment/{one.id}",
        care=words.care(planned),
    )


def _sheet(glance: Glance, name: str, choices: Sequence[SheetChoice], **values: object) -> str:
    chosen = _asked("paper", tuple(sheets.PAPERS))
    title = sheets.name_of(glance.setting, f"/paper/{name}")
    choices = [sheets.paper_choice(glance.setting, chosen), *choices]
    head = sheets.as_of(glance.setting)
    return show(
        glance, f"paper/{name}.html", "paper", title, paper=chosen, choices=choices, head=head, **values
    )


def _asked(key: str, options: Sequence[str]) -> str:
    """What the address asks for, the first where it asks for none. Raises NotFound for what is none."""
    asked = request.args.get(key, options[0])
    if asked not in options:
        raise NotFound
    return asked


def _vessels(glance: Glance) -> Sequence[Vessel]:
    """The one asked for, or all. Raises NotFound where the station has none of that name."""
    if not (asked := request.args.get("vessel")):
        return glance.station.vessels
    if (found := glance.station.vessel(asked)) is None:
        raise NotFound
    return (found,)


def _vessel_choice(glance: Glance, **named: str) -> SheetChoice:
    ids = [one.id for one in glance.station.vessels]
    return sheets.vessel_choice(glance.setting, request.args.get("vessel", ""), ids, **named)


def _deeds_of(glance: Glance, vessel: Vessel) -> str:
    return f"{address_of(glance)}/do/{quote(vessel.id, safe='')}"


def _means_itself(address: str) -> bool:
    """Whether an address leads every machine to itself."""
    name = urlsplit(address).hostname or ""
    try:
        return ip_address(name).is_loopback
    except ValueError:
        return name == "localhost"
