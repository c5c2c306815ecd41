"""The outbox at work: words for letters whose time has come, and letters handed to the post one by one."""

import logging
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from daemon.alarms.attention import PLANNED, UNPLANNED
from daemon.backroom import Backroom
from daemon.duties.nights import chart_path, night_record
from daemon.duties.setting import setting
from daemon.duties.writing import Scribe
from daemon.post.carrier import Carrier, Refused, retry_at
from daemon.post.message import compose, message_id_for
from daemon.station import Station
from daemon.store import letters as letter_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from reports.drawing import draw_in_child
from reports.letter import nightly_letter
from reports.records import LetterText, NightRecord

log = logging.getLogger(__name__)

_THREAD_S = 7 * 86_400


class PostDesk:
    """Writes what is due and sends what is written. The backroom draws and carries; the beat only writes."""

    def __init__(
        self,
        station: Station,
        store: WritingStore,
        scribe: Scribe,
        backroom: Backroom,
        carrier: Carrier,
        folder: Path,
    ) -> None:
        """Charts are drawn into `folder`/charts."""
        self._station = station
        self._store = store
        self._scribe = scribe
        self._backroom = backroom
        self._carrier = carrier
        self._folder = folder
        self._drawing: set[int] = set()
        self._carrying = False

    def write_due(self, at: int) -> None:
        """Give words to held letters whose time has come. Inside the beat's transaction."""
        connection = self._store.connection
        rows = letter_store.due(connection, "held", at)
        for kind in (*UNPLANNED, *PLANNED):
            self._write_alike([row for row in rows if row.kind == kind], kind, at)
        for row in rows:
            if row.kind == "nightly" and row.id not in self._drawing:
                self._draw(row, at)

    def hand_over(self, at: int) -> None:
        """Give the post the oldest letter that is due, unless it is busy with one."""
        if self._carrying:
            return
        rows = letter_store.due(self._store.connection, "queued", at)
        if not rows:
            return
        row = rows[0]
        number = letter_store.last_number(self._store.connection) + 1
        message = letter_store.message(self._store.connection, row.id)
        self._carrying = True
        self._backroom.submit(
            lambda: self._carrier.carry(number, row.kind, message),
            lambda _result, error: self._carried(row, at, error),
        )

    def _carried(self, row: LetterRow, at: int, error: Exception | None) -> None:
        self._carrying = False
        with self._store.transaction() as connection:
            if error is None:
                letter_store.sent(connection, row.id, at)
            elif isinstance(error, Refused):
                log.error("letter %d (%s) was refused: %s", row.id, row.kind, error)
                letter_store.park(connection, row.id, str(error))
            else:
                log.warning("letter %d (%s) did not go: %s", row.id, row.kind, error)
                letter_store.put_off(connection, row.id, retry_at(row.attempts + 1, at), str(error))
        self.hand_over(at)

    def _write_alike(self, rows: Sequence[LetterRow], kind: str, at: int) -> None:
        """One letter for all vessels alike."""
        about = sorted({vessel for row in rows for vessel in row.about})
        text = self._scribe.letter(kind, about, at) if rows else None
        self._settle(rows, text, at)

    def _settle(self, rows: Sequence[LetterRow], text: LetterText | None, at: int) -> None:
        """Queue the first letter with the words; others, and those with nothing left to say, are merged."""
        for row in rows[1:] if text else rows:
            letter_store.merge(self._store.connection, row.id)
        if text is not None:
            self._queue(rows[0], text, at, None)

    def _draw(self, row: LetterRow, at: int) -> None:
        record = night_record(self._station, self._store.connection, row.at)
        path = chart_path(self._folder, record.night)
        self._drawing.add(row.id)
        self._backroom.submit(
            lambda: _drawn(record, path), lambda png, error: self._finish_night(row, record, at, png, error)
        )

    def _finish_night(
        self, row: LetterRow, record: NightRecord, at: int, png: Any, error: Exception | None
    ) -> None:
        """The letter goes without its chart rather than not at all."""
        if error is not None:
            log.error("the chart of %s was not drawn: %s", record.night, error)
        text = nightly_letter(setting(self._station, at), record, with_chart=png is not None)
        with self._store.transaction():
            self._queue(row, text, at, png)
        self._drawing.discard(row.id)

    def _queue(self, row: LetterRow, text: LetterText, at: int, png: bytes | None) -> None:
        server = self._station.post.server
        sender = server.sender if server else ""
        to = server.to if server else ()
        if server and self._scribe.urgent(row.kind, row.about, at):
            to += server.backup_to
        message = compose(
            kind=text.kind,
            subject=text.subject,
            text=text.text,
            html=text.html,
            date_s=at,
            zone=self._station.timezone,
            message_id=message_id_for(self._station.name, row.id, row.at, sender),
            sender=sender,
            to=to,
            thread=self._thread(row, sender),
            chart_png=png,
            chart_cid=text.chart_cid,
            language=text.language,
        )
        letter_store.queue(self._store.connection, row.id, text.subject, message, at)

    def _thread(self, row: LetterRow, sender: str) -> str | None:
        """The first of the letters lately sent about the same trouble, so that mail programs join them."""
        if row.kind not in UNPLANNED:
            return None
        sent = letter_store.sent_between(self._store.connection, row.at - _THREAD_S, row.at)
        first = next((other for other in sent if other.kind == row.kind), None)
        return None if first is None else message_id_for(self._station.name, first.id, first.at, sender)


def _drawn(record: NightRecord, path: Path) -> bytes:
    path.parent.mkdir(parents=True, exist_ok=True)
    draw_in_child(record, path)
    return path.read_bytes()
