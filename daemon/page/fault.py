"""What is said where a view cannot be shown: one line, in the station's language."""

from http import HTTPStatus
from pathlib import Path

from flask import Response, request
from werkzeug.exceptions import HTTPException

from daemon.errors import NaupliadError
from daemon.page.deeds.asking import NotDone, told
from daemon.page.guard.visit import guard
from daemon.store.file import FILE_NAME, LOCK
from reports.page.fault import heading, line, no_station, records_gone, spoken_by
from reports.page.rendering import render


def of_http(error: HTTPException) -> Response:
    """An address that is none, a way of asking that is none, too much at once."""
    status = error.code or HTTPStatus.INTERNAL_SERVER_ERROR
    answer = _page(status, line(status, _language()))
    for name, value in error.get_headers():
        if name.lower() == "allow":
            answer.headers[name] = value
    return answer


def of_store(state: Path, error: NaupliadError) -> Response:
    """A store that cannot be read: the program's own line says why. Where there is none, how to begin."""
    if (state / FILE_NAME).exists():
        # As the program speaks on its command line.
        return _page(HTTPStatus.SERVICE_UNAVAILABLE, str(error), line_in="en")
    watching = _watching(state)
    if watching or (watching is None and (state / LOCK).exists()):  # as a daemon's start tells it, too
        gone = records_gone(_language(), watching=bool(watching))
        return _page(HTTPStatus.SERVICE_UNAVAILABLE, gone)
    return Response(
        render("unset.html", _language(), title=no_station(_language()), nav=False),
        HTTPStatus.SERVICE_UNAVAILABLE,
        mimetype="text/html",
    )


def _watching(state: Path) -> bool | None:
    """Whether the daemon watches, or waits for a station file to go by; None where it does not answer."""
    try:
        return bool(told(state, {"ask": "station-file"}).get("watching"))
    except NotDone:
        return None


def _page(status: int, said: str, *, line_in: str = "") -> Response:
    """`line_in` is the language of what is said, where that is not the page's."""
    language = _language()
    title = heading(status, language)
    page = render("fault.html", language, title=title, line=said, line_in=line_in)
    return Response(page, status, mimetype="text/html")


def _language() -> str:
    """The station's; where none is known, the browser's."""
    try:
        return guard().language()
    except NaupliadError:  # a store that cannot be read, which may be the very fault
        return spoken_by(request.accept_languages.values())
