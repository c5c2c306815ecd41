"""Entries recorded, changed and taken back through the daemon, each form once."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from daemon.care.deed import Deed
from daemon.care.log import deed_from_fields
from daemon.page.deeds.asking import NotDone, told
from daemon.page.deeds.echoes import Echoes
from daemon.page.deeds.once import Once, Sent, remembered
from daemon.page.glance import Glance
from daemon.store import deeds as deed_store

Words = Mapping[str, str | None]


class Noting:
    """Asks the daemon, and remembers what it answered."""

    def __init__(self, state: Path, once: Once, echoes: Echoes) -> None:
        """`state` is the station's folder, where the daemon listens."""
        self._state = state
        self._once = once
        self._echoes = echoes

    def record(
        self, glance: Glance, key: str, what: str, words: Words, at: int, asked: object
    ) -> tuple[int, bool]:
        """Have an entry recorded, Unix s `at`: its id, and whether the same form had been noted otherwise.

        `what` is the choice; `asked` what was filled in. Raises NotDone.
        """
        with self._once.sent(key, f"{what}/{words['vessel']}") as sent:
            before = remembered(sent, lambda: _recorded_since(glance, _made_at(key, glance), words))
            if before is not None:
                return before, sent.asked not in (None, asked)
            deed_id = self._ask(glance, sent, {"ask": "record", "at": at, **words})
            sent.asked = asked
            return deed_id, False

    def correct(self, glance: Glance, key: str, deed_id: int, words: Words, at: int) -> int:
        """Put another entry in the place of one; its id. Raises NotDone."""
        with self._once.sent(key, f"correct/{deed_id}") as sent:
            before = remembered(sent, lambda: replacement(glance, deed_id))
            if before is not None:
                return before
            return self._ask(glance, sent, {"ask": "correct", "id": deed_id, "at": at, **words})

    def withdraw(self, glance: Glance, deed_id: int) -> None:
        """Take an entry back that stands; one that was taken back stays so. Raises NotDone."""
        if _is_withdrawn(glance, deed_id):
            return
        try:
            answered = told(self._state, {"ask": "withdraw", "id": deed_id})
        except NotDone:
            if _is_withdrawn(glance, deed_id):  # by whoever came first
                return
            raise
        self._echoes.keep(deed_id, answered, glance.at)

    def _ask(self, glance: Glance, sent: Sent, words: Mapping[str, Any]) -> int:
        sent.doubtful = True
        try:
            answered = told(self._state, words)
        except NotDone as fault:
            sent.doubtful = fault.doubtful
            raise
        sent.deed_id, sent.doubtful = int(answered["id"]), False
        self._echoes.keep(sent.deed_id, answered, glance.at)
        return sent.deed_id


def replacement(glance: Glance, deed_id: int) -> int | None:
    """The entry that stands in the place of one, or None."""
    entries = deed_store.every(glance.connection)
    return next((entry.id for entry in entries if entry.replaces == deed_id), None)


def _made_at(key: str, glance: Glance) -> int:
    return Once.made_at(key, glance.at) or 0


def _recorded_since(glance: Glance, since: int, words: Words) -> int | None:
    """An entry of the same words that was recorded since then, whenever it says it was done."""
    wanted = _compared(
        deed_from_fields(
            0,
            words["vessel"] or "",
            words["deed"] or "",
            words["amount"],
            words["unit"] or "",
            words["detail"] or "",
            glance.station,
        )
    )
    return next(
        (
            entry.id
            for entry in deed_store.every(glance.connection)
            if entry.recorded_at >= since and _compared(entry.deed) == wanted
        ),
        None,
    )


def _compared(deed: Deed) -> tuple[object, ...]:
    return deed.vessel, deed.deed, deed.amount, dict(deed.detail), deed.other_unit


def _is_withdrawn(glance: Glance, deed_id: int) -> bool:
    entry = deed_store.find(glance.connection, deed_id)
    return entry is not None and entry.withdrawn_at is not None
