"""A child that makes the night's letter and draws its chart, and gives its memory back: both its ends.

A night's record, its words and what they are made with take some MB, which Python keeps. The child is `python
-m daemon.letters.night_child STATE`; it reads the store and writes nothing but the chart. It is asked on
standard input and answers on standard output, by JSON.
"""

import json
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import asdict
from functools import partial
from pathlib import Path

from daemon.letters.nights import NightAsked, NightTold
from reports.chart.child_process import TIMEOUT_S, answer_of
from reports.records import LetterText

CHILD = (sys.executable, "-m", "daemon.letters.night_child")


class NightsInChild:
    """Has a child make each. Raises DrawingError where that fails."""

    def __init__(self, folder: Path, *, child: Sequence[str] = CHILD) -> None:
        """`folder` is the station's state folder."""
        self._words = [*child, str(folder.resolve())]

    def begin(self, asked: NightAsked) -> Callable[[], NightTold]:
        """Nothing is done yet."""
        return partial(self._told, asked)

    def _told(self, asked: NightAsked) -> NightTold:
        told = json.loads(answer_of(self._words, json.dumps(asdict(asked)), TIMEOUT_S))
        png = Path(told["chart"]).read_bytes() if told["chart"] else None
        return NightTold(LetterText(**told["text"]), png, told["trouble"])


def main(arguments: Sequence[str]) -> int:
    """Make the night that is asked for on standard input, of the state folder named by the one argument."""
    from daemon.config import parse_station  # what only the child needs is no weight on who starts it
    from daemon.letters.night_record import chart_path, night_of
    from daemon.letters.nights import NightsHere
    from daemon.store.file import open_for_reading
    from daemon.store.runs import station_file
    from reports.chart.child_process import limit_itself, write_whole
    from reports.records import NightRecord

    limit_itself()

    def draw(record: NightRecord, out: Path) -> None:
        from reports.chart.night_chart import draw_night

        write_whole(out, draw_night(record))

    folder, asked = Path(arguments[0]), NightAsked(**json.loads(sys.stdin.read()))
    with closing(open_for_reading(folder)) as connection:
        station = parse_station(station_file(connection) or "", str(folder))
        told = NightsHere(station, connection, folder, draw).begin(asked)()
    chart = str(chart_path(folder, night_of(station, asked.due_at))) if told.png else None
    answer = {"text": asdict(told.text), "chart": chart, "trouble": told.trouble}
    sys.stdout.write(json.dumps(answer))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
