"""What a row of the store must be to be true, as conditions of SQL: for CHECKs, and for looking at rows.

A bound says what no station can ever have written, not what is likely: a row that breaks one was spoiled.
"""

from collections.abc import Mapping

_QUALITIES = "'good', 'absent', 'crc', 'reset', 'range', 'jump', 'stuck', 'in-air'"
_ALARM_STATES = (
    "'normal', 'unacknowledged', 'acknowledged', 'returned to normal unacknowledged', 'shelved', "
    "'suppressed by design', 'out of service'"
)


def moments(*columns: str) -> tuple[str, ...]:
    """Unix seconds up to the year 2242; times put right pass through negative ones."""
    return tuple(f"{column} BETWEEN -8589934592 AND 8589934592" for column in columns)


def names(*columns: str) -> tuple[str, ...]:
    """As the station file allows names: no letter beyond ASCII, so that no torn one can be among them.

    GLOB and the length of a text end with its first NUL, behind which anything may stand.
    """
    return tuple(
        f"{column} NOT GLOB '*[^!-~]*' AND length({column}) = length(CAST({column} AS BLOB))"
        for column in columns
    )


def _json(column: str, kind: str) -> str:
    return f"CASE WHEN json_valid({column}) THEN json_type({column}) = '{kind}' ELSE 0 END"


def _all_of(column: str, *kinds: str) -> str:
    """Whether all that a column of JSON holds is of these types."""
    others = f"SELECT 1 FROM json_each({column}) WHERE json_each.type NOT IN ({str(kinds).strip('(),')})"
    return f"CASE WHEN json_valid({column}) THEN NOT EXISTS ({others}) ELSE 1 END"


# By table. Where one changes, a migration rewrites its CHECKs (daemon/store/spoiled_rows.py: `with_checks`).
RULES: Mapping[str, tuple[str, ...]] = {
    "reading": (
        *moments("at"),
        *names("probe"),
        "abs(value) < 1e9",
        f"quality IN ({_QUALITIES})",
        "quality <> 'good' OR value IS NOT NULL",
    ),
    "estimate": (*moments("at"), *names("vessel", "quantity")),
    "deed": (
        *moments("at", "withdrawn_at", "recorded_at"),
        *names("vessel"),
        "abs(amount) < 1e12",
        _json("detail", "object"),
    ),
    "alarm": (
        *moments("at", "since"),
        *names("vessel", "condition", "probe"),
        f"state IN ({_ALARM_STATES})",
    ),
    "letter": (
        *moments("at", "due_at", "sent_at", "written_at"),
        "attempts BETWEEN 0 AND 1000000000",
        "number BETWEEN 1 AND 1000000000",
        _json("about", "array"),
    ),
    "delivery": (*moments("due_at", "sent_at"), "attempts BETWEEN 0 AND 1000000000"),
    "shelf": (*moments("at", "until", "lifted_at"), *names("vessel", "condition")),
    "outage": (*moments("began", "ended"), "ended >= began", "clock_trusted IN (0, 1)"),
    "clock_step": (*moments("at"), "step_s BETWEEN -17179869184 AND 17179869184"),
    "doubt": (*moments("at"), *names("probe")),
    "job_run": moments("at"),
    "said_once": moments("at"),
    "station_file": moments("at"),
    "station_file_fault": (*moments("at"), "place >= 0"),
    "store_set_aside": moments("at"),
    "store_gone": (*moments("at"), "saved IN (0, 1)"),
    "card_failure": (*moments("began", "ended"), "found IN ('full', 'read-only', 'failing')"),
    "thinned": moments("until"),
    "boot": (
        *moments("began", "sure_at", "moved_at"),
        "abs(ahead_s) < 1e11",
        "trusted IN (0, 1)",
        "moved_s BETWEEN -17179869184 AND 17179869184",
        "restamped >= 0",
    ),
    "planned_start": (
        *moments("at", "set_at", "good_from", "good_until", "lesson_began", "lesson_ended", "withdrawn_at"),
        *names("vessel"),
        "good_until >= good_from",
        "lesson_ended > lesson_began",
    ),
    "tin_test": (
        *moments("at", "withdrawn_at"),
        "length(lot) BETWEEN 1 AND 80",
        "put BETWEEN 1 AND 10000",
        "hatched BETWEEN 0 AND put",
        "hours BETWEEN 0.1 AND 336",
        "water_c BETWEEN 4 AND 33",
    ),
    "tin_test_stages": ("umbrella BETWEEN 0 AND 10000", "full_left BETWEEN 0 AND 10000"),
    "experiment": (
        *moments("at"),
        *names("near"),
        "cups BETWEEN 1 AND 1000",
        "cysts BETWEEN 1 AND 1000000",
        "seed >= 0",
        _json("levels", "array"),
        _json("avoided", "array"),
    ),
    "experiment_seat": (*names("code"), "block BETWEEN 1 AND 1000", "place BETWEEN 1 AND 1000"),
    "experiment_count": (
        *moments("at", "withdrawn_at"),
        *names("code"),
        "hatched BETWEEN 0 AND cysts",
        "cysts BETWEEN 1 AND 1000000",
        "hours BETWEEN 0 AND 1000000",
    ),
    "experiment_lost": (*moments("at", "withdrawn_at"), *names("code")),
    "outbox": (
        "n BETWEEN 1 AND 9007199254740991",
        "kind IN ('hour', 'alarm', 'deed', 'estimate', 'letter')",
        "key NOT GLOB '*[^0-9]*'",
        "length(key) BETWEEN 1 AND 19",
        "sent IN (0, 1)",
    ),
    "outbox_to": (*names("key"), "store > 0", *moments("answered_at")),
}

# What no CHECK may ask, as it looks into other rows or further than a schema should.
LOOKED_AT: Mapping[str, tuple[str, ...]] = {
    "deed": (_all_of("detail", "real", "integer", "text"),),
    "letter": (_all_of("about", "text"),),
    "experiment": (_all_of("levels", "text"), _all_of("avoided", "text")),
}
