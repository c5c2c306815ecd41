"""The nights: all of them by month, and one with its chart and its letter."""

from collections.abc import Mapping
from datetime import date, timedelta

from flask import request
from markupsafe import Markup

from daemon.letters.conversions import setting
from daemon.letters.night_record import night_of, past_night
from daemon.page import night_list
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.store import readings as reading_store
from reports.page import letters as letter_lines
from reports.page import nights as words
from reports.page.plot.figure import vessel_plot
from reports.page.vessel import DAY
from reports.records import NightRecord

_A_PAGE = 31
_DAY = timedelta(days=1)


def nights(glance: Glance, until: str | None = None) -> str | tuple[str, int]:
    """The nights up to one, a month's worth on a page, the newest first."""
    there = night_list.nights_there(glance)
    last = there[1] if there and until is None else _night(until)
    if until is not None and (there is None or last is None or not there[0] <= last <= there[1]):
        return _no_night(glance, there)
    months: Mapping[str, list[words.NightLine]] = {}
    earlier = later = None
    if there is not None and last is not None:
        first = max(there[0], last - (_A_PAGE - 1) * _DAY)
        months = words.by_month(glance.setting, night_list.entries(glance, last, first))
        earlier = (first - _DAY).isoformat() if first > there[0] else None
        later = min(last + _A_PAGE * _DAY, there[1]).isoformat() if last < there[1] else None
    return show(
        glance,
        "nights.html",
        "nights",
        words.list_title(glance.language),
        months=months,
        nothing=words.no_night(glance.setting, None),
        earlier=earlier,
        later=later,
    )


def night(glance: Glance, day: str) -> str | tuple[str, int]:
    """One night: its chart, its letter made anew, and the letters of that day and night as they were sent."""
    there, wanted, newest = night_list.nights_there(glance), _night(day), glance.newest_at
    if there is None or newest is None or wanted is None or not there[0] <= wanted <= there[1]:
        return _no_night(glance, there)
    record = past_night(glance.station, glance.connection, wanted, newest)
    if record is None:
        return _no_night(glance, there, wanted)
    written = setting(glance.station, glance.connection, int(record.span.ended.timestamp()))
    earlier, later = _beside(glance, wanted)
    drawn = _drawn(record)
    return show(
        glance,
        "night.html",
        "nights",
        words.night_title(glance.setting, wanted),
        fault="",
        chart=_chart(record, drawn, now=record.span.ended.timestamp() == newest),
        drawn=drawn,
        vessels=[one.vessel for one in record.vessels],
        night=day,
        letter=words.letter_anew(written, record),
        letters=letter_lines.listed_letters(glance.setting, night_list.letters_of(glance, wanted)),
        earlier=earlier,
        later=later,
    )


def _drawn(record: NightRecord) -> str:
    """The vessel whose chart is shown: the one that was asked for, else the first that has an alarm."""
    asked, vessels = request.args.get("vessel", ""), record.vessels
    hurt = [one.vessel for one in vessels if one.open_alarms or one.past_alarms]
    return asked if any(one.vessel == asked for one in vessels) else [*hurt, vessels[0].vessel][0]


def _chart(record: NightRecord, vessel: str, *, now: bool) -> Markup:
    return Markup(vessel_plot(record, vessel, DAY, now=now))  # noqa: S704 - it escapes


def _no_night(glance: Glance, there: tuple[date, date] | None, wanted: date | None = None) -> tuple[str, int]:
    earlier, later = (None, None) if wanted is None else _beside(glance, wanted)
    title, line = words.list_title(glance.language), words.no_night(glance.setting, there)
    page = show(glance, "night.html", "nights", title, fault=line, earlier=earlier, later=later)
    return page, 404


def _beside(glance: Glance, night: date) -> tuple[str | None, str | None]:
    """The nights with readings before and after one."""
    began, ended = night_list.night_span(glance, night)
    moments = (
        reading_store.newest_before(glance.connection, began + 1),
        reading_store.oldest_since(glance.connection, ended + 1),
    )
    earlier, later = (None if at is None else night_of(glance.station, at).isoformat() for at in moments)
    return earlier, later


def _night(text: str | None) -> date | None:
    """The date of an address; None where it is none, or written otherwise than the page does."""
    try:
        found = date.fromisoformat(text or "")
    except ValueError:
        return None
    return found if found.isoformat() == text else None
