"""Letters as pages to look at: one of each kind, and nightly ones of one, six and twenty-four vessels."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from daemon.letter_kinds import LETTER_KINDS
from reports.letters.clock import clock_letter
from reports.letters.cold import cold_letter
from reports.letters.digest import HeldLetter, digest_letter
from reports.letters.feed import feed_letter
from reports.letters.harvest import harvest_letter
from reports.letters.hatch import hatch_letter
from reports.letters.hot import hot_letter
from reports.letters.lamp import lamp_letter
from reports.letters.leave import leave_letter
from reports.letters.nightly import nightly_letter
from reports.letters.outage import outage_letter
from reports.letters.probe import probe_letter
from reports.letters.return_ import return_letter
from reports.letters.sample import sample_letter
from reports.letters.storage import storage_letter
from reports.letters.swing import swing_letter
from reports.letters.water import water_letter
from reports.records import Event, LetterText, NightRecord, Setting, TimeRange, VesselNight
from tests.kit import news_samples as news
from tests.kit.report_samples import (
    WEEKEND,
    at_hour,
    away,
    cold,
    hatch,
    here,
    hot,
    lamp,
    local,
    night,
    outlook,
    probe,
    vessel,
    water,
)

NIGHTS = (1, 6, 24)
NAMES = (*(kind for kind in LETTER_KINDS if kind != "nightly"), *(f"nightly of {count}" for count in NIGHTS))


@cache
def pages() -> dict[str, LetterText]:
    """One letter of each kind, and the nightly ones, by name; written only where somebody asks."""
    return {**of_each_kind(away()), **{f"nightly of {count}": nightly_of(count) for count in NIGHTS}}


def of_each_kind(setting: Setting) -> dict[str, LetterText]:
    """One letter of every kind but the nightly one, by its kind; before they leave somebody is there."""
    fates = ("over", "told again", "passed", "passed")
    held = [
        HeldLetter(n, "cold", f"Cold: 1{n}.0 °C, tray-a, Room 12", local(14, n), fate)
        for n, fate in enumerate(fates, start=3)
    ]
    fifteen = [probe(probe=f"cup-{n}-water", vessels=(f"cup-{n}",), fault="absent") for n in range(1, 16)]
    return {
        "cold": cold_letter(setting, [cold(), cold(vessel="jar", count=1, water_c=16.2)]),
        "hot": hot_letter(setting, [hot()]),
        "lamp": lamp_letter(setting, [lamp()]),
        "water": water_letter(setting, [water(), water(vessel="jar", count=1, fill_ml=120.0)]),
        "swing": swing_letter(setting, [news.swing()]),
        "probe": probe_letter(setting, [*fifteen, probe()]),
        "outage": outage_letter(
            setting, news.outage(news.off_vessel(), news.off_vessel(vessel="jar", count=1))
        ),
        "clock": clock_letter(setting, news.clock_trouble()),
        "storage": storage_letter(setting, news.storage()),
        "hatch": hatch_letter(setting, [hatch()]),
        "harvest": harvest_letter(setting, [news.harvest()]),
        "feed": feed_letter(setting, [news.feed()]),
        "leave": leave_letter(here(), WEEKEND, [outlook(), outlook(vessel="jar", count=1, fill_ml=325.0)]),
        "return": return_letter(news.monday(setting), news.returned()),
        "digest": digest_letter(setting, "mail", held),
        "sample": sample_letter(setting),
    }


def night_of(count: int) -> NightRecord:
    """A night of so many single cups, of which some are cold, some dry and some alike; of one, a tray's."""
    return night() if count == 1 else night(*_cups(count))


def nightly_of(count: int) -> LetterText:
    """The letter of that night."""
    setting = replace(away(), written_at=local(16, 20), next_letter_at=local(17, 20))
    return nightly_letter(setting, night_of(count), with_chart=True)


def _cups(count: int) -> Iterator[VesselNight]:
    """Four cups in turn: a plain one, a cold one that stands, a dry one, and one whose hatch is over."""
    too_cold = (Event(at_hour(8), "cold", "the water is too cold"),)
    dry = {"fill_ml": 34.0, "low_mark_at": TimeRange(at_hour(20), at_hour(25), at_hour(31))}
    states = (
        {"deeds": ()},
        {"offset_c": -4.0, "open_alarms": too_cold, "written_about": ("cold",), "deeds": ()},
        {**dry, "deeds": ()},
        {"stage": "hatched", "offset_c": 0.4},
    )
    for number in range(1, count + 1):
        yield vessel(f"cup-{number}", 1, **states[number % len(states)])


def with_picture(letter: LetterText, address: str) -> str:
    """The letter's page with its picture from an address, as a mail program takes it from the message."""
    return letter.html.replace(f"cid:{letter.chart_cid}", address) if letter.chart_cid else letter.html
