"""Makes a letter of words: number, addresses, thread; then it waits for every carrier."""

from collections.abc import Sequence

from daemon.letter_kinds import UNPLANNED
from daemon.post.carrier import Outgoing
from daemon.post.message import compose, message_id_for
from daemon.seconds import WEEK_S
from daemon.station import Station
from daemon.store import deliveries as delivery_store
from daemon.store import letters as letter_store
from daemon.store.file import WritingStore
from daemon.store.letters import LetterRow
from reports.letters.page import linked, numbered
from reports.records import LetterText

_THREAD_S = WEEK_S


class LetterQueue:
    """Numbers letters in the order in which they are written, and queues them."""

    def __init__(self, station: Station, store: WritingStore, carriers: Sequence[str]) -> None:
        """`carriers` are the names of all that take letters."""
        self._station = station
        self._store = store
        self._carriers = carriers

    def add(
        self, row: LetterRow, text: LetterText, at: int, *, png: bytes | None = None, urgent: bool = False
    ) -> None:
        """Queue a held letter with these words; an urgent one goes to the ones in reserve as well."""
        connection = self._store.connection
        with self._store.transaction():
            number = letter_store.next_number(connection)
            message = self._composed(row, self._footed(row, text, number), number, at, png, urgent)
            letter_store.write(connection, row.id, row.about, text.subject, message, number, at)
            delivery_store.queue(connection, row.id, self._carriers, at)

    def _footed(self, row: LetterRow, text: LetterText, number: int) -> LetterText:
        """With its number, and where the page has an address a link to the one vessel, or the shelf."""
        given, address = numbered(text, number), self._station.page.address
        if address is None:
            return given
        about = [one for one in row.about if self._station.vessel(one) is not None]
        path = f"/vessel/{about[0]}" if len(about) == 1 else "/"
        return linked(given, address + path)

    def _composed(
        self, row: LetterRow, text: LetterText, number: int, at: int, png: bytes | None, urgent: bool
    ) -> bytes:
        server = self._station.post.server
        to = server.to if server else ()
        return compose(
            kind=text.kind,
            subject=text.subject,
            text=text.text,
            html=text.html,
            date_s=at,
            zone=self._station.timezone,
            message_id=self._message_id(row),
            sender=server.sender if server else "",
            to=to + server.backup_to if server and urgent else to,
            number=number,
            thread=self._thread(row, at),
            chart_png=png,
            chart_cid=text.chart_cid,
            language=text.language,
        )

    def _message_id(self, row: LetterRow) -> str:
        server = self._station.post.server
        return message_id_for(self._station.name, row.id, row.at, server.sender if server else "")

    def _thread(self, row: LetterRow, at: int) -> str | None:
        """The first of the letters lately written about the same trouble, so that mail programs join them."""
        if row.kind not in UNPLANNED:
            return None
        lately = letter_store.written_between(self._store.connection, at - _THREAD_S, at)
        alike = (o for o in lately if o.kind == row.kind and o.id != row.id and set(o.about) & set(row.about))
        first = next(alike, None)
        return None if first is None else self._message_id(first)


def unnumbered(station: Station, text: LetterText, at: int) -> Outgoing:
    """A letter that no store knows of, a sample for one, written at `at`, Unix seconds."""
    server = station.post.server
    sender = server.sender if server else ""
    message = compose(
        kind=text.kind,
        subject=text.subject,
        text=text.text,
        html=text.html,
        date_s=at,
        zone=station.timezone,
        message_id=message_id_for(station.name, 0, at, sender),
        sender=sender,
        to=server.to if server else (),
        language=text.language,
    )
    return Outgoing(0, text.kind, at, (), message)
