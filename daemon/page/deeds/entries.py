"""Entries that stand: said back, changed, taken back."""

from dataclasses import replace
from http import HTTPStatus

from flask import request
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import NotFound

from daemon.letters.short_words import deed_in_words
from daemon.letters.told_change import change_in_words
from daemon.page.deeds.alone import here_and_now
from daemon.page.deeds.asked_back import asked_back
from daemon.page.deeds.asking import NotDone
from daemon.page.deeds.echoes import Echoes
from daemon.page.deeds.form import FilledForm, FormFaults, values_of, words_of
from daemon.page.deeds.likely import of_deed
from daemon.page.deeds.noting import replacement
from daemon.page.deeds.pages import (
    Doors,
    Shown,
    moment_at,
    of_fault,
    refused,
    see_other,
    shown_again,
    why_not,
)
from daemon.page.deeds.showing import show_form
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.store import deeds as deed_store
from daemon.store.deeds import Entry
from reports.amounts import in_unit
from reports.page.doing.choices import OF_DEED
from reports.page.doing.echo import Noted, echo, heading
from reports.page.doing.refusals import refusal

# What SQLite takes for an id.
_LARGEST_ID = 2**63 - 1
_MOST_AT_ONCE = 128


class EntryPages:
    """The echo of what was noted, and the form that changes an entry."""

    def __init__(self, doors: Doors, echoes: Echoes) -> None:
        """`echoes` is what the daemon answered about the last entries."""
        self._doors = doors
        self._echoes = echoes

    def done(self, ids: str) -> Shown:
        """What was noted, said back."""
        with self._doors.glancing() as glance:
            return self._echo(glance, _entries(glance, ids), "again" if request.args.get("again") else "")

    def take_back(self, ids: str) -> Shown:
        """Take entries back, all of them."""
        with self._doors.glancing() as glance:
            entries = _entries(glance, ids)
            if glance.played:
                return self._echo(glance, entries, "played"), HTTPStatus.CONFLICT
            try:
                for entry in entries:
                    self._doors.noting.withdraw(glance, entry.id)
            except NotDone as fault:
                line = "" if fault.why else fault.faults[0]
                return self._echo(
                    glance, _entries(glance, ids), fault.why, line
                ), HTTPStatus.SERVICE_UNAVAILABLE
        return see_other("deeds.done", ids=ids)

    def entry(self, deed_id: str) -> Shown:
        """The form that changes an entry. One that was changed leads to what stands in its place."""
        with self._doors.glancing() as glance:
            entry = _entry(glance, deed_id)
            if entry.withdrawn_at is not None:
                return self._gone(glance, entry)
            key, deed = self._doors.once.key(glance.at), entry.deed
            filled = FilledForm(
                OF_DEED[deed.deed],
                deed.vessel,
                key,
                _values(glance, entry),
                entry=entry.id,
                was=deed.at,
                why="played" if glance.played else "",
            )
            return show_form(glance, filled)

    def change(self, deed_id: str) -> Shown:
        """The form was sent."""
        with self._doors.glancing() as glance:
            entry = _entry(glance, deed_id)
            filled, faults = _filled(entry, request.form), FormFaults()
            key = filled.key
            words = words_of(glance, filled.vessel, filled.choice, filled.values, faults)
            at = moment_at(glance, filled.sent, faults, filled.was)
            if faults.by_field:
                return refused(glance, self._doors, replace(filled, faults=faults))
            if (why := why_not(glance, key)) is not None:
                return refused(glance, self._doors, replace(filled, why=why))
            try:
                new_id = self._doors.noting.correct(glance, key, entry.id, words, at)
            except NotDone as fault:
                return refused(glance, self._doors, replace(filled, **of_fault(fault, filled)))
        return see_other("deeds.done", ids=str(new_id))

    def again(self, form: MultiDict[str, str], deed_id: str) -> Shown:
        """The form as it was sent before the PIN was given."""
        with self._doors.glancing() as glance:
            entry = _entry(glance, deed_id)
            if entry.withdrawn_at is not None:
                return self._gone(glance, entry)
            return shown_again(glance, self._doors, _filled(entry, form))

    def _gone(self, glance: Glance, entry: Entry) -> Shown:
        instead = replacement(glance, entry.id)
        if instead is not None:
            return see_other("deeds.entry", deed_id=instead)
        return self._echo(glance, [entry], "gone")

    def _echo(self, glance: Glance, entries: list[Entry], why: str, line: str = "") -> str:
        noted = [self._noted(glance, entry) for entry in entries]
        return show(
            glance,
            "done.html",
            "do",
            heading(here_and_now(glance), noted),
            echoes=[echo(here_and_now(glance), one, among_others=len(noted) > 1) for one in noted],
            ids=",".join(str(one.id) for one in noted),
            only=noted[0].id if len(noted) == 1 else None,
            stand=any(one.withdrawn_at is None for one in noted),
            vessel=noted[0].vessel,
            line=refusal(here_and_now(glance), why) if why else line,
        )

    def _noted(self, glance: Glance, entry: Entry) -> Noted:
        answered, vessel = self._echoes.of(entry.id), glance.station.vessel(entry.deed.vessel)
        said = change_in_words(glance.station, answered.changed, answered.at) if answered else None
        return Noted(
            id=entry.id,
            vessel=entry.deed.vessel,
            count=1 if vessel is None else vessel.count,
            deed=entry.deed.deed,
            text=deed_in_words(entry.deed, glance.language),
            detail=entry.deed.detail,
            at=glance.local(entry.deed.at),
            corrected=entry.replaces is not None,
            withdrawn_at=None if entry.withdrawn_at is None else glance.local(entry.withdrawn_at),
            changed=said or "",
            doubts=tuple(asked_back(glance, one) for one in answered.doubts) if answered else (),
        )


def _entries(glance: Glance, ids: str) -> list[Entry]:
    """The entries of the ids in an address. Raises NotFound where one of them is none."""
    parts = ids.split(",")
    numbers = [int(part) for part in parts if part.isascii() and part.isdigit() and len(part) < 20]
    if not 0 < len(numbers) == len(parts) <= _MOST_AT_ONCE or max(numbers) > _LARGEST_ID:
        raise NotFound
    found = [deed_store.find(glance.connection, number) for number in dict.fromkeys(numbers)]
    entries = [entry for entry in found if entry is not None]
    if len(entries) < len(found):
        raise NotFound
    return entries


def _entry(glance: Glance, deed_id: str) -> Entry:
    """The one entry of an address. Raises NotFound."""
    if "," in deed_id:
        raise NotFound
    return _entries(glance, deed_id)[0]


def _filled(entry: Entry, form: MultiDict[str, str]) -> FilledForm:
    sent, choice, deed = form.to_dict(), OF_DEED[entry.deed.deed], entry.deed
    values, key = values_of(sent, choice), sent.get("once", "")
    return FilledForm(choice, deed.vessel, key, values, sent, entry=entry.id, was=deed.at)


def _values(glance: Glance, entry: Entry) -> dict[str, str]:
    """What stands, in the station's unit."""
    values = of_deed(entry.deed)
    if glance.station.temperature_unit != "F":
        return values
    warm = {name: value for name, value in entry.deed.detail.items() if name.endswith("_c")}
    return {**values, **{name: f"{in_unit(float(value), 'F'):g}" for name, value in warm.items()}}
