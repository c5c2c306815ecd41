"""A form that came without a session: what was filled in goes through the form for the PIN and back again.

It travels in that form alone, in one hidden field of bounded size; the page keeps nothing of it.
"""

from collections.abc import Iterable
from urllib.parse import parse_qsl, quote, unquote, urlencode

from flask import current_app
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import HTTPException

from daemon.page.guard.answers import own_path

# Encoded once more by the browser it is three times as long at most, and has to fit into a body.
MOST_CHARACTERS = 16_000
_MOST_FIELDS = 200
_SECRET = ("pin", "password")  # how the names of fields end that are never said back


def packed(fields: Iterable[tuple[str, str]], without: str) -> str:
    """Fields as one line of text, but for `without` and secrets; empty where they are too much."""
    kept = [(name, value) for name, value in fields if name != without and not name.endswith(_SECRET)]
    text = urlencode(kept, errors="replace")
    return text if len(text) <= MOST_CHARACTERS else ""


def unpacked(text: str) -> MultiDict[str, str]:
    """The fields that a line holds; none where it is too long, or holds too many."""
    try:
        found = parse_qsl(text[: MOST_CHARACTERS + 1], keep_blank_values=True, max_num_fields=_MOST_FIELDS)
    except ValueError:
        return MultiDict()
    return MultiDict(found if len(text) <= MOST_CHARACTERS else ())


def told_path(path: str) -> str:
    """Where a form leads, as a form can say it."""
    return own_path(quote(path))


def leads_to(told: str) -> tuple[str, dict[str, object]] | None:
    """The endpoint of a path that takes forms, and what its address names; None where none does."""
    try:
        endpoint, named = current_app.url_map.bind("page").match(unquote(own_path(told)), "POST")
    except HTTPException:
        return None
    return endpoint, dict(named)
