"""What was counted in an experiment, as the table that `naupliad experiment result` reads."""

import csv
import sqlite3
from datetime import UTC, datetime
from io import StringIO

from daemon.planning.experiment.counts import CupCount
from daemon.planning.experiment.counts_header import HEADER, LOST, OPTIONAL
from daemon.store import experiments
from daemon.store.experiments import Experiment


def counts_table(connection: sqlite3.Connection, one: Experiment) -> str:
    """The counts that stand: `level,cup,of,hatched`, and behind them what else is known of some.

    A cup that is lost has a row of its own, with when it was noted and why, and without a count.
    One that is not counted yet has a row without a count, so that a result can say that it is missing.
    """
    rows, text = experiments.cup_counts(connection, one), StringIO()
    lost = experiments.lost_cups(connection, one)
    known = [name for name in OPTIONAL if any(getattr(row, name) is not None for row in rows)]
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow((*HEADER, *known, *(LOST if lost else ())))
    nothing = [""] * len(LOST if lost else ())
    for row in rows:
        cells = (_cell(row, name) for name in known)
        writer.writerow((row.level, row.cup, row.of, row.hatched, *cells, *nothing))
    for cup in lost:
        at = datetime.fromtimestamp(cup.at, UTC).isoformat()
        writer.writerow((cup.level, cup.cup, "", "", *("" for _ in known), at, cup.why or ""))
    for seat in experiments.uncounted(connection, one):
        cells = ("" for _ in known)
        writer.writerow((seat.level, seat.code, one.design.cysts, "", *cells, *nothing))
    return text.getvalue()


def _cell(row: CupCount, name: str) -> str:
    value = getattr(row, name)
    return "" if value is None else f"{value:g}"
