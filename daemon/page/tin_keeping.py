"""A tin's test kept through the daemon, or taken back; then the view of the tins, or what is wrong."""

from http import HTTPStatus

from flask import Response, redirect
from werkzeug.datastructures import MultiDict

from daemon.care.tin_name import tin_like
from daemon.page.asking import NotAnswered, asked
from daemon.page.glance import Glance
from daemon.page.tin_form import kept_words
from daemon.page.views.tins import page_of_test, page_of_tins
from daemon.store.tin_names import named_lots
from reports.page import forms
from reports.page.doing.refusals import refusal
from reports.page.tins.test_form import NEW_TIN, alike

Shown = Response | tuple[str, int]


def kept(glance: Glance, form: MultiDict[str, str]) -> Shown:
    """The guard has let it pass: whoever sends a form is signed in."""
    words, fault = kept_words(glance, form)
    if words is None:
        page = page_of_test(glance, form, fault=refusal(glance.setting, "fields"), lot_fault=fault)
        return page, HTTPStatus.UNPROCESSABLE_ENTITY
    like = tin_like(words["lot"], named_lots(glance.connection, glance.station))
    if like is not None and form.get(NEW_TIN) != words["lot"]:
        page = page_of_test(glance, form, lot_fault=alike(glance.setting, words["lot"], like), alike=True)
        return page, HTTPStatus.UNPROCESSABLE_ENTITY
    try:
        answered = asked(glance, words)
    except NotAnswered as said:
        return page_of_test(glance, form, fault=_line(glance, said)), said.status
    if answered.get("again"):
        return _on_to_tins("kept-already")
    return _on_to_tins("kept")


def kept_again(glance: Glance, form: MultiDict[str, str]) -> str:
    """The form with what was filled in while nobody was signed in."""
    return page_of_test(glance, form, fault=forms.held(glance.language))


def taken_back(glance: Glance, form: MultiDict[str, str]) -> Shown:
    """By the test's number."""
    number = form.get("id", "")
    test_id = int(number) if number.isascii() and number.isdigit() and len(number) < 16 else 0
    try:
        asked(glance, {"ask": "tin withdraw", "id": test_id})
    except NotAnswered as said:
        return page_of_tins(glance, fault=_line(glance, said)), said.status
    return _on_to_tins("withdrawn")


def _line(glance: Glance, said: NotAnswered) -> str:
    return forms.not_done(glance.language, said.line) if said.undone else said.line


def _on_to_tins(done: str) -> Response:
    answer = redirect(f"/plan/tins?done={done}", HTTPStatus.SEE_OTHER)
    return Response(answer.get_data(), answer.status_code, answer.headers)
