"""What was counted in an experiment, as the table that `naupliad experiment result` reads."""

import csv
import sqlite3
from io import StringIO

from daemon.planning.experiment.counts import CupCount
from daemon.planning.experiment.counts_file import HEADER, OPTIONAL
from daemon.store import experiments
from daemon.store.experiments import Experiment


def counts_table(connection: sqlite3.Connection, one: Experiment) -> str:
    """The counts that stand: `level,cup,of,hatched`, and behind them what else is known of some."""
    rows, text = experiments.cup_counts(connection, one), StringIO()
    known = [name for name in OPTIONAL if any(getattr(row, name) is not None for row in rows)]
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow((*HEADER, *known))
    for row in rows:
        writer.writerow((row.level, row.cup, row.of, row.hatched, *(_cell(row, name) for name in known)))
    return text.getvalue()


def _cell(row: CupCount, name: str) -> str:
    value = getattr(row, name)
    return "" if value is None else f"{value:g}"
