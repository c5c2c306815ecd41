"""What is said where a view cannot be shown: one line, in the language of who asks."""

from http import HTTPStatus

from flask import Response, request
from werkzeug.exceptions import HTTPException

from daemon.errors import NaupliadError
from reports.page.fault import heading, line, spoken_by
from reports.page.rendering import render


def of_http(error: HTTPException) -> Response:
    """An address that is none, a way of asking that is none, too much at once."""
    status = error.code or HTTPStatus.INTERNAL_SERVER_ERROR
    answer = _page(status, line(status, _language()))
    for name, value in error.get_headers():
        if name.lower() == "allow":
            answer.headers[name] = value
    return answer


def of_store(error: NaupliadError) -> Response:
    """A store that is not there, or cannot be read: the program's own line says what is."""
    return _page(HTTPStatus.SERVICE_UNAVAILABLE, str(error))


def _page(status: int, said: str) -> Response:
    language = _language()
    title = heading(status, language)
    return Response(render("fault.html", language, title=title, line=said), status, mimetype="text/html")


def _language() -> str:
    return spoken_by(request.accept_languages.values())
