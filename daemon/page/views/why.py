"""Why we believe what is said of a vessel: the daemon's own grounds, for only it has them at hand."""

from werkzeug.exceptions import NotFound

from daemon.errors import InputError
from daemon.letters.explanation import as_records
from daemon.page.asking import NotAnswered, asked
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.requests.grounds_words import grounds_read
from reports.page import why as words


def why(glance: Glance, vessel_id: str) -> tuple[str, int]:
    """The view; where the daemon does not answer, a line. Raises NotFound where there is no such vessel."""
    vessel = glance.station.vessel(vessel_id)
    if vessel is None:
        raise NotFound
    models: list[tuple[str, tuple[str, ...]]] = []
    fault, status = "", 200
    try:
        answer = asked(glance, {"ask": "grounds", "vessel": vessel_id})
        models = words.grounds(glance.setting, as_records(glance.station, grounds_read(answer)))
    except NotAnswered as away:
        fault, status = away.line, away.status
    except InputError as error:
        fault, status = str(error), 503
    title = words.title(glance.language, vessel_id, vessel.count)
    page = show(glance, "why.html", "vessel", title, vessel=vessel_id, models=models, fault=fault)
    return page, status
