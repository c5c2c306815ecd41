"""The forms of the station's view: alarms seen, silenced, taken back; letters held back; the post tried."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

from werkzeug.datastructures import MultiDict

from daemon.hours import moment
from daemon.page.asking import NotAnswered, asked
from daemon.page.glance import Glance
from daemon.page.station_now import alarms_there
from daemon.requests.alarm_shelf_desk import LONGEST_S
from reports.page import forms as words

# What a form asks for; the name of what was done, for the address that says so.
StationForm = Callable[[Glance, MultiDict[str, str]], str]

_ALWAYS = "open"  # until somebody takes it back


class FormFault(Exception):
    """A form that cannot be carried out as it is; `line` says why, in the station's language."""

    def __init__(self, glance: Glance, what: str) -> None:
        """`what` is one of the faults of reports/page/forms.py."""
        self.line = words.wrong(glance.language, what)
        super().__init__(self.line)


def seen(glance: Glance, _form: MultiDict[str, str]) -> str:
    """Somebody has seen every alarm there is."""
    asked(glance, {"ask": "acknowledge"})
    return "seen"


def silence(glance: Glance, form: MultiDict[str, str]) -> str:
    """Alarms for a while, or until somebody takes them back."""
    alarms, ask, until = _alarms(glance, form), "out-of-service", {}
    if form.get("until") != _ALWAYS or form.get("moment"):
        ask, until = "shelve", {"until": _until(glance, form)}
    _each_asked(glance, [{"ask": ask, **alarm, **until} for alarm in alarms])
    return "silenced"


def take_back(glance: Glance, form: MultiDict[str, str]) -> str:
    """Alarms that were silenced."""
    alarms = _alarms(glance, form)
    answers = _each_asked(glance, [{"ask": "take-back", **alarm} for alarm in alarms])
    return "counts" if any(answer.get("taken_back") for answer in answers) else "counted"


def _each_asked(glance: Glance, requests: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """All the answers. Raises NotAnswered as `asked` does, which says when a part of it was done."""
    answers: list[dict[str, Any]] = []
    for one in requests:
        try:
            answers.append(asked(glance, one))
        except NotAnswered as fault:
            raise NotAnswered(fault.line, fault.status, undone=fault.undone and not answers) from fault
    return answers


def quiet(glance: Glance, form: MultiDict[str, str]) -> str:
    """No letters for a while."""
    asked(glance, {"ask": "quiet", "until": _until(glance, form)})
    return "quiet"


def loud(glance: Glance, _form: MultiDict[str, str]) -> str:
    """Letters again."""
    asked(glance, {"ask": "loud"})
    return "loud"


def try_post(glance: Glance, _form: MultiDict[str, str]) -> str:
    """The post, now."""
    answer = asked(glance, {"ask": "post"})
    return "tried" if answer.get("letters") else "none"


STATION_FORMS: Mapping[str, StationForm] = {
    "/station/seen": seen,
    "/station/silence": silence,
    "/station/take-back": take_back,
    "/station/quiet": quiet,
    "/station/loud": loud,
    "/station/try": try_post,
}


def _alarms(glance: Glance, form: MultiDict[str, str]) -> list[dict[str, str]]:
    """Those that the form names, each once."""
    named = [tuple(one.partition(":")[::2]) for one in dict.fromkeys(form.getlist("alarm"))]
    there = alarms_there(glance)
    if not named or any(one not in there for one in named):
        raise FormFault(glance, "alarm")
    return [{"condition": condition, "vessel": vessel} for condition, vessel in named]


def _until(glance: Glance, form: MultiDict[str, str]) -> int:
    """The moment that was typed, else the one that was chosen, Unix seconds."""
    typed, chosen = form.get("moment", "").strip(), form.get("until", "")
    if typed:
        at = _typed(glance, typed)
    elif chosen.isascii() and chosen.isdigit() and len(chosen) <= len(str(2**40)):
        at = int(chosen)
    else:
        raise FormFault(glance, "until")
    if at <= glance.at:
        raise FormFault(glance, "over")
    if at > glance.at + LONGEST_S:
        raise FormFault(glance, "far")
    return at


def _typed(glance: Glance, text: str) -> int:
    """By the local clock; a time that comes twice counts the first time."""
    try:
        shows = datetime.fromisoformat(text)
        if shows.tzinfo is not None:
            return int(shows.timestamp())
        return moment(shows.date(), shows.time(), glance.station.timezone)
    except (ValueError, OverflowError) as error:
        raise FormFault(glance, "moment") from error
