"""Every letter, by its kind: plain records in, words out. The words themselves stand a module a subject."""

from reports.letters.ahead import cold_ahead_letter, hot_ahead_letter
from reports.letters.animals import feed_letter, harvest_letter
from reports.letters.card import card_back_letter, card_failed_letter
from reports.letters.care import hatch_letter, sample_letter, water_letter
from reports.letters.digest import digest_letter, late_note, late_subject
from reports.letters.file import file_overlooked_letter
from reports.letters.lamp import lamp_letter
from reports.letters.late import late_hatch_letter
from reports.letters.leave import leave_letter
from reports.letters.nightly import CHART_CID, nightly_letter
from reports.letters.page import lead_of, numbered
from reports.letters.place import lamp_stays_on_letter, swing_letter
from reports.letters.probe import probe_letter
from reports.letters.returning import return_letter
from reports.letters.salt import salinity_letter
from reports.letters.station import clock_letter, outage_letter, storage_letter
from reports.letters.store import store_lost_letter
from reports.letters.trouble import cold_letter, hot_letter

__all__ = [
    "CHART_CID",
    "card_back_letter",
    "card_failed_letter",
    "clock_letter",
    "cold_ahead_letter",
    "cold_letter",
    "digest_letter",
    "feed_letter",
    "file_overlooked_letter",
    "harvest_letter",
    "hatch_letter",
    "hot_ahead_letter",
    "hot_letter",
    "lamp_letter",
    "lamp_stays_on_letter",
    "late_hatch_letter",
    "late_note",
    "late_subject",
    "lead_of",
    "leave_letter",
    "nightly_letter",
    "numbered",
    "outage_letter",
    "probe_letter",
    "return_letter",
    "salinity_letter",
    "sample_letter",
    "storage_letter",
    "store_lost_letter",
    "swing_letter",
    "water_letter",
]
