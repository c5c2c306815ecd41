"""The addresses at which something is noted, changed or taken back."""

from pathlib import Path

from flask import Blueprint

from daemon.page.deeds.echoes import Echoes
from daemon.page.deeds.entries import EntryPages
from daemon.page.deeds.guard import Guard, Open
from daemon.page.deeds.noting import Noting
from daemon.page.deeds.once import Once
from daemon.page.deeds.pages import Doors, DoPages, Looking
from daemon.page.look import looking


def make_deeds(state: Path, guard: Guard | None = None, look: Looking = looking) -> Blueprint:
    """The views of the station whose records stand in `state`; without a guard everybody may write."""
    once, echoes = Once(), Echoes()
    doors = Doors(state, look, guard or Open(), once, Noting(state, once, echoes))
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
    return deeds
