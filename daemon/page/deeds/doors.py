"""The addresses at which something is noted, changed or taken back.

Everything that changes something is sent by POST, which the guard lets through for those who gave the PIN.
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from flask import Blueprint

from daemon.page.deeds.echoes import Echoes
from daemon.page.deeds.entries import EntryPages
from daemon.page.deeds.noting import Noting
from daemon.page.deeds.once import Once
from daemon.page.deeds.pages import Doors, DoPages
from daemon.page.glance import Moment
from daemon.stored_station import moment_of


def make_deeds(state: Path, moment: Moment = moment_of) -> tuple[Blueprint, Mapping[str, Callable[..., Any]]]:
    """The views of the station whose records stand in `state`, and by the endpoint of a form what shows it
    again (see `Guard.again`); `moment` says what time it is there."""
    once, echoes = Once(), Echoes()
    doors = Doors(state, moment, once, Noting(state, once, echoes))
    doing, entries = DoPages(doors), EntryPages(doors, echoes)
    deeds = Blueprint("deeds", __name__)
    for path, endpoint, view, method in (
        ("/do/<vessel_id>", "do", doing.do, "GET"),
        ("/do/<vessel_id>", "chosen", doing.chosen, "POST"),
        ("/do/<vessel_id>/<choice_key>", "form", doing.form, "GET"),
        ("/do/<vessel_id>/<choice_key>", "note", doing.note, "POST"),
        ("/done/<ids>", "done", entries.done, "GET"),
        ("/done/<ids>/back", "take_back", entries.take_back, "POST"),
        ("/deed/<deed_id>", "entry", entries.entry, "GET"),
        ("/deed/<deed_id>", "change", entries.change, "POST"),
    ):
        deeds.add_url_rule(path, endpoint, view, methods=[method])
    again: dict[str, Callable[..., Any]] = {
        "deeds.chosen": doing.again,
        "deeds.note": doing.again,
        "deeds.change": entries.again,
    }
    return deeds, again
