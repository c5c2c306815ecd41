"""Tins of cysts: whether one will do, and what each gave. What it takes is loaded when somebody asks."""

from collections.abc import Mapping
from http import HTTPStatus

from flask import Response, redirect, request
from werkzeug.datastructures import MultiDict

from daemon.page.glance import Glance
from daemon.page.shown import show

Shown = Response | tuple[str, int]


def tin_test(glance: Glance) -> str:
    """The form of a test, and what it says; nothing is noted."""
    return _test_page(glance, request.args)


def keep_test(glance: Glance) -> Shown:
    """A test kept with its tin; then the view of the tins. Or the form, with what is wrong."""
    from daemon.page.asking import NotAnswered, asked
    from daemon.page.tin_form import kept_words
    from reports.page import forms
    from reports.page.doing.refusals import refusal

    words, fault = kept_words(glance, request.form)
    if words is None:
        line = refusal(glance.setting, "fields")
        page = _test_page(glance, request.form, fault=line, lot_fault=fault)
        return page, HTTPStatus.UNPROCESSABLE_ENTITY
    try:
        asked(glance, words)
    except NotAnswered as said:
        line = forms.not_done(glance.language, said.line) if said.undone else said.line
        return _test_page(glance, request.form, fault=line), said.status
    return _on_to_tins("kept")


def keep_again(glance: Glance, form: MultiDict[str, str]) -> str:
    """The form with what was filled in while nobody was signed in."""
    from reports.page import forms

    return _test_page(glance, form, fault=forms.held(glance.language))


def tins(glance: Glance) -> str:
    """What each tin has given."""
    return _tins_page(glance, done=request.args.get("done", ""))


def take_test_back(glance: Glance) -> Shown:
    """A kept test withdrawn, and the view of the tins."""
    from daemon.page.asking import NotAnswered, asked
    from reports.page import forms

    number = request.form.get("id", "")
    test_id = int(number) if number.isascii() and number.isdigit() and len(number) < 16 else 0
    try:
        asked(glance, {"ask": "tin withdraw", "id": test_id})
    except NotAnswered as said:
        line = forms.not_done(glance.language, said.line) if said.undone else said.line
        return _tins_page(glance, fault=line), said.status
    return _on_to_tins("withdrawn")


def tins_again(glance: Glance, _form: MultiDict[str, str]) -> str:
    """The view once more, for who was not signed in."""
    from reports.page import forms

    return _tins_page(glance, fault=forms.held(glance.language))


def _on_to_tins(done: str) -> Response:
    answer = redirect(f"/plan/tins?done={done}", HTTPStatus.SEE_OTHER)
    return Response(answer.get_data(), answer.status_code, answer.headers)


def _test_page(glance: Glance, sent: Mapping[str, str], *, fault: str = "", lot_fault: str = "") -> str:
    from daemon.page.tin_form import filled_test
    from daemon.page.tins import given_lot, said_test
    from daemon.planning.tin_test import judged
    from daemon.store.tins import named_lots
    from reports.page.paper.sheets import care_of_animals
    from reports.page.tins import test_form, viability

    lots = named_lots(glance.connection, glance.station)
    filled = filled_test(glance, sent, frozenset(lots))
    setting, said = glance.setting, None
    if filled.test is not None:
        strain, opened_days = given_lot(glance.station, filled.lot, glance.at)
        found = judged(filled.test, strain, opened_days)
        said = said_test(filled.test, found, strain, glance.language, setting.unit)
    timed = filled.test is not None and filled.test.hours is not None
    return show(
        glance,
        "plan/tin.html",
        "plan",
        test_form.title(setting),
        fault=fault,
        before=test_form.first_words(setting),
        fields=test_form.fields(setting, filled.values, filled.faults, lots),
        verdict=said and viability.headline(said),
        facts=said and viability.facts(said),
        notes=said and viability.notes(said),
        kept=test_form.kept_fields(setting, sent.get(test_form.LOT, ""), lot_fault, lots) if timed else (),
        hidden=[(name, filled.values[name]) for name in test_form.FIELDS if name != test_form.LOT],
        care=care_of_animals(setting),
    )


def _tins_page(glance: Glance, *, done: str = "", fault: str = "") -> str:
    from daemon.page.tins import tin_record
    from daemon.store.tins import every
    from reports.page.tins import listed

    setting = glance.setting
    records = [tin_record(glance.station, one) for one in every(glance.connection, glance.station, glance.at)]
    return show(
        glance,
        "plan/tins.html",
        "plan",
        listed.title(setting),
        fault=fault,
        done=listed.done(setting, done),
        tins=listed.lines(setting, records),
        heads=listed.heads(setting),
        notes=listed.notes(setting),
        unnamed=listed.unnamed(setting),
    )
