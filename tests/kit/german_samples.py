"""Every sample letter in German, by what it is about; deeds and troubles as the daemon tells them."""

from dataclasses import replace
from datetime import timedelta

from reports.letters.clock import clock_letter
from reports.letters.cold import cold_ahead_letter, cold_letter
from reports.letters.digest import HeldLetter, digest_letter
from reports.letters.feed import feed_letter
from reports.letters.feeding import FeedDue
from reports.letters.harvest import UnseenWindow, harvest_letter
from reports.letters.hatch import hatch_letter
from reports.letters.hatch_late import late_hatch_letter
from reports.letters.hot import hot_ahead_letter, hot_letter
from reports.letters.lamp import lamp_letter, lamp_stays_on_letter
from reports.letters.lamp_dark import lamp_was_dark_letter
from reports.letters.leave import leave_letter
from reports.letters.memory_card import card_back_letter, card_failed_letter
from reports.letters.nightly import nightly_letter
from reports.letters.outage import outage_letter
from reports.letters.probe import probe_letter
from reports.letters.record_full import record_full_letter
from reports.letters.return_ import return_letter
from reports.letters.salinity import salinity_letter
from reports.letters.sample import sample_letter
from reports.letters.stages import STAGES
from reports.letters.station_records import rows_spoiled_letter, store_lost_letter, store_saved_letter
from reports.letters.storage import file_overlooked_letter, storage_letter
from reports.letters.swing import swing_letter
from reports.letters.water import water_letter
from reports.records import BrineDue, Event, PastAlarm, Range, SilencedAlarm, Span, TimeRange
from tests.kit import news_samples as news
from tests.kit.heater_letters import heater_letters
from tests.kit.report_samples import (
    WEEKEND,
    at_hour,
    cold,
    hatch,
    hot,
    lamp,
    local,
    night,
    outlook,
    probe,
    read,
    vessel,
    water,
)

LATELY = ((cold_letter, cold), (hot_letter, hot))
DEEDS = (
    Event(at_hour(13), "top-up", "21 mL nachgefüllt"),
    Event(at_hour(15.5), "first-swimmer", "erste Nauplien gesehen"),
)
LETTERS = (
    Event(at_hour(5.8), "lamp", "Lampe aus? 4 Lux, tray-a, Room 12"),
    Event(at_hour(9.1), "cold", "Kalt: 18,6 °C, tray-a, Room 12"),
)
TOO_COLD = (Event(at_hour(3), "cold", "das Wasser ist zu kalt"),)
WAS_COLD = (PastAlarm("cold", "das Wasser war zu kalt", Span(local(16, 4), local(16, 9))),)
DOUBT = (Event(at_hour(3), "tray-water", "er zeigt seit mehr als einem Tag denselben Wert"),)
NEVER = TimeRange(None, None, None)


def german(setting, **changed):
    """The same setting with a German letter."""
    return replace(setting, language="de", **changed)


SILENCED = (
    SilencedAlarm("hot", "warmes Wasser", at_hour(3), at_hour(40)),
    SilencedAlarm("cold", "kaltes Wasser", at_hour(3), at_hour(40), by="reiher"),
    SilencedAlarm("lamp", "Lampe aus in der Beleuchtungszeit", at_hour(3), None, by="reiher"),
    SilencedAlarm("probe", "ein Fühler, der nichts Glaubhaftes liefert", at_hour(3), None),
)


def german_night(*vessels, **changed):
    """A night in German."""
    return night(*(vessels or (vessel(deeds=DEEDS),)), **{"letters": LETTERS, "language": "de", **changed})


NIGHTS = (
    german_night(),
    german_night(letters=()),
    german_night(vessels=()),
    german_night(
        vessel(
            out=((2, 4), (15, 16)), off=((2, 4),), deeds=DEEDS, open_alarms=TOO_COLD, past_alarms=WAS_COLD
        ),
        vessel("cone", 1, deeds=(), silenced=SILENCED),
        vessel("jar", 1, batch_set_at=None, light_unit=None, deeds=(), water_c=()),
        outages=(Span(at_hour(2), at_hour(4)),),
        doubts=DOUBT,
        clock_sure=False,
        readings_came=900,
        readings_good=880,
    ),
    german_night(vessel(deeds=(), hatch_t50=NEVER, lamp_hours=(), learned_top_ups=0), unit="F"),
    german_night(
        vessel(deeds=(), light_unit="fraction"), readings_expected=0, readings_came=0, readings_good=0
    ),
)


def of_warmth(setting):
    """Cold, hot and swinging water, now or to come."""
    cooler = cold(vessel="jar", count=1, water_c=3.0, extreme_c=2.0, hatched_fraction=None)
    done = cold(hatched_fraction=Range(0.95, 0.98, 1.0))
    nights = [cold(usual_c=17.4, has_lamp=True)]
    yield from (cold_letter(setting, some) for some in ([cold()], [cold(), cooler], [done] * 4, nights))
    dead, warm = hot(has_lamp=False, extreme_c=41.0), hot(extreme_c=31.0, has_lamp=False)
    yield from (hot_letter(setting, some) for some in ([hot()], [hot(), dead], [warm]))
    old = read(12.0, setting.written_at - timedelta(hours=8))
    yield from (write(setting, [one(water_c=old, room_c=old)]) for write, one in LATELY)
    for stage in STAGES:
        beside = cold(vessel="b", stage="growing")
        yield cold_letter(setting, [cold(stage=stage), beside])
        yield hot_letter(setting, [hot(stage=stage), hot(vessel="b", stage="set", lamp_lit=False)])
    between = timedelta(hours=3)
    for read_for in (between, timedelta(hours=9)):
        seen = {"beyond_for": between, "read_for": read_for, "since": local(15, 1)}
        yield from (write(setting, [one(**seen)]) for write, one in LATELY)
    far = news.cold_ahead(has_lamp=True, span=Span(local(19, 11), local(19, 15)))
    colder = news.cold_ahead(extreme_c=Range(2.0, 21.0, 22.0), span=Span(local(16, 23), local(17, 7)))
    heated = news.cold_ahead(has_heater=True)
    yield from (cold_ahead_letter(setting, [one]) for one in (news.cold_ahead(), far, colder, heated))
    for ahead in (timedelta(hours=1), timedelta(hours=12), timedelta(hours=20)):
        soon = news.hot_ahead(span=Span(local(15, 14, 30) + ahead, local(17, 20)))
        yield hot_ahead_letter(setting, [soon])
        yield from (hot_ahead_letter(replace(setting, written_at=local(15, h)), [soon]) for h in (1, 8))
    lit = news.hot_ahead(sun=False, has_lamp=True, extreme_c=Range(35.0, 38.0, 42.0))
    bare = news.hot_ahead(sun=False, extreme_c=Range(27.0, 29.0, 31.0))
    yield from (hot_ahead_letter(setting, [one]) for one in (news.hot_ahead(), lit, bare))
    yield swing_letter(setting, [news.swing()])


def of_light_and_probes(setting):
    """Lamps and probes, of every fault and measure."""
    dim = lamp(light_unit="fraction", light=0.03, low_light=0.2, water_c=None)
    yield from (lamp_letter(setting, some) for some in ([lamp()], [dim, lamp(vessel="jar", count=1)]))
    for stage in ("set", "growing"):
        larger = lamp(vessel="jar", count=1, vessel_kind="jar", stage=stage)
        yield lamp_letter(setting, [lamp(stage=stage), larger])
        yield lamp_letter(setting, [replace(larger, has_heater=True)])
    yield lamp_stays_on_letter(setting, [news.lamp_stays_on()])
    yield lamp_was_dark_letter(setting, [news.lamp_was_dark()])
    faults = ("absent", "crc", "reset", "range", "jump", "stuck", "in-air")
    yield from (probe_letter(setting, [probe(fault=fault)]) for fault in faults)
    measures = ("light_lux", "light_fraction", "room_c", "room_rh_pct", "float_low")
    yield probe_letter(
        setting,
        [
            probe(probe=f"p{n}", measures=measure, fault="crc", vessels=(), last_good=value)
            for n, measure in enumerate(measures)
            for value in (0.0, 1.0, None)
        ],
    )


def of_water(setting):
    """Low water, too much and too little salt, and what to pour before people go."""
    fresh_tray = water(learned_top_ups=0, low_mark_at=NEVER, salinity_g_per_kg=None)
    passed = TimeRange(local(12, 9), local(12, 9), None)
    jar = water(vessel="jar", count=1, fill_ml=320.0, low_mark_at=passed)
    yield from (water_letter(setting, some) for some in ([water()], [fresh_tray, jar]))
    drawn = {"stage": "being harvested", "drawn_ml": 30.0}
    salty = {"salinity_g_per_kg": Range(40.0, 41.0, 42.0)}
    for changed in (drawn, salty, {**salty, "fill_ml": 0.0}):
        yield water_letter(setting, [water(**changed)])
    salt = ({}, {"fill_ml": 30.0}, {"mark_ml": None}, {"mark_ml": None, "fill_ml": 30.0}, {"fill_ml": 90.0})
    yield from (salinity_letter(setting, [news.salty(**changed)]) for changed in salt)
    yield salinity_letter(setting, [news.salty(), news.salty(vessel="b")])
    yield salinity_letter(setting, [news.salty(count=1, mark_ml=None), news.salty(vessel="b", mark_ml=None)])
    yield from (
        salinity_letter(setting, some)
        for some in ([news.fresh()], [news.fresh(fill_ml=600.0)], [news.fresh(), news.fresh()])
    )
    yield salinity_letter(setting, [replace(news.fresh(), mark_ml=None)])
    away = {"water_c_min_away": Range(13, 15, 18), "water_c_max_away": Range(30, 32, 35)}
    small = outlook(feed=FeedDue("tray-a", 24, 250.0, False), fill_holds=False, above_mark_ml=0.0, **away)
    full = outlook(vessel="jar", count=1, fill_ml=0.0, lamp_hours=(), learned_top_ups=0, hatch_t50=NEVER)
    over = outlook(fill_holds=False, fill_fails="brim")
    unknown = outlook(water_c_min_next_16h=None, hatched_fraction=Range(0.95, 0.97, 1.0))
    heated = outlook(has_heater=True, water_c_min_away=Range(12.0, 16.0, 19.0))
    given = (
        [outlook()],
        [heated],
        [small, outlook(vessel="jar", count=1, fill_ml=7.5)],
        [full],
        [unknown],
        [over],
    )
    yield from (leave_letter(setting, WEEKEND, some) for some in given)
    yield from of_brine(setting)


def of_brine(setting):
    """Where plain water would do harm: brine in its place, too much water, a harvest that was not ended."""
    short = {"fill_ml": 0.0, "brine": BrineDue(12.0, 28.0)}
    drawn = {"fill_ml": 0.0, "brine": BrineDue(1981.0, 28.0, harvested=True), "vessel": "cone", "count": 1}
    for some in ([water(**short)], [water(), water(**short)], [water(fill_ml=0.0)]):
        yield water_letter(setting, some)
    full = {"vessel": "jar", "count": 1, "fill_ml": 0.0, "lamp_hours": (), "above_mark_ml": 30.0}
    jar = outlook(vessel="jar", count=1, fill_ml=325.0)
    for some in (
        *([outlook(**short)], [outlook(**drawn)], [outlook(**full)], [outlook(), jar]),
        *(
            [outlook(**full, fill_holds=False, fill_fails="brim")],
            [outlook(vessel=name) for name in "abcd"] + [jar],
        ),
    ):
        yield leave_letter(setting, WEEKEND, some)
    soon = TimeRange(local(15, 18), local(16, 12), local(17, 9))
    for changed in (short, drawn):
        back = news.returned_vessel(past_alarms=(), **changed)
        yield return_letter(news.monday(setting), news.returned(back))
        yield nightly_letter(
            setting, german_night(vessel(low_mark_at=soon, deeds=DEEDS, **changed)), with_chart=False
        )
    both = german_night(
        vessel(low_mark_at=soon, deeds=(), **short), vessel("b", low_mark_at=soon, deeds=(), fill_ml=30.0)
    )
    yield nightly_letter(setting, both, with_chart=False)


def of_animals(setting):
    """Hatch, harvest and feed."""
    near, nearly = hatch(hatched_fraction=Range(0.0, 0.02, 0.05)), hatch(hatched_fraction=Range(0.9, 0.95, 1))
    never = replace(near, hatch_t50=NEVER, hatch_t10=TimeRange(local(16, 2), None, None))
    yield from (hatch_letter(setting, [one]) for one in (hatch(), near, nearly, never))
    warm = news.late(mean_c=None, hatch_t50=NEVER)
    yield from (late_hatch_letter(setting, [one]) for one in (news.late(), news.overdue(), warm))
    gone = TimeRange(local(15, 1), local(15, 2), local(15, 3))
    harvests = (
        news.harvest(),
        news.harvest(has_heater=True),
        news.harvest(closing=True),
        news.unseen_harvest(),
        news.unseen_harvest(unseen=UnseenWindow(local(15, 15, 30), Range(0.4, 0.5, 0.6), None)),
        news.harvest(closing=True, closes_at=gone),
        news.harvest(opens_at=gone),
        news.harvest(opens_at=gone, closes_at=gone, closing=True, growing=True),
        news.harvest(opens_at=NEVER),
        news.harvest(closing=True, closes_at=NEVER),
    )
    yield from (harvest_letter(setting, [one]) for one in harvests)
    cone = {"vessel": "cone", "count": 1, "volume_ml": 2000.0}
    for some in ([news.feed(), news.feed(**cone)], [news.feed(seen=False)], [news.feed(vessel="b")] * 4):
        yield feed_letter(setting, some)
    feeds = (
        news.feed(),
        news.feed(small=True, seen=False),
        news.feed(**cone, small=True),
        news.feed(small=True, last_fed_at=local(14, 9)),
        news.feed(count=1),
        news.feed(count=1, small=True),
        news.feed(instar_ii_at=NEVER),
    )
    yield from (feed_letter(setting, [one]) for one in feeds)


def of_the_station(setting):
    """Outage, clock, card, post, and the sample."""
    dark = news.outage(news.off_vessel(lit_after=False, delay_h=None, before_c=None), clock_sure=False)
    soon = news.outage(news.off_vessel(lit_after=None, delay_h=Range(0.0, 0.1, 0.3)))
    yield from (outage_letter(setting, some) for some in (news.outage(), dark, soon))
    steps = ({}, {"step_s": 7384, "restamped": 31}, {"step_s": -42, "restamped": 1})
    yield from (clock_letter(setting, news.clock_trouble(**changed)) for changed in steps)
    yield storage_letter(setting, news.storage())
    yield from (
        store_lost_letter(setting, some) for some in (news.store_lost(), news.store_lost(backup_until=None))
    )
    yield from (
        store_lost_letter(setting, some)
        for some in (news.store_lost(kept_as=None), news.store_lost(kept_as=None, backup_until=None))
    )
    yield from (store_saved_letter(setting, news.store_saved(kept_as=kept)) for kept in (None, "x.db"))
    yield from (
        rows_spoiled_letter(setting, some)
        for some in (
            news.rows_spoiled(),
            news.rows_spoiled(readings=1, deeds=0, others=1),
            news.rows_spoiled(deeds=2),
        )
    )
    yield file_overlooked_letter(setting, news.file_overlooked(faults=("vessel[1].lw_ml: ?",)))
    yield file_overlooked_letter(setting, news.file_overlooked(faults=("a", "b") * 6, goes_by=None))
    yield record_full_letter(setting, news.record_full())
    yield from (
        card_failed_letter(setting, news.card_failed(found=f)) for f in ("full", "read-only", "failing")
    )
    yield from (card_back_letter(setting, news.card_back(found=found)) for found in ("full", "failing"))
    held = [
        HeldLetter(n, "cold", "Kalt: 17,4 °C", local(14, 3 + n), fate)
        for n, fate in enumerate(("over", "told again", "passed"))
    ]
    yield from (digest_letter(setting, way, held) for way in ("mail", "webhook", "files", "fax"))
    yield digest_letter(setting, "mail", held[:1])
    yield sample_letter(setting)


def planned(setting):
    """The nightly letter and the one when people come back."""
    yield from (nightly_letter(setting, one, with_chart=True) for one in NIGHTS)
    yield nightly_letter(replace(setting, also=("Lampe aus? 4 Lux, tray-a",)), NIGHTS[1], with_chart=False)
    monday = news.monday(setting)
    well = {"past_alarms": WAS_COLD, "open_alarms": ()}
    given = (
        {},
        {"open_alarms": TOO_COLD, "fill_ml": 0.0},
        {"open_alarms": (replace(TOO_COLD[0], kind="hot"),)},
        {"fill_ml": 0.0},
        {"fill_ml": 0.0, "feed": FeedDue("tray-a", 1, 250.0, True), "count": 1, "water_c": None},
        {"fill_ml": 0.0, "feed": FeedDue("tray-a", 24, 250.0, False)},
        {"fill_ml": 0.0, "hatched_fraction": Range(0.0, 0.0, 0.02)},
        {"probe_dead": True},
    )
    for changed in given:
        yield return_letter(monday, news.returned(news.returned_vessel(**{**well, **changed})))
    dry = [news.returned_vessel(**{**well, "vessel": name}) for name in "abcd"]
    yield return_letter(monday, news.returned(*dry, readings_good=20_000, outages=(news.outage().span,)))
    yield return_letter(monday, news.returned(*dry, readings_expected=0))


def letters(setting):
    """All of them."""
    for kind in (of_warmth, of_light_and_probes, of_water, of_animals, of_the_station, planned):
        yield from kind(setting)
    yield from heater_letters(setting, german_night, DEEDS, TOO_COLD[0].text)
