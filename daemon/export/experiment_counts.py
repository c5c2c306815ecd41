"""What was counted in an experiment, as the table that `naupliad experiment result` reads."""

import csv
import sqlite3
from io import StringIO

from daemon.planning.experiment.counts_file import HEADER
from daemon.store import experiments
from daemon.store.experiments import Experiment


def counts_table(connection: sqlite3.Connection, one: Experiment) -> str:
    """The counts that stand: `level,cup,of,hatched`, with `hours` behind where they were given."""
    rows, text = experiments.cup_counts(connection, one), StringIO()
    with_hours = any(row.hours is not None for row in rows)
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow((*HEADER, *(["hours"] if with_hours else [])))
    for row in rows:
        hours = [f"{row.hours:g}"] if row.hours is not None else []
        writer.writerow((row.level, row.cup, row.of, row.hatched, *hours))
    return text.getvalue()
