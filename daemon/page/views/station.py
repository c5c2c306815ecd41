"""The station itself: its probes, its alarms, its post, what it keeps, its clock."""

from http import HTTPStatus

from flask import Response, redirect, request
from werkzeug.datastructures import MultiDict

from daemon.letters.storage import file_overlooked
from daemon.page import station_now
from daemon.page.asking import NotAnswered
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.page.station_forms import FormFault, StationForm
from daemon.person_names import to_ask_about
from reports.page import forms
from reports.page import station_alarms as alarm_words
from reports.page import station_post as post_words
from reports.page import station_records as record_words
from reports.page.station_probes import probe_lines


def station(glance: Glance) -> str:
    """The view; above it what a form did, where the address names it."""
    return _shown(glance, done=forms.done(glance.language, request.args.get("done", "")))


def carried_out(glance: Glance, form: StationForm) -> Response | tuple[str, int]:
    """What a form asks for, then the view at an address that says so; or the view with what was wrong."""
    try:
        done = form(glance, request.form)
    except FormFault as fault:
        return _shown(glance, fault=fault.line), HTTPStatus.BAD_REQUEST
    except NotAnswered as fault:
        line = forms.not_done(glance.language, fault.line) if fault.undone else fault.line
        return _shown(glance, fault=line), fault.status
    answer = redirect(f"/station?done={done}", HTTPStatus.SEE_OTHER)
    return Response(answer.get_data(), answer.status_code, answer.headers)


def held(glance: Glance, form: MultiDict[str, str]) -> str:
    """The view with what was filled into a form while nobody was signed in."""
    return _shown(glance, fault=forms.held(glance.language), typed=form)


def _shown(
    glance: Glance, *, done: str = "", fault: str = "", typed: MultiDict[str, str] | None = None
) -> str:
    setting, language = glance.setting, glance.language
    alarms, post = station_now.alarms(glance), station_now.post(glance)
    waiting = post_words.waiting_lines(setting, post)
    overlooked = file_overlooked(glance.station, glance.connection)
    return show(
        glance,
        "station.html",
        "station",
        record_words.title(setting),
        done=done,
        fault=fault,
        typed=request.form if typed is None else typed,
        standing=alarm_words.standing_lines(setting, alarms),
        silenced=alarm_words.silenced_lines(setting, alarms),
        over=alarm_words.over_line(language, alarms),
        unseen=alarms.unseen,
        quiet=alarm_words.quiet_line(setting, alarms),
        is_quiet=alarms.quiet_until is not None,
        ends=alarm_words.ends(setting, [glance.local(at) for at in station_now.ends(glance)]),
        alarm_names=alarm_words.alarm_names(language, station_now.alarms_there(glance)),
        probes=probe_lines(setting, station_now.probes(glance)),
        ways=post_words.way_lines(setting, post),
        waiting=waiting,
        more_waiting=post_words.more_line(setting, post, waiting),
        tries=any(one.ways for one in waiting),
        sent=post_words.sent_lines(setting, post),
        kept=record_words.keeping_lines(setting, station_now.keeping(glance)),
        clock=record_words.clock_line(setting),
        names=record_words.name_lines(language, to_ask_about(glance.station.labels, glance.station.no_names)),
        file=record_words.file_lines(setting, overlooked),
    )
