"""Experiments in the store: design, seats, counts. A count is never changed: it is withdrawn, and perhaps
replaced by another."""

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from typing import Any

from daemon.planning.experiment.counts import MOST_HOURS, CupCount, LostCup
from daemon.planning.experiment.design import ExperimentDesign, Seat, seat_map
from daemon.planning.experiment.level import known_of


@dataclass(frozen=True, slots=True)
class Experiment:
    """An experiment that was begun, `at` Unix seconds, with its seats block by block. Its codes are none of
    those `avoided`, which stood in others then."""

    id: int
    at: int
    design: ExperimentDesign
    seats: tuple[Seat, ...]
    avoided: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Counted:
    """What somebody counted in the cup of a code: so many `hatched` of its `cysts`, `hours` after it was set
    and in water of `water_c` on average until then, where that was said."""

    code: str
    hatched: int
    cysts: int
    hours: float | None = None
    water_c: float | None = None

    @property
    def what(self) -> tuple[str, float | None]:
        """Of one cup at one hour one count stands."""
        return self.code, self.hours


@dataclass(frozen=True, slots=True)
class CountEntry:
    """A count as it stands in the store.

    `at` and `withdrawn_at` are when it was written down and taken back, Unix seconds.
    """

    id: int
    at: int
    counted: Counted
    withdrawn_at: int | None
    replaces: int | None


def add(connection: sqlite3.Connection, design: ExperimentDesign, at: int) -> int:
    """Keep an experiment with its seats; its id. Its codes are none of those that are about then."""
    avoided = codes_about(connection, at)
    seats = seat_map(design, avoided)
    cursor = connection.execute(
        "INSERT INTO experiment (id, at, idea, factor, levels, cups, cysts, near, seed, avoided) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            *(
                _next_id(connection),
                at,
                design.idea,
                design.factor,
                json.dumps(design.levels, ensure_ascii=False),
            ),
            *(design.cups, design.cysts, design.near, design.seed, json.dumps(avoided)),
        ),
    )
    experiment = int(cursor.lastrowid or 0)
    connection.executemany(
        "INSERT INTO experiment_seat (experiment, block, place, code, level) VALUES (?, ?, ?, ?, ?)",
        [(experiment, seat.block, seat.place, seat.code, seat.level) for seat in seats],
    )
    return experiment


def _next_id(connection: sqlite3.Connection) -> int:
    """A number that none has, nor one that was discarded."""
    ((newest,),) = connection.execute(
        "SELECT max(ifnull((SELECT max(id) FROM experiment), 0), "
        "ifnull((SELECT max(experiment) FROM experiment_seat), 0))"
    ).fetchall()
    return int(newest) + 1


def codes_about(connection: sqlite3.Connection, at: int) -> tuple[str, ...]:
    """The codes on cups that may still be counted at a time: of experiments begun within `MOST_HOURS`."""
    rows = connection.execute(
        "SELECT DISTINCT code FROM experiment_seat JOIN experiment ON experiment.id = experiment "
        "WHERE at > ? ORDER BY code",
        (at - round(MOST_HOURS * 3600),),
    )
    return tuple(code for (code,) in rows)


def discard(connection: sqlite3.Connection, experiment: int) -> None:
    """Delete an experiment and its seats: one in which nothing was ever counted.

    One seat stays, without its level: the number is never given again, since printed sheets may bear it.
    """
    seats = "experiment_seat WHERE experiment = ?"
    connection.execute(
        f"DELETE FROM {seats} AND (block, place) <> (SELECT block, place FROM {seats} LIMIT 1)",
        (experiment, experiment),
    )
    connection.execute("UPDATE experiment_seat SET level = '' WHERE experiment = ?", (experiment,))
    connection.execute("DELETE FROM experiment_lost WHERE experiment = ?", (experiment,))
    connection.execute("DELETE FROM experiment WHERE id = ?", (experiment,))


def find(connection: sqlite3.Connection, experiment: int) -> Experiment | None:
    """The experiment of that id, or None."""
    return next(iter(_experiments(connection, "WHERE id = ?", experiment)), None)


def every(connection: sqlite3.Connection) -> list[Experiment]:
    """All of them, the oldest first."""
    return _experiments(connection, "ORDER BY id")


def newest(connection: sqlite3.Connection) -> Experiment | None:
    """The one that was begun last, or None."""
    return next(iter(_experiments(connection, "ORDER BY id DESC LIMIT 1")), None)


def of_code(connection: sqlite3.Connection, code: str) -> Experiment | None:
    """The one that was begun last of those that have a cup of that code, or None."""
    which = "WHERE id IN (SELECT experiment FROM experiment_seat WHERE code = ?) ORDER BY id DESC LIMIT 1"
    return next(iter(_experiments(connection, which, code)), None)


def _experiments(connection: sqlite3.Connection, which: str, *values: int | str) -> list[Experiment]:
    rows = connection.execute(
        f"SELECT id, at, idea, factor, levels, cups, cysts, near, seed, avoided FROM experiment {which}",
        values,
    ).fetchall()
    return [_experiment(connection, row) for row in rows]


def _experiment(connection: sqlite3.Connection, row: tuple[Any, ...]) -> Experiment:
    design = ExperimentDesign(row[2], row[3], tuple(json.loads(row[4])), *row[5:9])
    avoided = tuple(json.loads(row[9]))
    return Experiment(row[0], row[1], design, _seats(connection, row[0], design, avoided), avoided)


def _seats(
    connection: sqlite3.Connection, experiment: int, design: ExperimentDesign, avoided: Sequence[str]
) -> tuple[Seat, ...]:
    """As they were kept; drawn anew by the seed where a spoiled row was set aside."""
    rows = connection.execute(
        "SELECT block, place, code, level FROM experiment_seat WHERE experiment = ? ORDER BY block, place",
        (experiment,),
    )
    kept = tuple(Seat(*row) for row in rows)
    return kept if len(kept) == design.cups * len(design.levels) else seat_map(design, avoided)


def add_count(
    connection: sqlite3.Connection, experiment: int, counted: Counted, at: int, replaces: int | None = None
) -> int:
    """Keep a count; its id."""
    cursor = connection.execute(
        "INSERT INTO experiment_count (at, experiment, code, hatched, cysts, hours, water_c, replaces) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        (at, experiment, *astuple(counted), replaces),
    )
    return int(cursor.lastrowid or 0)


def withdraw_count(connection: sqlite3.Connection, count: int, at: int) -> None:
    """Mark a count as taken back."""
    connection.execute("UPDATE experiment_count SET withdrawn_at = ? WHERE id = ?", (at, count))


def counts(connection: sqlite3.Connection, experiment: int) -> list[CountEntry]:
    """All that was counted, what was withdrawn too, in the order in which it was written down."""
    rows = connection.execute(
        "SELECT id, at, code, hatched, cysts, hours, water_c, withdrawn_at, replaces FROM experiment_count "
        "WHERE experiment = ? ORDER BY id",
        (experiment,),
    )
    return [CountEntry(row[0], row[1], Counted(*row[2:7]), *row[7:]) for row in rows]


def standing(connection: sqlite3.Connection, experiment: int) -> list[CountEntry]:
    """The counts that stand, one of each cup and hour."""
    return [one for one in counts(connection, experiment) if one.withdrawn_at is None]


def lose(connection: sqlite3.Connection, experiment: int, code: str, at: int, why: str | None = None) -> bool:
    """Keep that a cup is lost, and `why` (one of `WHY_LOST`) where that was said; whether that is new."""
    if code in lost(connection, experiment):
        return False
    connection.execute(
        "INSERT INTO experiment_lost (at, experiment, code, why) VALUES (?, ?, ?, ?)",
        (at, experiment, code, why),
    )
    return True


def take_back_lost(connection: sqlite3.Connection, experiment: int, code: str, at: int) -> bool:
    """Mark that a cup is not lost after all; whether it was."""
    withdrawn = connection.execute(
        "UPDATE experiment_lost SET withdrawn_at = ? "
        "WHERE experiment = ? AND code = ? AND withdrawn_at IS NULL",
        (at, experiment, code),
    )
    return withdrawn.rowcount > 0


def lost(connection: sqlite3.Connection, experiment: int) -> list[str]:
    """The codes of the cups that are lost, by the alphabet."""
    rows = connection.execute(
        "SELECT DISTINCT code FROM experiment_lost WHERE experiment = ? AND withdrawn_at IS NULL "
        "ORDER BY code",
        (experiment,),
    )
    return [code for (code,) in rows]


def lost_cups(connection: sqlite3.Connection, experiment: Experiment) -> list[LostCup]:
    """The cups that are lost, by level and code: when that was noted, and why."""
    of_code = {seat.code: seat.level for seat in experiment.seats}
    rows = connection.execute(
        "SELECT code, min(at), why FROM experiment_lost WHERE experiment = ? AND withdrawn_at IS NULL "
        "GROUP BY code ORDER BY code",
        (experiment.id,),
    )
    lost = [LostCup(of_code[code], code, at, why) for code, at, why in rows if code in of_code]
    return sorted(lost, key=lambda cup: experiment.design.levels.index(cup.level))


def uncounted(connection: sqlite3.Connection, experiment: Experiment) -> list[Seat]:
    """The cups that are neither counted, at any hour, nor lost, by code."""
    done = {entry.counted.code for entry in standing(connection, experiment.id)}
    done |= set(lost(connection, experiment.id))
    seats = (seat for seat in experiment.seats if seat.code not in done)
    return sorted(seats, key=lambda seat: seat.code)


def cup_counts(connection: sqlite3.Connection, experiment: Experiment) -> list[CupCount]:
    """The counts that stand, with their levels: level by level as in the design, then by code and hour.

    Where warmth is changed, its level in °C is the water's temperature unless the count says one; where salt
    is, its level in g/L is the salt.
    """
    of_code = {seat.code: seat.level for seat in experiment.seats}
    counts = [
        CupCount(
            of_code[one.code],
            one.code,
            one.cysts,
            one.hatched,
            one.hours,
            *_known(experiment.design.factor, of_code[one.code], one),
        )
        for entry in standing(connection, experiment.id)
        if (one := entry.counted).code in of_code
    ]
    place = experiment.design.levels.index
    return sorted(counts, key=lambda one: (place(one.level), one.cup, one.hours or 0.0))


def _known(factor: str, level: str, counted: Counted) -> tuple[float | None, float | None]:
    """The water's temperature and salt: what was measured goes before what a level says."""
    water_c, salt_g_per_l = known_of(factor, level)
    return (water_c if counted.water_c is None else counted.water_c), salt_g_per_l
