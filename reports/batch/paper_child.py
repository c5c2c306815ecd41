"""The short-lived child that draws the report on paper, and the end that asks it.

It is `python -m reports.batch.paper_child OUT.pdf`, the report as JSON on standard input: limits, exit codes
and what is written whole are those of `reports.chart.child_process`.
"""

import json
import sys
from collections.abc import Sequence
from pathlib import Path

from reports.batch.account import BatchReport
from reports.batch.lines import lines_of
from reports.chart.child_process import TIMEOUT_S, answer_of, limit_itself, write_whole
from reports.language import spoken
from reports.night_json import from_json, to_json

CHILD = (sys.executable, "-m", "reports.batch.paper_child")


def draw_on_paper(report: BatchReport, out: Path, timeout_s: float = TIMEOUT_S) -> None:
    """Draw the report into `out`, or leave `out` as it was and raise DrawingError."""
    asked = {
        "title": report.title,
        "language": report.language,
        "lines": lines_of(report),
        "records": {name: to_json(record) for name, record in report.pictures.items()},
    }
    answer_of([*CHILD, str(out.resolve())], json.dumps(asked), timeout_s)


def main(arguments: Sequence[str]) -> int:
    """Draw the report on standard input into the file named by the one argument."""
    out = Path(arguments[0])
    limit_itself()
    asked = json.loads(sys.stdin.buffer.read().decode("utf-8"))
    try:
        write_whole(out, _drawn(asked))
    except (OSError, MemoryError) as error:
        sys.stderr.write(f"{out}: not written ({error or 'out of memory'})\n")
        return 1
    return 0


def _drawn(asked: dict[str, object]) -> bytes:
    # Only here: the surroundings must stand first.
    from reports.chart.night_chart import figure_of
    from reports.chart.paper import draw_paper

    records = {name: from_json(text) for name, text in dict(asked["records"]).items()}  # type: ignore[call-overload]
    charts = {name: lambda record=record: figure_of(record) for name, record in records.items()}
    with spoken(str(asked["language"])):
        return draw_paper(str(asked["title"]), list(asked["lines"]), charts)  # type: ignore[call-overload]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
