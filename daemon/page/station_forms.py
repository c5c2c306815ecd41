"""The forms of the station's view: alarms seen, silenced, taken back; letters held back; the post tried."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from daemon.hours import moment
from daemon.page.asking import asked
from daemon.page.glance import Glance
from daemon.page.station_now import alarms_there
from daemon.requests.alarm_shelf_desk import LONGEST_S
from reports.page import forms as words

Form = Mapping[str, str]
# What a form asks for; the name of what was done, for the address that says so.
StationForm = Callable[[Glance, Form], str]

_ALWAYS = "open"  # until somebody takes it back
_OTHER = "moment"  # until the moment that was typed


class FormFault(Exception):
    """A form that cannot be carried out as it is; `line` says why, in the station's language."""

    def __init__(self, glance: Glance, what: str) -> None:
        """`what` is one of the faults of reports/page/forms.py."""
        self.line = words.wrong(glance.language, what)
        super().__init__(self.line)


def seen(glance: Glance, _form: Form) -> str:
    """Somebody has seen every alarm there is."""
    asked(glance, {"ask": "acknowledge"})
    return "seen"


def silence(glance: Glance, form: Form) -> str:
    """An alarm for a while, or until somebody takes it back."""
    request = _alarm(glance, form)
    if form.get("until") == _ALWAYS and not form.get("moment"):
        asked(glance, {"ask": "out-of-service", **request})
    else:
        asked(glance, {"ask": "shelve", **request, "until": _until(glance, form)})
    return "silenced"


def take_back(glance: Glance, form: Form) -> str:
    """An alarm that was silenced."""
    answer = asked(glance, {"ask": "take-back", **_alarm(glance, form)})
    return "counts" if answer.get("taken_back") else "counted"


def quiet(glance: Glance, form: Form) -> str:
    """No letters for a while."""
    asked(glance, {"ask": "quiet", "until": _until(glance, form)})
    return "quiet"


def loud(glance: Glance, _form: Form) -> str:
    """Letters again."""
    asked(glance, {"ask": "loud"})
    return "loud"


def try_post(glance: Glance, _form: Form) -> str:
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


def _alarm(glance: Glance, form: Form) -> dict[str, Any]:
    condition, _, vessel = form.get("alarm", "").partition(":")
    if (condition, vessel) not in alarms_there(glance):
        raise FormFault(glance, "alarm")
    return {"condition": condition, "vessel": vessel}


def _until(glance: Glance, form: Form) -> int:
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
