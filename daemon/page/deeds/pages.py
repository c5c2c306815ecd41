"""The do view and its forms: what is shown, and what is sent."""

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from http import HTTPStatus
from pathlib import Path
from typing import Any

from flask import redirect, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response

from daemon.errors import InputError
from daemon.page.deeds.alone import alone, here_and_now
from daemon.page.deeds.asking import NotDone
from daemon.page.deeds.form import FilledForm, FormFaults, values_of
from daemon.page.deeds.likely import likely
from daemon.page.deeds.moment import moment_of
from daemon.page.deeds.noting import Noting, Words
from daemon.page.deeds.once import Once
from daemon.page.deeds.others import requests_of, ticked
from daemon.page.deeds.showing import show_do, show_form
from daemon.page.glance import Glance, Moment, glancing
from reports.page.doing.choices import CHOICES, Choice, meant
from reports.page.doing.fields import names
from reports.page.doing.refusals import refusal

Shown = str | Response | tuple[str, HTTPStatus]

_STATUS = {
    "down": HTTPStatus.SERVICE_UNAVAILABLE,
    "busy": HTTPStatus.SERVICE_UNAVAILABLE,
    "silent": HTTPStatus.GATEWAY_TIMEOUT,
    "played": HTTPStatus.CONFLICT,
}


@dataclass(frozen=True, slots=True)
class Doors:
    """What the views work with: the station's folder and its time, the forms' keys, who notes."""

    state: Path
    moment: Moment
    once: Once
    noting: Noting

    def glancing(self) -> AbstractContextManager[Glance]:
        """A glance at the station."""
        return glancing(self.state, self.moment)


class DoPages:
    """The do view of a vessel and the form of each choice."""

    def __init__(self, doors: Doors) -> None:
        """With the page's one set of doors."""
        self._doors = doors

    def do(self, vessel_id: str) -> Shown:
        """All that may be noted of a vessel."""
        with self._doors.glancing() as glance:
            every = [one.id for one in glance.station.vessels] if "all" in request.args else []
            also = ticked(glance, vessel_id, every)
            return show_do(glance, vessel_id, self._doors.once.key(glance.at), also=also)

    def chosen(self, vessel_id: str) -> Shown:
        """A button was tapped: what needs no amount is noted, the rest has a form."""
        choice = CHOICES.get(request.form.get("deed", ""))
        with self._doors.glancing() as glance:
            alone(glance, vessel_id)
            if choice is None:
                line = refusal(here_and_now(glance), "unknown")
                key = self._doors.once.key(glance.at)
                return show_do(glance, vessel_id, key, line), HTTPStatus.BAD_REQUEST
            if not names(choice):
                return self._noted(glance, vessel_id, choice)
        kept = {name: request.form[name] for name in ("when", "at") if request.form.get(name)}
        also = request.form.getlist("also")
        return see_other("deeds.form", vessel_id=vessel_id, choice_key=choice.key, also=also, **kept)

    def form(self, vessel_id: str, choice_key: str) -> Shown:
        """The form of a choice, with what was most likely done."""
        with self._doors.glancing() as glance:
            one = alone(glance, vessel_id)
            choice = CHOICES.get(choice_key)
            if choice is None:
                return see_other("deeds.do", vessel_id=vessel_id)
            due = meant(choice, one.record.vessels[0])
            if due is not choice:
                kept = request.args.to_dict(flat=False)
                return see_other("deeds.form", **{**kept, "vessel_id": vessel_id, "choice_key": due.key})
            values = likely(one, choice)
            key, sent = self._doors.once.key(glance.at), request.args.to_dict()
            also = ticked(glance, vessel_id, request.args.getlist("also"))
            why = "played" if glance.played else ""
            filled = FilledForm(choice, vessel_id, key, values, sent, also, why=why, guessed=True)
            return show_form(glance, filled)

    def note(self, vessel_id: str, choice_key: str) -> Shown:
        """The form was sent."""
        with self._doors.glancing() as glance:
            alone(glance, vessel_id)
            choice = CHOICES.get(choice_key)
            if choice is None:
                return see_other("deeds.do", vessel_id=vessel_id)
            return self._noted(glance, vessel_id, choice)

    def again(self, form: MultiDict[str, str], vessel_id: str, choice_key: str = "") -> Shown:
        """A form as it was sent before the PIN was given, or the form of a button that was tapped then."""
        with self._doors.glancing() as glance:
            one = alone(glance, vessel_id)
            choice = CHOICES.get(choice_key or form.get("deed", ""))
            if choice is None:
                return see_other("deeds.do", vessel_id=vessel_id)
            if not choice_key:
                choice = meant(choice, one.record.vessels[0])
            filled = self._filled(glance, vessel_id, choice, form)
            if not choice_key:
                filled = replace(filled, values=likely(one, choice), guessed=True)
            return shown_again(glance, self._doors, filled)

    def _noted(self, glance: Glance, vessel_id: str, choice: Choice) -> Shown:
        filled, faults = self._filled(glance, vessel_id, choice, request.form), FormFaults()
        vessels, sent = (vessel_id, *filled.also), filled.sent
        requests = requests_of(glance, vessels, choice, filled.values, sent, faults)
        at = moment_at(glance, sent, faults)
        if faults.by_field:
            return refused(glance, self._doors, replace(filled, faults=faults))
        if (why := why_not(glance, filled.key)) is not None:
            return refused(glance, self._doors, replace(filled, why=why))
        return self._recorded(glance, filled, requests, at)

    @staticmethod
    def _filled(glance: Glance, vessel_id: str, choice: Choice, form: MultiDict[str, str]) -> FilledForm:
        sent, also = form.to_dict(), ticked(glance, vessel_id, form.getlist("also"))
        return FilledForm(choice, vessel_id, sent.get("once", ""), values_of(sent, choice), sent, also)

    def _recorded(self, glance: Glance, filled: FilledForm, requests: Sequence[Words], at: int) -> Shown:
        when = {name: filled.sent.get(name, "") for name in ("when", "at", "reading")}
        record, key, what = self._doors.noting.record, filled.key, filled.choice.key
        try:
            noted = [
                record(glance, key, f"{what}/{words['deed']}", words, at, (words, when)) for words in requests
            ]
        except NotDone as fault:
            return refused(glance, self._doors, replace(filled, **of_fault(fault, filled)))
        again = {"again": 1} if any(other for _, other in noted) else {}
        return see_other("deeds.done", ids=",".join(str(deed_id) for deed_id, _ in noted), **again)


def moment_at(glance: Glance, sent: Mapping[str, str], faults: FormFaults, was: int | None = None) -> int:
    """When it was, Unix s; what is wrong with that goes to `faults`."""
    try:
        return moment_of(glance, sent, was)
    except InputError as error:
        faults.add("time", error.faults[0].removeprefix("time: "))
        return 0


def why_not(glance: Glance, key: str) -> str | None:
    """Why nothing can be noted, whatever it is; None where it can."""
    if glance.played:
        return "played"
    return "old" if Once.made_at(key, glance.at) is None else None


def of_fault(fault: NotDone, filled: FilledForm) -> dict[str, Any]:
    """What a form is told of a request that was not done."""
    faults = FormFaults()
    faults.take(fault.faults if not fault.why else (), (*filled.values, "time"))
    return {"why": fault.why, "faults": faults}


def refused(glance: Glance, doors: Doors, filled: FilledForm) -> Shown:
    """The form once more, with all that was sent, and one line that says why."""
    status = _STATUS.get(filled.why, HTTPStatus.UNPROCESSABLE_ENTITY)
    return show_form(glance, _with_key(glance, doors, filled)), status


def shown_again(glance: Glance, doors: Doors, filled: FilledForm) -> Shown:
    """The form with what was filled in while nobody was signed in: a tap from being noted."""
    return show_form(glance, replace(_with_key(glance, doors, filled), why="held"))


def _with_key(glance: Glance, doors: Doors, filled: FilledForm) -> FilledForm:
    """The form under its own key, so that it is noted once; a new one where that is none, or too old."""
    if Once.made_at(filled.key, glance.at) is not None:
        return filled
    return replace(filled, key=doors.once.key(glance.at))


def see_other(endpoint: str, **named: Any) -> Response:
    """On to another address, so that a reload sends nothing again."""
    return redirect(url_for(endpoint, **named), HTTPStatus.SEE_OTHER)
