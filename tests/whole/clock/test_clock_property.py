"""Whatever a machine's clock does: once it is right, what was stamped has the times at which it happened."""

import sqlite3
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.clock_keeper import Keeper
from tests.kit.undrawn import undrawn
from tests.kit.unsure_machine import Machine

LISBON = ZoneInfo("Europe/Lisbon")
HOURS = st.integers(-300, 300).map(lambda tenths: tenths * 360)
ACTION = st.one_of(
    st.tuples(st.just("run"), st.integers(1, 20)),
    st.tuples(st.just("kill"), st.just(0)),
    st.tuples(st.just("restart wrong"), HOURS),
    st.tuples(st.just("restart right"), st.just(0)),
    st.tuples(st.just("step"), HOURS),
    st.tuples(st.just("set right"), st.just(0)),
    st.tuples(st.just("there and back"), HOURS.map(abs)),
    st.tuples(st.just("there, killed and back"), HOURS.map(abs)),
)


def play(machine: Machine, actions: Sequence[tuple[str, int]]) -> list[tuple[int, int]]:
    """Do it all, then set the clock right; stretches of reading numbers whose start learned the time."""
    known: list[tuple[int, int]] = []
    first = 0
    for number, (do, by) in enumerate([*actions, ("set right", 0), ("run", 2)]):
        if do == "run":
            machine.run(by)
        elif do == "kill":
            machine.kill()
        elif do.startswith("restart"):
            if machine.told is Keeper.NETWORK:
                known.append((first, len(machine.read)))
            first = len(machine.read)
            machine.off(1800 + 977 * number, by, Keeper.NOBODY if do == "restart wrong" else Keeper.NETWORK)
        elif do == "step" and machine.told is Keeper.NOBODY:
            machine.error += by
        elif do.startswith("there") and machine.told is Keeper.NETWORK and machine.home is not None:
            machine.error = by
            machine.run(3)
            if "killed" in do:
                machine.kill()
            machine.error = 0
            machine.run(1)
        elif do == "set right":
            if machine.told is Keeper.NOBODY and machine.home is not None:
                machine.run(1)
            machine.error, machine.told = 0, Keeper.NETWORK
            machine.run(1)
    return [*known, (first, len(machine.read))]


@settings(max_examples=25, deadline=None)
@given(st.lists(ACTION, max_size=9))
def test_what_is_stored_has_its_true_time_once_the_clock_is_right_and_nothing_is_lost(
    actions: list[tuple[str, int]],
) -> None:
    with TemporaryDirectory() as folder, undrawn():
        machine = Machine(Path(folder))
        machine.run(3)
        known = play(machine, actions)
        assert machine.store is not None
        connection = machine.store.connection
        rows = connection.execute(
            "SELECT at, value FROM reading WHERE probe = 'room-air' ORDER BY at"
        ).fetchall()
        assert [round((value - 15.0) * 1000) for _, value in rows] == list(range(len(machine.read)))
        for began, ended in known:
            assert [at for at, _ in rows[began:ended]] == machine.read[began:ended]
        assert rows == sorted(rows)
        check_letters(machine, connection)
        machine.kill()


def check_letters(machine: Machine, connection: sqlite3.Connection) -> None:
    """No night is told twice, and no other matter; a letter that is kept was sent once."""
    nights = [
        datetime.fromtimestamp(at, LISBON).date()
        for (at,) in connection.execute("SELECT at FROM letter WHERE kind = 'nightly' AND state = 'sent'")
    ]
    assert len(nights) == len(set(nights))
    (sent,) = connection.execute("SELECT count(*) FROM letter WHERE state = 'sent'").fetchone()
    assert sent == len(machine.sent)
    assert not connection.execute("SELECT 1 FROM letter WHERE sent_at > ?", (machine.true,)).fetchone()
    doubles = "SELECT began FROM outage GROUP BY began HAVING count(*) > 1"
    assert not connection.execute(doubles).fetchall()
    (deed_at,) = connection.execute("SELECT at FROM deed").fetchone()
    assert deed_at == machine.deeds[0]
