"""What the set-up shows, and what its forms do.

A form's step goes into the draft whatever was typed; what is wrong is then said beside its field. Nothing but
the last step changes the station file.
"""

import json
from collections.abc import Callable, Mapping
from http import HTTPStatus
from pathlib import Path
from types import MappingProxyType
from urllib.parse import quote, urlencode

from flask import redirect, request
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import NotFound
from werkzeug.wrappers import Response

from daemon.page.deeds.asking import NotDone
from daemon.page.deeds.pages import Shown
from daemon.page.guard.pin import page_folder
from daemon.page.guard.visit import guard
from daemon.page.setting_up import access, checks, keeping, letters, probes, room, vessels
from daemon.page.setting_up.probes_found import plan_of, was_told
from daemon.page.setting_up.under_way import UnderWay, begin_anew, under_way
from reports.page.forms import held
from reports.page.rendering import render
from reports.page.setting_up import kept as words
from reports.page.setting_up import steps

_NOTHING: Mapping[str, object] = MappingProxyType({})
_SHOWN: Mapping[str, Callable[..., dict[str, object]]] = {
    "room": room.shown,
    "letters": letters.shown,
    "page": access.shown,
}
_TAKEN: Mapping[str, Callable[[UnderWay, MultiDict[str, str]], None]] = {
    "room": room.taken,
    "probes": probes.taken,
    "letters": letters.taken,
    "page": access.taken,
}


class SetUpPages:
    """The views of the set-up."""

    def __init__(self, state: Path, clock: Callable[[], float]) -> None:
        """Of the station whose records stand, or will stand, in `state`; `clock` gives Unix seconds."""
        self._state = state
        self._clock = clock

    def overview(self) -> Shown:
        """The steps, how far each is, and where to begin."""
        at = self._under_way()
        return _show(at, "overview", {}, done=words.changed(_language(at), request.args.get("done", "")))

    def anew(self) -> Shown:
        """Without the draft."""
        begin_anew(self._under_way(), empty=request.form.get("from") == "nothing")
        return redirect("/set-up?done=anew", HTTPStatus.SEE_OTHER)

    def step(self, step: str) -> Shown:
        """A step, filled in."""
        if step not in steps.KEYS:
            raise NotFound
        return self._step(self._under_way(), step)

    def take(self, step: str) -> Shown:
        """A step was filled in."""
        if step not in (*_TAKEN, "vessels"):
            raise NotFound
        at = self._under_way()
        if step in _TAKEN:
            _TAKEN[step](at, request.form)
            if at.clashes(request.form.get("of"), keeping.table_of(step)):
                return self._step(at, step, done=words.meanwhile(_language(at))), HTTPStatus.CONFLICT
            at.keep()
        if step == "letters" and (became := letters.sent(at, request.form, _language(at))):
            shown = self._step(at, "letters", became)
            return shown, HTTPStatus.OK if "sampled" in became else HTTPStatus.CONFLICT
        wrong = any(keeping.step_of(path) == step for path, _ in at.faults)
        if request.form.get("again") or wrong:
            was = {"was": request.form["was"]} if request.form.get("was") else {}
            return _to(f"/set-up/{step}", **({"wrong": "1"} if wrong else {}), **was)
        return _to(f"/set-up/{steps.after(step)}")

    def step_again(self, form: MultiDict[str, str], step: str) -> Shown:
        """A step as it was filled in while nobody was signed in; nothing of it is kept."""
        at = self._under_way()
        if step not in _TAKEN:
            raise NotFound
        _TAKEN[step](at, form)
        return self._step(at, step, done=held(_language(at)))

    def vessel_again(self, form: MultiDict[str, str], place: int) -> Shown:
        """The same of a vessel's form."""
        at = self._under_way()
        if not 1 <= place <= len(at.text.entries("vessel")) + 1:
            raise NotFound
        vessels.taken(at, form, place)
        return self._vessel(at, place, held(_language(at)))

    def now(self) -> Shown:
        """What each probe reads now, for the page's script."""
        at = self._under_way()
        read = probes.now(at, _language(at), was_told(request.args.get("was")))
        return Response(_json(read), content_type="application/json")

    def vessel(self, place: int) -> Shown:
        """The form of a vessel, or of a new one."""
        at = self._under_way()
        if not 1 <= place <= len(at.text.entries("vessel")) + 1:
            raise NotFound
        return self._vessel(at, place)

    def take_vessel(self, place: int) -> Shown:
        """A vessel was filled in, or is taken away."""
        at = self._under_way()
        there = len(at.text.entries("vessel"))
        if not 1 <= place <= there + 1:
            raise NotFound
        if request.form.get("away"):
            if place <= there:
                at.text.drop_entry("vessel", place - 1)
                at.keep()
            return _to("/set-up/vessels")
        vessels.taken(at, request.form, place)
        if at.clashes(request.form.get("of"), "vessel"):
            return self._vessel(at, place, words.meanwhile(_language(at))), HTTPStatus.CONFLICT
        at.keep()
        if request.form.get("again") or any(path.startswith(f"vessel[{place}]") for path, _ in at.faults):
            return _to(f"/set-up/vessels/{place}", wrong="1")
        return _to("/set-up/vessels")

    def check(self, check: str, probe_id: str) -> Shown:
        """How far a check of a probe is."""
        at = self._under_way()
        if plan_of(at, probe_id) is None:
            raise NotFound
        return _show(at, check, checks.shown(at, _language(at), check, probe_id), step="probes")

    def do_check(self, check: str, probe_id: str) -> Shown:
        """A check is begun, goes on, ends, or what it found is taken."""
        at = self._under_way()
        if plan_of(at, probe_id) is None:
            raise NotFound
        if checks.do(at, check, probe_id, request.form):
            return _to("/set-up/probes", done="offset" if check == "ice" else "scale")
        return _to(f"/set-up/{check}/{quote(probe_id)}")

    def no_names(self) -> Shown:
        """The labels that looked like a person's name are none."""
        at = self._under_way()
        keeping.answer_no_names(at)
        at.keep()
        return _to("/set-up/keep")

    def checkup(self) -> Shown:
        """All that the machine needs for the watch, looked over now."""
        at = self._under_way()
        return _show(at, "checkup", {"found": checks.found(at.state)})

    def keep(self) -> Shown:
        """The file is to be kept, as it was shown."""
        at = self._under_way()
        if request.form.get("of", at.stamp()) != at.stamp():
            return self._step(at, "keep", done=words.meanwhile(_language(at))), HTTPStatus.CONFLICT
        try:
            keeping.keep(at)
        except NotDone as fault:
            if fault.why:
                raise
            return self._step(at, "keep", {"refused": fault.faults}), HTTPStatus.CONFLICT
        return _to("/set-up/begun", **{"in": _language(at)})

    def begun(self) -> Shown:
        """The station begins by its file: what it reads so far."""
        at = self._under_way()
        return _show(at, "begun", keeping.begun(at, _language(at), self._clock()))

    def _vessel(self, at: UnderWay, place: int, done: str = "") -> str:
        values = vessels.shown(at, _language(at), _told_faults(at, "vessels"), place)
        return _show(at, "vessel", values, step="vessels", done=done)

    def _step(self, at: UnderWay, step: str, more: Mapping[str, object] = _NOTHING, *, done: str = "") -> str:
        language, faults = _language(at), _told_faults(at, step)
        if step == "keep":
            values = keeping.shown(at, language, at.faults)
        elif step == "probes":
            values = probes.shown(at, language, faults, was_told(request.args.get("was")))
        elif step == "vessels":
            values = vessels.listed(at, language, at.faults)
        else:
            values = _SHOWN[step](at, language, faults)
        done = done or words.changed(language, request.args.get("done", ""))
        return _show(at, step, {**values, **more}, done=done)

    def _under_way(self) -> UnderWay:
        return under_way(self._state, page_folder(self._state), guard().plan().listen)


def not_answered(fault: NotDone) -> Shown:
    """The daemon does not run, or says no: what to do. While it begins by a new file, that is no fault."""
    told = request.args.get("in")  # the file that is just kept says it; nobody can be asked for it now
    language = told if told in ("en", "de") else guard().language()
    begins = bool(fault.why) and request.endpoint == "set_up.begun"
    values = {
        "title": words.begins(language) if begins else steps.title(language),
        "line": words.not_asked(language, fault.why, " ".join(fault.faults)),
        "down": fault.why == "down",
        "begins": begins,
    }
    return render("set_up/unasked.html", language, here="", **values), HTTPStatus.SERVICE_UNAVAILABLE


def _show(at: UnderWay, name: str, values: Mapping[str, object], *, step: str = "", done: str = "") -> str:
    language = _language(at)
    key = step or (name if name in steps.KEYS else "")
    wrong: dict[str, int] = {}
    for path, _ in at.faults:
        of = keeping.step_of(path)
        wrong[of] = wrong.get(of, 0) + 1
    shown = {"refused": (), "sampled": (), "unsent": (), "unkept": (), **values}
    return render(
        f"set_up/{name}.html",
        language,
        here="",
        title=steps.title(language, key),
        steps=steps.step_lines(language, wrong, _begun(at)),
        step=key,
        next_step=steps.after(key) if key else "room",
        done=done,
        of=at.stamp(keeping.table_of(key)),
        at=at,
        nav=bool(at.file.text),
        **shown,
    )


def _language(at: UnderWay) -> str:
    return at.language(guard().language())


def _begun(at: UnderWay) -> frozenset[str]:
    """The steps that have something in them."""
    tables = ("station", "probe", "vessel", "post", "page")
    return frozenset(keeping.step_of(table) for table in tables if at.text.has(table))


def _told_faults(at: UnderWay, step: str) -> list[tuple[str, str]]:
    """What is wrong, once somebody has filled the step in: an empty form is no fault yet."""
    is_told = step in _begun(at) or request.args.get("wrong") or request.method == "POST"
    return at.faults if is_told else []


def _to(path: str, **query: str) -> Response:
    return redirect(f"{path}?{urlencode(query)}" if query else path, HTTPStatus.SEE_OTHER)


def _json(words: object) -> str:
    return json.dumps(words, ensure_ascii=False)
