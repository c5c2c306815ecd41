"""The view of an experiment that runs: its seat map, the form for counts, and what it shows."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from http import HTTPStatus
from typing import Any

from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import NotFound

from daemon.input.csv import read_number
from daemon.page.asking import NotAnswered, asked
from daemon.page.experiments.begin import Shown, to
from daemon.page.experiments.plan import whole
from daemon.page.experiments.shows import shows
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.planning.experiment.counts import MOST_HOURS
from daemon.planning.experiment.design import MOST_CYSTS
from daemon.shown_experiment import planned_of, seats_of
from daemon.store import experiments
from daemon.store.experiments import Counted, Experiment
from reports.experiment import design as design_words
from reports.experiment import seats as seat_words
from reports.page.experiment import counting as words

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
    return _shown(glance, one, _chosen(sent, standing), done=done, early="now" in sent)


def counted(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """A count, kept; or the view with what was wrong."""
    one, sent = found(glance, number), form.to_dict()
    standing = _standing(glance, one)
    count, faults = _read(one, sent, standing)
    if count is None:
        line = words.see_below(glance.language)
        return _shown(glance, one, sent, faults, line), HTTPStatus.UNPROCESSABLE_ENTITY
    before = next((c for c in standing if c.what == count.what), count)
    if before != count and not sent.get("correct"):
        line = words.stands(glance.language, words.count_line(glance.language, _said(before)))
        return _shown(glance, one, sent, (), line), HTTPStatus.CONFLICT
    given = [count.code, count.hatched, count.cysts, count.hours]
    correct = bool(sent.get("correct"))
    return _asked(
        glance, one, sent, "done", count.code, {"ask": "count", "counts": [given], "correct": correct}
    )


def taken_back(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """A count, taken back."""
    one, sent = found(glance, number), form.to_dict()
    code, hours = sent.get("cup", ""), _hours(sent.get("hours", ""))
    if code not in {seat.code for seat in one.seats} or hours == 0.0:
        raise NotFound
    return _asked(glance, one, sent, "back", code, {"ask": "withdraw", "code": code, "hours": hours})


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


def _chosen(sent: Mapping[str, str], standing: Sequence[Counted]) -> dict[str, str]:
    """The form's values: a count that is to be changed, by its cup and hours, or a cup that has none."""
    what = sent.get("cup", ""), _hours(sent.get("hours", ""))
    for count in standing:
        if count.what == what:
            numbers = {"hatched": str(count.hatched), "of": str(count.cysts), "hours": _text(count.hours)}
            return {"cup": count.code, "correct": "yes", **numbers}
    return {"cup": what[0]}


def _read(
    one: Experiment, sent: Mapping[str, str], standing: Sequence[Counted]
) -> tuple[Counted | None, list[str]]:
    """The count, or the names of the fields that cannot be taken."""
    code, hours = sent.get("cup", "").strip().upper(), _hours(sent.get("hours", ""))
    cysts = whole(sent["of"]) if sent.get("of", "").strip() else one.design.cysts
    hatched = whole(sent.get("hatched", ""))
    others = [count for count in standing if count.what != (code, hours)]
    wrong = {
        "cup": code not in {seat.code for seat in one.seats},
        "of": not 1 <= cysts <= MOST_CYSTS,
        "hatched": not 0 <= hatched <= cysts,
        "hours": hours == 0.0 or any((hours is None) is not (count.hours is None) for count in others),
    }
    faults = [name for name, is_wrong in wrong.items() if is_wrong]
    return (None, faults) if faults else (Counted(code, hatched, cysts, hours), [])


def _hours(text: str) -> float | None:
    """Hours as they were typed; None where none were, 0 for what cannot be."""
    if not text.strip():
        return None
    try:
        hours = read_number(text.strip().replace(",", "."))
    except ValueError:
        return 0.0
    return hours if 0.0 < hours <= MOST_HOURS else 0.0


def _text(hours: float | None) -> str:
    return "" if hours is None else f"{hours:g}"


def _said(count: Counted) -> words.CountShown:
    return words.CountShown(count.code, count.hatched, count.cysts, _text(count.hours))


def _shown(
    glance: Glance,
    one: Experiment,
    sent: Mapping[str, str],
    faults: Sequence[str] = (),
    line: str = "",
    *,
    done: str = "",
    early: bool = False,
) -> str:
    language, planned = glance.language, planned_of(one, glance.language)
    standing = sorted(_standing(glance, one), key=lambda count: (count.code, count.hours or 0.0))
    codes = {count.code for count in standing}
    seats = [replace(seat, counted="yes" if seat.code in codes else "") for seat in seats_of(one)]
    with_hours, changing = any(count.hours is not None for count in standing), bool(sent.get("correct"))
    # A cup is counted once, but where hours tell its counts apart.
    open_codes = [s.code for s in seat_words.by_code(seats) if with_hours or not s.counted]
    named = [sent["cup"]] if changing or sent.get("cup", "") in {s.code for s in seats} else []
    all_in = len(codes) == len(one.seats)
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
        sent=sent,
        fields=words.fields(
            language,
            named if changing else sorted({*open_codes, *named}),
            sent,
            faults,
            cysts=one.design.cysts,
            with_hours=with_hours,
        ),
        progress=words.progress(language, len(codes), len(one.seats)),
        missing=seat_words.missing(planned, seats) if codes else "",
        counts=[
            (count.code, _text(count.hours), words.count_line(language, _said(count))) for count in standing
        ],
        near=design_words.near_line(planned),
        rows=seat_words.rows_of(seats),
        levels=seat_words.levels_with_codes(planned, seats),
        steps=design_words.steps(planned),
        care=design_words.care(planned),
        all_in=all_in,
        too_early="" if all_in else words.too_early(language),
        shows=shows(glance, one) if all_in or (early and codes) else None,
    )
