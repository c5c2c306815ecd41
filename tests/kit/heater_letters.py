"""Letters about vessels with a heater, of every kind that speaks of one."""

from collections.abc import Callable, Iterator

from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.harvest import harvest_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.leave import leave_letter
from reports.letters.nightly import nightly_letter
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.swing import swing_letter
from reports.letters.water import water_letter
from reports.records import BrineDue, Event, LetterText, NightRecord, Range, Setting, TimeRange
from tests.kit import news_samples as news
from tests.kit.report_samples import WEEKEND, at_hour, cold, hot, local, outlook, vessel, water

CONE = {"vessel": "cone", "count": 1, "has_heater": True}
HEATED = {**CONE, "vessel_kind": "cone"}
SOON = TimeRange(local(15, 18), local(16, 12), local(17, 9))
AWAY = {"water_c_min_away": Range(12.0, 16.0, 19.0), "water_c_max_away": Range(30.0, 33.0, 35.0)}


def heater_letters(
    setting: Setting, night_of: Callable[..., NightRecord], deeds: tuple[Event, ...], trouble: str
) -> Iterator[LetterText]:
    """All of them; `night_of` makes a record of vessels, `deeds` and `trouble` are in its language."""
    for stage in ("nothing set", "hatching", "being harvested", "ended"):
        one = {**HEATED, "stage": stage}
        for write, kind in (
            (cold_letter, cold),
            (cold_ahead_letter, news.cold_ahead),
            (hot_letter, hot),
            (hot_ahead_letter, news.hot_ahead),
            (swing_letter, news.swing),
        ):
            yield write(setting, [kind(**one)])
        yield swing_letter(setting, [news.swing(), news.swing(**one)])
    yield cold_letter(setting, [cold(), cold(**HEATED)])
    yield hot_ahead_letter(setting, [news.hot_ahead(), news.hot_ahead(**HEATED)])
    for lamp in (True, False):
        yield hot_letter(setting, [hot(**HEATED, has_lamp=lamp)])
        yield hot_ahead_letter(setting, [news.hot_ahead(**HEATED, sun=False, has_lamp=lamp)])
    yield harvest_letter(setting, [news.harvest(has_heater=True)])
    yield water_letter(setting, [water(**CONE)])
    yield salinity_letter(setting, [news.salty(**CONE)])
    drawn = {"fill_ml": 0.0, "brine": BrineDue(1981.0, 28.0, harvested=True), "stage": "harvested"}
    for changed in ({}, drawn):
        yield leave_letter(setting, WEEKEND, [outlook(**CONE, **AWAY, **changed)])
        back = news.returned_vessel(**CONE, past_alarms=(), **changed)
        yield return_letter(news.monday(setting), news.returned(back))
        due = vessel(**CONE, low_mark_at=SOON, deeds=deeds, **({"fill_ml": 30.0} | changed))
        yield nightly_letter(setting, night_of(due), with_chart=False)
    for condition in ("hot", "cold", "water", "swing", "hot-ahead"):
        stands = {"open_alarms": (Event(at_hour(20), condition, trouble),), "deeds": deeds}
        some = (
            [vessel(**CONE, **stands)]
            if condition != "cold"
            else [vessel(**stands), vessel(**CONE, **stands)]
        )
        yield nightly_letter(setting, night_of(*some), with_chart=False)
