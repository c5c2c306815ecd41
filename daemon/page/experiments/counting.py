"""The view of an experiment that runs: its seat map, the form for counts, and what it shows."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from http import HTTPStatus
from typing import Any

from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import NotFound

from daemon.page.asking import NotAnswered, asked
from daemon.page.experiments.begin import Shown, to
from daemon.page.experiments.count_form import begins_with, hours_of, read, round_of, text_of
from daemon.page.experiments.shows import shows
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.planning.experiment.counts import WHY_LOST
from daemon.shown_experiment import planned_of, seats_of
from daemon.store import experiments
from daemon.store.experiments import Counted, Experiment
from reports.experiment import design as design_words
from reports.experiment import seats as seat_words
from reports.experiment.seats import SeatShown
from reports.page.experiment import counting as words
from reports.page.experiment import table as table_words

_LARGEST_ID = 2**63 - 1


def found(glance: Glance, number: int) -> Experiment:
    """The experiment of that number. Raises NotFound."""
    one = experiments.find(glance.connection, number) if number <= _LARGEST_ID else None
    if one is None:
        raise NotFound
    return one


def looked_at(glance: Glance, number: int, sent: Mapping[str, str]) -> str:
    """The view; above it what a form did, where the address names it."""
    one = found(glance, number)
    standing = _standing(glance, one)
    codes = {seat.code for seat in one.seats}
    done = ""
    if (code := sent.get("done", "")) in codes:
        lines = [words.count_line(glance.language, _said(c)) for c in standing if c.code == code]
        done = words.noted(glance.language, lines[-1]) if lines else ""
    if (code := sent.get("back", "")) in codes:
        done = words.taken_back(glance.language, code)
    if (code := sent.get("lost", "")) in codes:
        gone = code in experiments.lost(glance.connection, one.id)
        done = (words.lost_noted if gone else words.not_lost)(glance.language, code)
    if sent.get("table", "").isdecimal():
        done = table_words.noted(glance.language, min(int(sent["table"][:4]), len(standing)))
    begins = {**sent, **begins_with(sent, standing, round_of(standing, sent).hour)}
    return _shown(glance, one, begins, done=done)


def counted(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """A count, kept; or the view with what was wrong."""
    one, sent = found(glance, number), form.to_dict()
    standing = _standing(glance, one)
    count, faults = read(one, sent, standing, experiments.lost(glance.connection, one.id))
    if count is None:
        line = words.see_below(glance.language)
        return _shown(glance, one, sent, faults, line), HTTPStatus.UNPROCESSABLE_ENTITY
    before = next((c for c in standing if c.what == count.what), count)
    count = replace(count, water_c=before.water_c)
    if before != count and not sent.get("correct"):
        line = words.stands(glance.language, words.count_line(glance.language, _said(before)))
        return _shown(glance, one, sent, (), line, stands=before), HTTPStatus.CONFLICT
    given = [count.code, count.hatched, count.cysts, count.hours, count.water_c]
    correct = bool(sent.get("correct"))
    return _asked(
        glance, one, sent, "done", count.code, {"ask": "count", "counts": [given], "correct": correct}
    )


def taken_back(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """A count, taken back."""
    one, sent = found(glance, number), form.to_dict()
    code, hours = sent.get("cup", ""), hours_of(sent.get("hours", ""))
    if code not in {seat.code for seat in one.seats} or hours == 0.0:
        raise NotFound
    return _asked(glance, one, sent, "back", code, {"ask": "withdraw", "code": code, "hours": hours})


def lost(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """That a cup is lost, kept, or taken back."""
    one, sent = found(glance, number), form.to_dict()
    code = sent.get("lost", "")
    if code not in {seat.code for seat in one.seats}:
        raise NotFound
    why = sent.get("why") or None
    if why is not None and why not in WHY_LOST:
        raise NotFound
    request = {"ask": "lost", "code": code, "back": bool(sent.get("back")), "why": why}
    return _asked(glance, one, {}, "lost", code, request)


def discarded(glance: Glance, number: int) -> Shown:
    """An experiment in which nothing was counted, thrown away."""
    one = found(glance, number)
    try:
        asked(glance, {"ask": "experiment discard", "experiment": one.id})
    except NotAnswered as fault:
        return _shown(glance, one, {}, (), fault.line), fault.status
    return to("/plan/experiment")


def again(glance: Glance, number: int, form: MultiDict[str, str]) -> str:
    """The form as it was sent before the PIN was given."""
    return _shown(glance, found(glance, number), form.to_dict(), (), words.held(glance.language))


def _asked(
    glance: Glance, one: Experiment, sent: Mapping[str, str], what: str, code: str, request: Mapping[str, Any]
) -> Shown:
    try:
        asked(glance, {**request, "ask": f"experiment {request['ask']}", "experiment": one.id})
    except NotAnswered as fault:
        return _shown(glance, one, sent, (), fault.line), fault.status
    return to(f"/experiment/{one.id}?{what}={code}")


def _standing(glance: Glance, one: Experiment) -> list[Counted]:
    return [entry.counted for entry in experiments.standing(glance.connection, one.id)]


def _said(count: Counted) -> words.CountShown:
    return words.CountShown(count.code, count.hatched, count.cysts, text_of(count.hours))


def _shown(
    glance: Glance,
    one: Experiment,
    sent: Mapping[str, str],
    faults: Sequence[str] = (),
    line: str = "",
    *,
    done: str = "",
    stands: Counted | None = None,
) -> str:
    language, planned = glance.language, planned_of(one, glance.language)
    standing = _standing(glance, one)
    now = round_of(standing, {**sent, "hours": ""} if "hours" in faults else sent)
    gone = [code for code in experiments.lost(glance.connection, one.id) if code not in now.codes]
    seats = [
        replace(seat, counted="yes" if seat.code in now.codes else "", lost=seat.code in gone)
        for seat in seats_of(one)
    ]
    to_count, changing = len(one.seats) - len(gone), bool(sent.get("correct"))
    all_in = bool(now.codes) and len(now.codes) >= to_count
    seen = shows(glance, one) if all_in or ("now" in sent and standing) else None
    return show(
        glance,
        "plan/running_experiment.html",
        "plan",
        design_words.title(planned, one.id),
        number=one.id,
        idea=one.design.idea,
        summary=design_words.summary(planned),
        line=line,
        done=done,
        changing=changing,
        sent={"cup": "", "hours": "", **sent},
        fields=words.fields(
            language,
            _open(seats, sent, changing=changing),
            sent,
            faults,
            cysts=one.design.cysts,
            with_hours=asks_hours(one, standing),
            changing=changing,
        ),
        progress=words.progress(language, len(now.codes), to_count, text_of(now.hour), gone),
        missing=seat_words.missing(planned, seats) if now.codes else "",
        counts=[
            (count.code, text_of(count.hours), words.count_line(language, _said(count)))
            for count in sorted(standing, key=lambda count: (count.code, count.hours or 0.0))
        ],
        near=design_words.near_line(planned),
        rows=seat_words.rows_of(seats),
        levels=seat_words.levels_with_codes(planned, seats),
        steps=design_words.steps(planned),
        care=design_words.care(planned),
        all_in=all_in,
        untouched=not experiments.counts(glance.connection, one.id),
        once_more=all_in and now.hour is not None,
        too_early="" if all_in else words.too_early(language),
        shows=seen,
        holds_where=design_words.holds_where(planned),
        table=all_in or seen is not None,
        stands=None if stands is None else (stands.code, text_of(stands.hours)),
        lost=gone,
        lost_line=words.lost_line(language, gone),
        of_table=table_words.field(language),
        why_lost=words.why_field(language),
        may_be_lost=words.lost_field(language, _open(seats, {}, changing=False)),
    )


def _open(seats: Sequence[SeatShown], sent: Mapping[str, str], *, changing: bool) -> list[str]:
    """The cups that can be chosen: that of a change alone, else those that have no count yet."""
    asked_for = sent.get("cup", "")
    if changing:
        return [asked_for]
    return [
        one.code
        for one in seat_words.by_code(seats)
        if not (one.counted or one.lost) or one.code == asked_for
    ]


def asks_hours(one: Experiment, standing: Sequence[Counted]) -> bool:
    """Whether hours stand among the first fields: where some were said, or the late is easily called poor."""
    return any(count.hours is not None for count in standing) or (
        not standing and one.design.factor in design_words.LATE
    )
