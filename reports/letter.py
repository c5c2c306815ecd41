"""Every letter, by its kind: plain records in, words out. The words themselves stand a module a subject."""

from reports.letter_care import hatch_letter, probe_letter, sample_letter, water_letter
from reports.letter_digest import digest_letter, late_note, late_subject
from reports.letter_leave import leave_letter
from reports.letter_nightly import CHART_CID, nightly_letter
from reports.letter_page import numbered
from reports.letter_trouble import cold_letter, hot_letter, lamp_letter

__all__ = [
    "CHART_CID",
    "cold_letter",
    "digest_letter",
    "hatch_letter",
    "hot_letter",
    "lamp_letter",
    "late_note",
    "late_subject",
    "leave_letter",
    "nightly_letter",
    "numbered",
    "probe_letter",
    "sample_letter",
    "water_letter",
]
