"""The tables of an export, described: their columns, keys and what refers to what."""

from daemon.care.deed import KINDS
from daemon.export.columns import Column, DataTable, moment
from daemon.export.units import QUANTITIES
from sensors.reading import Measure, Quality

_UNIT = Column("unit", "string", "unit of the numbers in this row; 1: a share, or yes (1) and no (0)")
_STATES = ("held", "queued", "sent", "parked", "merged")

PROBES = DataTable(
    "probes",
    "Probes",
    "What measures. By the station file used last; a probe that it no longer has is known by its id alone.",
    (
        Column("id", "string", "the probe's name", given=True),
        Column("measures", "string", "what it measures", choices=tuple(Measure)),
        _UNIT,
        Column("driver", "string", "how it is read"),
        Column("vessels", "string", "ids of the vessels it belongs to, a blank between them"),
    ),
    ("id",),
)
VESSELS = DataTable(
    "vessels",
    "Vessels",
    "What is watched. By the station file used last; a vessel that it no longer has is known by its id "
    "alone. Volumes and surface are of one cup.",
    (
        Column("id", "string", "the vessel's name", given=True),
        Column("kind", "string", "cup, jar or cone"),
        Column("count", "integer", "how many like cups it stands for", least=1),
        Column("mark_ml", "number", "what one holds when filled to its mark", "mL"),
        Column("low_ml", "number", "how far below the mark the water may fall", "mL"),
        Column("brim_ml", "number", "how far above the mark it may be filled", "mL"),
        Column("surface_cm2", "number", "the water's surface", "cm²"),
        Column("cold_c", "number", "colder water raises an alarm", "°C"),
        Column("hot_c", "number", "hotter water raises an alarm", "°C"),
        Column("probes", "string", "ids of its probes, a blank between them"),
    ),
    ("id",),
)
READINGS = DataTable(
    "readings",
    "Readings",
    "What the probes read. Of readings older than the station keeps whole, one good one an hour is left.",
    (
        *moment("at", "when it was read", given=True),
        Column("probe", "string", "which probe", given=True),
        Column("measures", "string", "what the probe measures", choices=tuple(Measure)),
        _UNIT,
        Column("value", "number", "what was read; empty where the device gave nothing"),
        Column(
            "quality",
            "string",
            "good, or why the value is not believed: absent (no answer), crc (garbled on the wire), reset "
            "(a value of power-on), range (beyond what can be), jump (it changed as water does not), stuck "
            "(it no longer changes), in-air (the probe hung in air)",
            given=True,
            choices=tuple(Quality),
        ),
    ),
    ("at_utc", "probe"),
    {"probe": "probes"},
)
ESTIMATES = DataTable(
    "estimates",
    "Estimates",
    "What was believed, calculated from readings and deeds: the truth should lie between p10 and p90 four "
    "times in five. A hatch 30 days ahead and a low mark 60 days ahead stand for: not known yet.",
    (
        *moment("at", "when it was believed", given=True),
        Column("vessel", "string", "of which vessel; volumes are of one cup", given=True),
        Column("quantity", "string", "what is estimated", given=True, choices=tuple(QUANTITIES)),
        Column("unit", "string", "unit of p10, p50 and p90; s: seconds since 1970-01-01T00:00:00Z"),
        Column("p10", "number", "one time in ten the truth is believed to lie below", given=True),
        Column("p50", "number", "the middle", given=True),
        Column("p90", "number", "one time in ten the truth is believed to lie above", given=True),
        *moment("p10", "the same as a moment, where the quantity is one"),
        *moment("p50", "the same as a moment, where the quantity is one"),
        *moment("p90", "the same as a moment, where the quantity is one"),
    ),
    ("vessel", "quantity", "at_utc"),
    {"vessel": "vessels"},
)
DEEDS = DataTable(
    "deeds",
    "Deeds",
    "The care log: what people did. Amounts are of one cup. What was withdrawn or replaced is kept.",
    (
        Column("id", "integer", "number of the entry", given=True),
        *moment("at", "when it was done", given=True),
        Column("vessel", "string", "to which vessel", given=True),
        Column("deed", "string", "what was done", given=True, choices=tuple(KINDS)),
        Column("amount", "number", "how much of it, in the unit of this row"),
        Column("unit", "string", "unit of the amount"),
        Column("detail", "string", "key=value pairs with ; between them, as the care log's files have them"),
        *moment("recorded_at", "when it was recorded", given=True),
        *moment("withdrawn_at", "when it was taken back or replaced; empty while it stands"),
        Column("replaces", "integer", "id of the entry that it was put in the place of"),
    ),
    ("id",),
    {"vessel": "vessels"},
    ("replaces",),
)
LETTERS = DataTable(
    "letters",
    "Letters",
    "What was written, and what became of it; neither its words nor to whom it went.",
    (
        Column("id", "integer", "in the order in which they were begun", given=True),
        Column("number", "integer", "the station's running number, given with the words"),
        *moment("at", "when it was begun", given=True),
        Column("kind", "string", "what kind of letter", given=True),
        Column("subject", "string", "its subject; a working title until it is written"),
        Column("state", "string", "what became of it", given=True, choices=_STATES),
        Column("attempts", "integer", "how often it was tried", given=True, least=0),
        *moment("due_at", "when it may next go"),
        *moment("written_at", "when it got its words"),
        *moment("sent_at", "when it was first taken"),
        Column("about", "string", "ids of the vessels or probes it speaks of, a blank between them"),
        Column("merged_into", "integer", "id of the letter that speaks of it instead"),
    ),
    ("id",),
    refers_within=("merged_into",),
)
TABLES = (PROBES, VESSELS, READINGS, ESTIMATES, DEEDS, LETTERS)
