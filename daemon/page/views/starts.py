"""When to set cysts for a lesson. What is calculated here is loaded when somebody asks."""

from collections.abc import Mapping
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from flask import Response, request
from werkzeug.exceptions import NotFound

from daemon.errors import InputError
from daemon.page.asking import NotAnswered, asked
from daemon.page.glance import Glance
from daemon.page.shown import show

if TYPE_CHECKING:
    from daemon.page.start_form import FilledStart
    from daemon.planning.start_ground import Learned
    from reports.starts.last_time import LastTime
    from reports.starts.records import PlannedStart


def plan_start(glance: Glance) -> str:
    """The form, and the plan for what it holds; nothing is noted."""
    return shown_start(glance, request.args)


def shown_start(glance: Glance, sent: Mapping[str, str], *, line: str = "", refused: str = "") -> str:
    """The view by what an address or a form holds; `line` is what a form came to, `refused` why not."""
    from daemon.kept_starts import in_the_way, kept_plans
    from daemon.last_times import last_times
    from daemon.page.alarmed_tin import alarm_lines
    from daemon.page.start_form import is_learned
    from daemon.page.typed_numbers import unknown_lot
    from daemon.store.tin_names import named_lots
    from reports.page.paper.sheets import care_of_animals
    from reports.page.starts import form, shown
    from reports.page.starts.picture import start_plot
    from reports.planning.warned import unknown_tin
    from reports.starts import kept, last_time

    lots = named_lots(glance.connection, glance.station)
    filled, plan = worked_out(glance, sent, frozenset(lots))
    last = [] if plan else last_times(glance.station, glance.connection, glance.at)
    setting, vessels = glance.setting, [one.id for one in glance.station.vessels]
    faults = {**filled.faults, **unknown_tin(glance.language, unknown_lot(sent, lots))}
    return show(
        glance,
        "plan/start.html",
        "plan",
        form.title(setting),
        before=form.first_words(setting),
        fields=form.fields(setting, filled.values, faults, vessels, lots, learns=is_learned(glance, {})),
        plan=plan,
        in_the_way=in_the_way(glance.station, glance.connection, filled.vessel.id, glance.at) if plan else [],
        words=shown,
        picture=plan and start_plot(plan),
        address=urlencode(filled.values),
        swimming=urlencode({**filled.values, form.SEE: form.SWIMMING}),
        dose=f"/plan/dose?{urlencode({'vessel': filled.vessel.id})}",
        asked=filled.values,
        kept=kept.lines(setting, kept_plans(glance.station, glance.connection, glance.at)),
        last=[(last_time.told(setting, one), _again(filled, one)) for one in last],
        line=line or ("" if refused else form.done(setting, sent.get("done", ""))),
        refused=refused,
        tin=alarm_lines(glance.connection, glance.station, filled.lot, glance.at),
        care=care_of_animals(setting),
    )


def _again(filled: "FilledStart", one: "LastTime") -> str:
    """The address of the same plan for the lesson to come; empty where there is none."""
    from reports.page.starts import form

    if one.again is None:
        return ""
    began, ended = one.again.began, one.again.ended
    wanted = {
        form.DAY: f"{began:%Y-%m-%d}",
        form.FROM: f"{began:%H:%M}",
        form.TO: f"{ended:%H:%M}",
        form.SEE: form.SWIMMING if one.swimming else form.HATCHING,
        form.VESSEL: one.vessel,
        form.LOT: one.tin,
    }
    return f"/plan/start?{urlencode({**filled.values, **wanted})}"


def plan_start_calendar(glance: Glance) -> Response:
    """The plan's days, RFC 5545. Raises NotFound for what makes no plan."""
    from daemon.export.ical import MEDIA_TYPE
    from daemon.export.start_calendar import start_calendar
    from daemon.store.tin_names import named_lots

    _, plan = worked_out(glance, request.args, frozenset(named_lots(glance.connection, glance.station)))
    if plan is None or not plan.days:
        raise NotFound
    answer = Response(start_calendar(plan), content_type=MEDIA_TYPE)
    answer.headers["Content-Disposition"] = 'attachment; filename="naupliad-start.ics"'
    return answer


def worked_out(
    glance: Glance, sent: Mapping[str, str], lots: frozenset[str]
) -> "tuple[FilledStart, PlannedStart | None]":
    """The form as filled in, and its plan; None where something is wrong or nothing was sent."""
    from dataclasses import replace

    from daemon.page.start_form import filled_start
    from daemon.requests.start_words import UnreadError
    from daemon.start_record import Wish, planned_start
    from reports.page.starts.form import WATER, wrong

    filled = filled_start(glance, sent, lots)
    if filled.lesson is None:
        return filled, None
    learned = None
    try:
        if filled.stated is None or filled.lot:
            learned = _learned(glance, filled)
    except (NotAnswered, InputError) as fault:
        if filled.stated is None:
            line = fault.line if isinstance(fault, NotAnswered) else str(fault)
            line = wrong(glance.setting, "unread") if isinstance(fault, UnreadError) else line
            return replace(filled, faults={WATER: line}), None
    wish = Wish(filled.lesson, filled.vessel, filled.lot, filled.stated, learned, swimming=filled.swimming)
    return filled, planned_start(glance.station, wish, glance.at)


def _learned(glance: Glance, filled: "FilledStart") -> "Learned":
    from daemon.requests.start_words import learned_read

    words = {"ask": "ahead", "vessel": filled.vessel.id, "lot": filled.lot or ""}
    return learned_read(asked(glance, words), filled.vessel.id, for_water=filled.stated is None)
