"""Records of our own making: what is foreseen, salt, animals, the station, the return."""

from dataclasses import replace

from reports.letters.feed import FeedNews
from reports.letters.harvest import HarvestNews, UnseenWindow
from reports.letters.hatch_late import LateHatch
from reports.letters.lamp import LampStaysOn
from reports.letters.lamp_dark import LampWasDark
from reports.letters.memory_card import CardBack, CardFailed, LastRead
from reports.letters.outage import OutageNews, OutageVessel
from reports.letters.record_full import RecordFull, RecordWaits
from reports.letters.return_ import ReturnNews
from reports.letters.return_first import ReturnVessel
from reports.letters.salinity import SalinityTrouble
from reports.letters.station_records import RowsSpoiled, StoreLost, StoreSaved
from reports.letters.storage import FileOverlooked, StorageTrouble
from reports.letters.swing import SwingTrouble
from reports.letters.warmth import TemperatureAhead
from reports.records import ClockTrouble, Event, PastAlarm, Range, Span, TimeRange
from tests.kit.report_samples import LAMP, T50, T90, WEEKEND, in_readings, local, read


def of(kind, given, changed):
    """A record of a kind from the values of its fields in order, some of them changed."""
    return kind(**{**dict(zip(kind.__slots__, given, strict=False)), **changed})


def cold_ahead(**changed):
    """A tray without a lamp, before a cold night."""
    tonight = Span(local(15, 23), local(16, 7))
    return ahead(
        *("cold", "tray-a", 24, read(21.3), 20.0, Range(13.8, 15.1, 17.0)),
        tonight,
        **changed,
    )


def hot_ahead(**changed):
    """A jar on a sunny sill, before a clear day."""
    noon = Span(local(16, 11), local(16, 15))
    values = ("hot", "jar", 1, read(24.1), 30.0, Range(30.2, 31.8, 34.0))
    return ahead(*values, noon, **{"sun": True, **changed})


def ahead(*values, **changed):
    """What is foreseen of a hatch under way, without a lamp or sun."""
    lit = changed.get("has_lamp", False)
    kind = "jar" if changed.get("vessel", values[1]) == "jar" else "cup"
    given = (*values, "hatching", kind, lit, lit, False)
    return of(TemperatureAhead, given, in_readings(changed, "water_c"))


def lamp_stays_on(**changed):
    """A lamp whose timer did not turn it off."""
    return of(LampStaysOn, ("tray-a", 24, 812.0, "lux", local(15, 7), LAMP, read(27.4)), changed)


def lamp_was_dark(**changed):
    """A lamp that went out in the night, before its hours ended."""
    hours = (local(15, 4, 30), local(15, 7), local(15, 18))
    return of(LampWasDark, ("tray-a", 24, 4.0, "lux", 200.0, *hours, LAMP, read(21.2), "set", "cup"), changed)


def swing(**changed):
    """A jar on a window sill."""
    given = ("jar", 1, 14.2, local(15, 6, 30), 29.6, local(15, 13, 10), 10.0, "hatching", "jar")
    return of(SwingTrouble, given, changed)


def salty(**changed):
    """A tray that was filled to the mark with brine."""
    given = ("tray-a", 24, Range(36.1, 37.5, 39.0), 20.0, 32.0, Range(-2.0, 0.3, 2.0), 0.0, "set", 250.0)
    return of(SalinityTrouble, given, changed)


def fresh(**changed):
    """A jar with too little salt."""
    return salty(vessel="jar", count=1, salinity_g_per_kg=Range(13.6, 15.0, 16.3), mark_ml=900.0, **changed)


def late(**changed):
    """A hatch that a cool night put off."""
    later = TimeRange(local(15, 22), local(16, 5), local(16, 13))
    given = (
        "tray-a",
        24,
        local(14, 9),
        local(15, 16),
        Range(0.0, 0.02, 0.11),
        later,
        T90,
        21.4,
        False,
        "cup",
    )
    return of(LateHatch, given, changed)


def overdue(**changed):
    """A hatch of which nothing was recorded."""
    passed = TimeRange(local(12, 9), local(12, 15), local(13, 2))
    given = {"set_at": local(11, 9), "said_t50": None, "hatched_fraction": Range(0.99, 1.0, 1.0)}
    return late(
        **{**given, "hatch_t50": passed, "hatch_t90": passed, "mean_c": 25.6, "overdue": True, **changed}
    )


def harvest(**changed):
    """A cone whose harvest opens in the afternoon."""
    opens = TimeRange(local(15, 15), local(15, 16), local(15, 18))
    closes = TimeRange(local(16, 1), local(16, 4), local(16, 9))
    return of(HarvestNews, ("cone", 1, opens, closes, Range(0.6, 0.72, 0.84), False, 2000.0, False), changed)


def unseen_harvest(**changed):
    """A cone whose harvest opens and closes in the night, while there is a choice."""
    opens = TimeRange(local(15, 21), local(15, 22), local(15, 23))
    closes = TimeRange(local(16, 3), local(16, 5), local(16, 9))
    unseen = UnseenWindow(local(15, 15, 30), Range(0.4, 0.55, 0.7), local(18, 8))
    return harvest(**{"opens_at": opens, "closes_at": closes, "unseen": unseen, **changed})


def feed(**changed):
    """A tray on its fourth day."""
    able = TimeRange(local(13, 8), local(13, 12), local(13, 18))
    return of(FeedNews, ("tray-a", 24, local(12, 9), able, None, False, 245.0, True), changed)


def off_vessel(**changed):
    """A tray that cooled while the station was off, its lamp still lit."""
    return of(OutageVessel, ("tray-a", 24, 25.1, 22.3, Range(0.6, 1.4, 2.9), True, "hatching"), changed)


def outage(*vessels, **changed):
    """A station that was off for a night's part."""
    off = Span(local(15, 2, 10), local(15, 9, 25))
    return of(OutageNews, (off, True, vessels or (off_vessel(),)), changed)


def clock_trouble(**changed):
    """A clock that had no sure time."""
    return of(ClockTrouble, (local(15, 9, 25), None, 0), changed)


def storage(**changed):
    """A card nearly full."""
    return of(StorageTrouble, (84.0, 200.0, local(15, 8, 40)), changed)


def store_lost(**changed):
    """A store that was damaged, and a backup of the morning."""
    return of(
        StoreLost, (local(15, 9, 25), "station.db.broken-2027-01-15", local(15, 3), ("tray-a",)), changed
    )


def store_saved(**changed):
    """A store that somebody replaced while the station ran."""
    return of(StoreSaved, (local(15, 9, 25), "station.db.broken-2027-01-15"), changed)


def rows_spoiled(**changed):
    """Rows of every sort that a card spoiled."""
    return of(RowsSpoiled, (local(15, 9, 25), 3, 1, 2, ("tray-a",)), changed)


def file_overlooked(**changed):
    """A station file with a typo in it."""
    path = "/etc/naupliad/station.toml"
    faults = (
        f"{path}: vessel[1].low_ml: found nothing; allowed: this key must be given",
        f"{path}: vessel[1].lw_ml: found an unknown key (did you mean low_ml?); allowed: id, count, kind",
    )
    return of(FileOverlooked, (local(15, 9, 25), path, faults, local(3, 9)), changed)


def record_full(**changed):
    """A record that nobody has collected for half a year."""
    return of(RecordFull, (local(15, 9, 25), RecordWaits(20_000, local(3, 9))), changed)


def card_failed(*read, **changed):
    """A card that fails while a tray is watched."""
    known = read or (LastRead("tray-a", 24, 24.5, local(15, 9, 20)),)
    return of(CardFailed, (local(15, 9, 25), "failing", known), changed)


def card_back(**changed):
    """A card that was full for the morning."""
    return of(CardBack, (local(15, 9, 25), local(15, 12, 1), "full", ("tray-a",)), changed)


def returned_vessel(**changed):
    """A tray on Monday morning."""
    cool = PastAlarm("cold", "the water was too cold", Span(local(16, 4), local(16, 9)))
    given = (
        *(
            "tray-a",
            24,
            read(24.3, local(18, 7, 10)),
            17.8,
            26.1,
            Range(24.0, 33.0, 45.0),
            Range(27.4, 28.6, 30.4),
            33.0,
        ),
        *(Range(0.93, 0.98, 1.0), T50, (), (cool,), None, "cup", "hatched", None, None),
    )
    return of(ReturnVessel, given, in_readings(changed, "water_c"))


def returned(*vessels, **changed):
    """Monday morning after a weekend."""
    given = (WEEKEND, vessels or (returned_vessel(),), (), (), 23_220, 23_190)
    return of(ReturnNews, given, changed)


def monday(setting):
    """The same, written on the morning of the return."""
    return replace(
        setting, written_at=local(18, 7, 15), returns_at=local(18, 8), next_letter_at=local(18, 20)
    )


STILL_HOT = (Event(local(17, 14), "hot", "the water is too warm"),)
STILL_COLD = (Event(local(17, 14), "cold", "the water is too cold"),)
