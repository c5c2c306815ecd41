"""Keeps the store from growing for ever: in the small hours, a stretch a beat."""

import logging
import sqlite3
from collections.abc import Callable

from daemon.seconds import DAY_S, HOUR_S
from daemon.station import Station
from daemon.store.file import WritingStore
from daemon.store.thinning import empty_letters, forget_old, thin_stretch

log = logging.getLogger(__name__)

_WINDOW_S = HOUR_S


class NightlyThinning:
    """One night's thinning, begun by the timetable and done beat by beat until all is thin or time is up."""

    def __init__(self, station: Station, store: WritingStore, is_sure: Callable[[], bool]) -> None:
        """`is_sure` says whether the clock is known to be right: by a wrong one, yesterday may seem old."""
        self._keep_s = station.keep_readings_days * DAY_S
        self._store = store
        self._is_sure = is_sure
        self._until = 0

    def begin(self, due_at: int) -> None:
        """Thin from now on, for an hour after `due_at` at most: what is left is left for the next night."""
        self._until = due_at + _WINDOW_S

    def step(self, at: int) -> None:
        """Thin one stretch, in a transaction of its own; nothing outside the hour."""
        if not self._until - _WINDOW_S <= at < self._until or not self._is_sure():
            return
        try:
            if not self._one(at - self._keep_s):
                self._until = 0
        except sqlite3.OperationalError as error:  # a full disk must not end the watch
            log.warning("old readings were not thinned: %s; the next night tries again", error)
            self._until = 0

    def _one(self, before: int) -> bool:
        with self._store.transaction() as connection:
            thinned = thin_stretch(connection, before)
            left = 0 if thinned else empty_letters(connection, before) + forget_old(connection, before)
        if thinned:
            log.info("thinned %d readings, %d estimates", thinned.readings, thinned.estimates)
        return bool(thinned or left)
