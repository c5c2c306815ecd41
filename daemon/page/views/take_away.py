"""What can be taken away: a calendar as a file or a feed, a batch for a lesson, all records."""

import tempfile
import threading
from collections.abc import Callable
from http import HTTPStatus
from typing import IO

from flask import Response, send_file
from werkzeug.exceptions import NotFound

from daemon.page.glance import Glance
from daemon.page.guard.feed import FEED, KEY, NEW_KEY
from daemon.page.guard.visit import guard, may_write
from daemon.page.shown import address_of, show
from daemon.store import batches as batch_store
from reports.page.take_away import BatchToTake, batch_lines, busy, title

# One copy at a time: two of many weeks would keep all of a small Pi from the cups, and readers waiting.
COPYING = threading.Lock()
_ASK_AGAIN_S = 30


def take_away(glance: Glance) -> str:
    """What there is to take."""
    batches = [
        BatchToTake(
            one.id,
            one.vessel,
            glance.local(one.set_at),
            None if one.ended_at is None else glance.local(one.ended_at),
        )
        for one in batch_store.every(glance.connection, glance.at)
        if glance.station.vessel(one.vessel) is not None
    ]
    return show(
        glance,
        "take_away.html",
        "take-away",
        title(glance.setting),
        batches=batch_lines(glance.setting, batches),
        private=glance.station.page.reading == "pin",
        feed=f"{address_of(glance)}{FEED}?{KEY}={key}" if (key := guard().feed.now()) and may_write() else "",
        new_feed=NEW_KEY,
    )


def calendar_feed(glance: Glance) -> Response:
    """What is expected and due, RFC 5545."""
    from daemon.export.calendar import calendar  # this and what follows: only where something is taken
    from daemon.export.ical import MEDIA_TYPE

    answer = Response(calendar(glance.station, glance.connection, glance.at), content_type=MEDIA_TYPE)
    answer.headers["Content-Disposition"] = 'attachment; filename="naupliad.ics"'
    return answer


def lesson(glance: Glance, batch_id: int) -> Response:
    """A batch as a zip. Raises NotFound where none bears that number."""
    batches = {one.id: one for one in batch_store.every(glance.connection, glance.at)}
    batch = batches.get(batch_id)
    if batch is None or glance.station.vessel(batch.vessel) is None:
        raise NotFound
    from daemon.export.lesson import write_lesson

    return _copied(
        glance,
        f"{batch.vessel}-{glance.local(batch.set_at).date().isoformat()}.zip",
        lambda file: write_lesson(glance.station, glance.connection, batch, glance.state, file),
    )


def records(glance: Glance) -> Response:
    """All records as a zip."""
    from daemon.export.package import write_zip
    from daemon.export.rows import ExportPart

    return _copied(
        glance,
        "records.zip",
        lambda file: write_zip(glance.station, glance.connection, ExportPart(), file, glance.at),
    )


def _copied(glance: Glance, name: str, write: Callable[[IO[bytes]], object]) -> Response:
    """The copy as a file to keep; while another is being made, a line that says so."""
    if not COPYING.acquire(blocking=False):
        headers = {"Retry-After": str(_ASK_AGAIN_S)}
        return Response(busy(glance.setting), HTTPStatus.SERVICE_UNAVAILABLE, headers, "text/plain")
    file = tempfile.TemporaryFile()  # noqa: SIM115 - the answer closes it once it is sent
    try:
        write(file)
    except BaseException:
        file.close()
        raise
    finally:
        COPYING.release()
    file.seek(0)
    return send_file(file, "application/zip", as_attachment=True, download_name=name)
