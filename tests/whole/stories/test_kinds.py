"""Every kind of station: plain days without a false letter, and each failure told once and in its window.

Short forms of tests/bench/kinds.py, which plays every failure in every kind and writes the page about it.
"""

import pytest

from tests.bench.kinds import applies, cell, table
from tests.kit.checkout import DOCS
from tests.kit.kinds.failures import FAILURES
from tests.kit.kinds.stations import KINDS
from tests.kit.kinds.trial import PLAIN, Outcome, trial

PAGE = DOCS / "explanation" / "kinds.md"
DAYS = 30
SHORT = [("no batch", "probe unplugged", 0)]


def in_turn() -> list[tuple[str, str, int]]:
    """Each failure in one kind that it can happen to, the next kind for each next failure."""
    kinds = [kind for kind in KINDS if kind != "six cups"]  # six take as long as all others
    can = {failure: [kind for kind in kinds if applies(kind, failure)] for failure in FAILURES}
    return [(can[what][place % len(can[what])], what, 0) for place, what in enumerate(FAILURES)]


LONG = [
    *((kind, PLAIN, DAYS) for kind in KINDS if kind != "six cups"),
    ("six cups", PLAIN, 9),
    *(case for case in in_turn() if case not in SHORT),
]
# What a plain night may say instead of "all well": of a cone between two batches. Water that may be low
# before somebody is back, one time in ten, is to be filled up.
NOT_WELL = ("all well", "nothing watched", "water to fill up")
# A cone that is set twice a week has two letters of a harvest that must not be missed for each.
PLANNED = {"cone": 4}


def faults(of: Outcome) -> list[str]:
    """What is not as it should be, in words."""
    found = ["missed"] if of.missed else []
    found += [f"again: {letter.subject}" for letter in of.again]
    found += [f"not asked for: {letter.subject}" for letter in of.not_asked_for]
    found += (
        [f"{of.most_planned_a_week} planned in a week"]
        if of.most_planned_a_week > PLANNED.get(of.kind, 3)
        else []
    )
    if of.failure == PLAIN:
        nights = (night.subject for night in of.nights)
        found += [night for night in nights if not any(said in night for said in NOT_WELL)]
    return found


@pytest.mark.parametrize(
    ("kind", "what", "days"), [*SHORT, *(pytest.param(*case, marks=pytest.mark.long) for case in LONG)]
)
def test_a_failure_is_told_once_in_its_window_and_nothing_else_is(kind: str, what: str, days: int) -> None:
    of = trial(kind, what, days)
    assert faults(of) == []
    if what == PLAIN:
        assert len(of.nights) == days
    if (kind, what, days) in SHORT and days == 0:
        assert cell(of) == on_the_page(kind, what)


def on_the_page(kind: str, what: str) -> str:
    """What the page says of a trial."""
    rows = [
        [part.strip() for part in line.strip("|").split("|")]
        for line in PAGE.read_text("utf-8").splitlines()
        if line.startswith("|")
    ]
    name = f"nothing, for {DAYS} days" if what == PLAIN else what
    return next(row for row in rows if row[0] == name)[rows[0].index(kind)]


def test_the_page_has_every_kind_and_every_failure() -> None:
    _, _, tells = table({}, list(KINDS), [PLAIN, *FAILURES], DAYS).partition("\n\n")
    assert tells in PAGE.read_text("utf-8")
    for kind in KINDS:
        for what in (PLAIN, *FAILURES):
            assert (on_the_page(kind, what) == "–") is not applies(kind, what)
