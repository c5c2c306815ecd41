"""What a plan may rest on besides its options: a station file, records, and what they know of a tin."""

import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from daemon.cli.number_option import PLAIN, SHARE
from daemon.station import Station, Vessel

if TYPE_CHECKING:
    from daemon.planning.lot_share import CountedHatch
    from daemon.planning.tin_yield import TinYield
    from reports.planning.warned import AlarmedTin, UnknownTin

Command = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class PlanGround:
    """The station, None where none was named; its now (Unix s); what was counted of the tin.

    `tins` are those that are known; `watched` are the vessels of whose records it is, none where none were
    named.
    """

    station: Station | None
    now: int
    lot: str | None
    hatches: "Sequence[CountedHatch]"
    tins: tuple[str, ...] = ()
    watched: tuple[Vessel, ...] = ()

    @property
    def unknown_tin(self) -> "UnknownTin | None":
        """The tin that was named, where neither file nor records know it."""
        if not self.lot or self.lot in self.tins:
            return None
        from daemon.care.tin_name import tin_like
        from reports.planning.warned import UnknownTin

        return UnknownTin(self.lot, self.tins, tin_like(self.lot, self.tins))

    @property
    def alarmed_tin(self) -> "AlarmedTin | None":
        """The tin that was named, where something speaks against it."""
        if not self.hatches:
            return None
        from daemon.page.alarmed_tin import alarmed_tin

        return alarmed_tin(self.lot, self.hatches)

    def tin(self, cysts_per_g: float | None, hatchable_fraction: float | None) -> "TinYield":
        """What is believed of the tin, with what was given of it. Raises OutOfRange."""
        from daemon.planning.tin_yield import tin_of

        return tin_of(self.station, self.lot, self.now, cysts_per_g, hatchable_fraction, self.hatches)


def ground_options(command: Command) -> Command:
    """The options that say it, and what is known of the tin."""
    options = (
        click.option("--lot", help="The tin, as the care log calls it."),
        click.option("--cysts-per-g", type=PLAIN, help="Cysts in a gram, where the tin or a count says so."),
        click.option(
            "--hatchable-fraction", type=SHARE, help="The share that hatched in a test, such as 0.76."
        ),
        click.option(
            "--config",
            type=click.Path(path_type=Path, readable=False),
            help="The station file: its vessels, tins, hours and language.",
        ),
        click.option(
            "--state",
            type=click.Path(path_type=Path, readable=False),
            help="The folder with station.db: what was counted of the tin.",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


@contextmanager
def plan_ground(config: Path | None, state: Path | None, lot: str | None) -> Iterator[PlanGround]:
    """What was named; the station of `config` before that of `state`. Raises NaupliadError."""
    station = None
    if config is not None:
        from daemon.config import read_station

        station = read_station(config)
    if state is None:
        tins = tuple(one.id for one in station.lots) if station else ()
        yield PlanGround(station, int(time.time()), lot, (), tins)
        return
    from daemon.store.tin_names import named_lots
    from daemon.store.tins import counted_hatches
    from daemon.stored_station import moment_of, open_station

    stored, connection = open_station(state)
    with closing(connection):
        now, station = moment_of(state, connection), station or stored
        hatches = counted_hatches(connection, station, lot, now) if lot else ()
        tins = tuple(named_lots(connection, station))
        yield PlanGround(station, now, lot, hatches, tins, stored.vessels)
