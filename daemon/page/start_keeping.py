"""Keeping a planned start, and taking one back: through the daemon, as all that is noted."""

from dataclasses import replace
from http import HTTPStatus

from flask import Response, redirect
from werkzeug.datastructures import MultiDict

from daemon.page.asking import NotAnswered, asked
from daemon.page.glance import Glance
from daemon.page.views.starts import shown_start, worked_out
from daemon.start_record import keep_request
from daemon.store.tin_names import named_lots
from reports.page import forms
from reports.page.starts import form as words
from reports.starts.records import PlannedStart

Shown = Response | tuple[str, int]
_LARGEST_ID = 2**53 - 1


def kept(glance: Glance, form: MultiDict[str, str]) -> Shown:
    """The plan that was shown, kept. Where it is another by now, the new one is shown, and nothing kept."""
    lots = frozenset(named_lots(glance.connection, glance.station))
    _, plan = worked_out(glance, form, lots)
    chosen = None if plan is None else _chosen(plan, form.get("set_at", ""))
    if chosen is None:
        line = words.done(glance.setting, "changed")
        return shown_start(glance, form, refused=line), HTTPStatus.CONFLICT
    try:
        asked(glance, keep_request(chosen))
    except NotAnswered as fault:
        return _not_done(glance, form, fault)
    return _to("kept")


def _chosen(plan: PlannedStart, set_at: str) -> PlannedStart | None:
    """The plan, if its best time is the one that was shown, or about as good."""
    if not plan.days or not (set_at.isascii() and set_at.isdigit() and len(set_at) < len(str(_LARGEST_ID))):
        return None
    best, wanted = plan.options[0], int(set_at)
    if not best.good.began.timestamp() <= wanted <= best.good.ended.timestamp():
        return None
    moved = best.set_at.fromtimestamp(wanted, best.set_at.tzinfo)
    return replace(plan, options=[replace(best, set_at=moved), *plan.options[1:]])


def taken_back(glance: Glance, form: MultiDict[str, str]) -> Shown:
    """A plan that is not wanted any more."""
    text = form.get("id", "")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < len(str(_LARGEST_ID)) else 0
    try:
        answer = asked(glance, {"ask": "start withdraw", "id": number})
    except NotAnswered as fault:
        return _not_done(glance, form, fault)
    return _to("withdrawn" if answer.get("withdrawn") else "gone")


def held(glance: Glance, form: MultiDict[str, str]) -> str:
    """The view with what was sent while nobody was signed in."""
    return shown_start(glance, form, line=words.done(glance.setting, "held"))


def _not_done(glance: Glance, form: MultiDict[str, str], fault: NotAnswered) -> Shown:
    line = forms.not_done(glance.language, fault.line) if fault.undone else fault.line
    return shown_start(glance, form, refused=line), fault.status


def _to(done: str) -> Response:
    answer = redirect(f"/plan/start?done={done}", HTTPStatus.SEE_OTHER)
    return Response(answer.get_data(), answer.status_code, answer.headers)
