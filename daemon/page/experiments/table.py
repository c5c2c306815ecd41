"""Counts from a table that somebody sends: looked over, then kept, all of them or none."""

import csv
from collections.abc import Iterator, Mapping, Sequence
from http import HTTPStatus
from io import BytesIO, StringIO
from typing import IO, Any

from flask import Response
from werkzeug.datastructures import FileStorage, MultiDict

from daemon.errors import InputError
from daemon.input.file import lines_of
from daemon.page.asking import NotAnswered, asked
from daemon.page.deeds.asking import NotDone, told
from daemon.page.deeds.checked import in_words
from daemon.page.experiments.begin import Shown, to
from daemon.page.experiments.count_form import text_of
from daemon.page.experiments.counting import asks_hours, found
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.planning.experiment.counts import CupCount
from daemon.planning.experiment.counts_file import known_seats, read_cups
from daemon.shown_experiment import planned_of
from daemon.store import experiments
from daemon.store.experiments import Counted, Experiment
from reports.experiment import design as design_words
from reports.page.experiment import table as words
from reports.page.experiment.counting import CountShown
from reports.planning.form import decimal_mark

# What faults call the table: a name that a browser tells may be anything.
_NAME = "counts.csv"
_COLUMNS = ("cup", "of", "hatched")  # no level: who counts should not know it


def blank_form(glance: Glance, number: int) -> Response:
    """A table with a row for each cup that can be counted, by semicolons where decimals have a comma."""
    one, text = found(glance, number), StringIO()
    lost = experiments.lost(glance.connection, one.id)
    standing = [entry.counted for entry in experiments.standing(glance.connection, one.id)]
    hours = ["hours"] if asks_hours(one, standing) else []
    delimiter = ";" if decimal_mark(glance.language) == "," else ","
    writer = csv.writer(text, delimiter=delimiter, lineterminator="\r\n")
    writer.writerow((*_COLUMNS, *hours))
    for code in sorted(seat.code for seat in one.seats if seat.code not in lost):
        writer.writerow((code, one.design.cysts, "", *("" for _ in hours)))
    answer = Response(text.getvalue(), content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="experiment-{number}-form.csv"'
    return answer


def looked_over(glance: Glance, number: int, file: FileStorage | None) -> Shown:
    """What a table has, before anything of it is kept; or every fault in it."""
    one = found(glance, number)
    if file is None or not file.filename:
        return _refused(glance, one, words.wrong(glance.language, "no-file"))
    return _looked_over(glance, one, file.stream)


def looked_over_again(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """A table that was sent before the PIN was given."""
    return _looked_over(glance, found(glance, number), _typed(form), words.held(glance.language))


def kept(glance: Glance, number: int, form: MultiDict[str, str]) -> Shown:
    """The counts of a table that was looked over, kept; or every fault in it."""
    one = found(glance, number)
    try:
        counts = _read(one, _typed(form))
    except InputError as error:
        return _refused(glance, one, words.wrong(glance.language, "faults"), error.faults)
    try:
        asked(glance, _request(one, counts, correct=bool(form.get("correct"))))
    except NotAnswered as fault:
        shown = _looked_over(glance, one, _typed(form), fault.line)
        return (shown, fault.status) if isinstance(shown, str) else shown
    return to(f"/experiment/{one.id}?table={len(counts)}")


def _typed(form: Mapping[str, str]) -> IO[bytes]:
    return BytesIO(form.get("table", "").encode("utf-8", "replace"))


def _read(one: Experiment, file: IO[bytes]) -> list[CupCount]:
    return read_cups(lines_of(file, _NAME), _NAME, known_seats(one.design, one.seats))


def _request(one: Experiment, counts: Sequence[CupCount], **more: bool) -> dict[str, Any]:
    given = [[count.cup, count.hatched, count.of, count.hours, count.water_c] for count in counts]
    return {"ask": "experiment count", "experiment": one.id, "counts": given, **more}


def _looked_over(glance: Glance, one: Experiment, file: IO[bytes], line: str = "") -> str | tuple[str, int]:
    try:
        counts = _read(one, file)
        told(glance.state, {**_request(one, counts, correct=True), "try": True})
    except InputError as error:
        return _refused(glance, one, words.wrong(glance.language, "faults"), error.faults)
    except NotDone as fault:
        if fault.why in ("down", "busy", "silent"):  # then it is looked over by the page alone
            return _to_keep(glance, one, counts, line)
        return _refused(glance, one, words.wrong(glance.language, "faults"), fault.faults)
    return _to_keep(glance, one, counts, line)


def _to_keep(glance: Glance, one: Experiment, counts: Sequence[CupCount], line: str) -> str:
    language = glance.language
    standing = {
        entry.counted.what: entry.counted for entry in experiments.standing(glance.connection, one.id)
    }
    given = [Counted(one.cup, one.hatched, one.of, one.hours, one.water_c) for one in counts]
    other = [standing[new.what] for new in given if new.what in standing and standing[new.what] != new]
    stand = {f"{old.code} {text_of(old.hours)}": _said(old) for old in other}
    with_hours = any(new.hours is not None for new in given)
    water = [words.water(language, new.water_c, glance.station.temperature_unit) for new in given]
    water = water if any(water) else []
    have = {new.code for new in (*given, *standing.values())}
    have |= set(experiments.lost(glance.connection, one.id))
    uncounted = sorted(seat.code for seat in one.seats if seat.code not in have)
    return _shown(
        glance,
        one,
        line=line,
        summary=words.summary(language, len(given), uncounted),
        changes=words.changes(language, list(stand.values())),
        heads=words.heads(language, with_hours=with_hours, with_water=bool(water), with_changes=bool(stand)),
        rows=words.rows([_said(new) for new in given], stand, water, with_hours=with_hours),
        table=_as_text(counts),
    )


def _as_text(counts: Sequence[CupCount]) -> str:
    """What was read, as it is read once more when it is kept."""
    rows = (f"{one.cup},{one.of},{one.hatched},{text_of(one.hours)},{text_of(one.water_c)}" for one in counts)
    return "\n".join([",".join((*_COLUMNS, "hours", "water_c")), *rows])


def _said(count: Counted) -> CountShown:
    return CountShown(count.code, count.hatched, count.cysts, text_of(count.hours))


def _refused(glance: Glance, one: Experiment, line: str, faults: Sequence[str] = ()) -> tuple[str, int]:
    said = list(_in_words(glance, faults))
    return _shown(glance, one, line=line, faults=said), HTTPStatus.UNPROCESSABLE_ENTITY


def _in_words(glance: Glance, faults: Sequence[str]) -> Iterator[str]:
    for fault in faults:
        found_in = words.found_in(fault)
        yield words.fault(glance.language, fault, None if found_in is None else in_words(glance, found_in))


def _shown(glance: Glance, one: Experiment, **values: object) -> str:
    planned = planned_of(one, glance.language)
    title = f"{design_words.title(planned, one.id)}: {words.title(glance.language)}"
    given = {"faults": [], "rows": [], **values}
    return show(glance, "plan/counts_table.html", "plan", title, number=one.id, **given)
