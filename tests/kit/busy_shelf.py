"""A busy shelf: cups with two DS18B20s each on a 1-Wire bus on disk, and what people do to them."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.kit.station import post, probe, station_text, vessel
from tests.kit.sysfs import attach, slave_text

BEGAN = 1_799_906_400  # Thursday, 2027-01-14 06:00 UTC
DAY_S = 86_400
EVERY_S = 60
_COLD_FROM_S, _COLD_UNTIL_S = 2 * DAY_S, 3 * DAY_S  # the heating fails on Saturday


@dataclass(frozen=True, slots=True)
class Shelf:
    """So many cups, each with a thermometer in its water and one in the air above it."""

    cups: int

    @property
    def probes(self) -> int:
        return 2 * self.cups

    def station_text(self, *, every_s: int = EVERY_S, smtp_port: int | None = None) -> str:
        """The station file; without a port letters go into the state folder."""
        probes = (
            probe(f"{what}-{cup}", measures, "ds18b20", address=address(cup, what))
            for cup in range(self.cups)
            for what, measures in (("water", "water_c"), ("air", "room_c"))
        )
        vessels = (
            vessel(f"cup-{cup}", f"water-{cup}", f"air-{cup}", count=6, brim_ml=30.0)
            for cup in range(self.cups)
        )
        mail = [post(smtp_port, "127.0.0.1")] if smtp_port else []
        return station_text(*probes, *vessels, *mail, name="Bench", zone="UTC", every_s=every_s)

    def deeds(self, after: int, until: int) -> Iterator[dict[str, Any]]:
        """What people record in a stretch of time: a batch in each cup, then its care on school days."""
        for at in range(after // EVERY_S * EVERY_S + EVERY_S, until + 1, EVERY_S):
            for cup in range(self.cups):
                yield from _deeds_of(cup, at)


class Tree:
    """The bus's folder; its files say what the probes read at a moment."""

    def __init__(
        self, folder: Path, shelf: Shelf, shows: Callable[[int, int, str], float] | None = None
    ) -> None:
        """`shows` says what is read at a moment, in a cup, of its "water" or "air", in °C."""
        self.folder = folder
        self._shows = shows or value_c
        self._out: set[int] = set()
        self._files = {
            (cup, what): attach(folder, address(cup, what), 20.0) / "w1_slave"
            for cup in range(shelf.cups)
            for what in ("water", "air")
        }

    def show(self, at: int) -> None:
        """Have every probe that is plugged in read this moment's value."""
        for (cup, what), file in self._files.items():
            if cup not in self._out:
                file.write_text(slave_text(round(16 * self._shows(at, cup, what))))

    def pull(self, cup: int) -> None:
        """The cup's probes are gone from the bus."""
        for (of, _), file in self._files.items():
            if of == cup:
                file.parent.rename(file.parent.with_name(f"gone-{file.parent.name}"))
        self._out.add(cup)

    def plug(self, cup: int) -> None:
        """They are back."""
        for (of, _), file in self._files.items():
            if of == cup:
                file.parent.with_name(f"gone-{file.parent.name}").rename(file.parent)
        self._out.discard(cup)


def address(cup: int, what: str) -> str:
    return f"28-{0x0316A2790000 + 2 * cup + (what == 'air'):012x}"


def value_c(at: int, cup: int, what: str) -> float:
    """A day's swing, a cold Saturday, and a flicker of sixteenths: nothing is ever stuck."""
    wave = math.sin(2 * math.pi * (at - BEGAN - 3 * 3600) / DAY_S)
    cold = 5.0 if _COLD_FROM_S <= at - BEGAN < _COLD_UNTIL_S else 0.0
    flicker = (at // EVERY_S * 7 + cup) % 3 / 16
    return (24.5 + 0.3 * cup + wave if what == "water" else 20.5 + 1.5 * wave) - cold + flicker


def _deeds_of(cup: int, at: int) -> Iterator[dict[str, Any]]:
    told = at - BEGAN - cup * EVERY_S
    day, of_day = divmod(told, DAY_S)
    asked = {"ask": "record", "vessel": f"cup-{cup}", "at": at}
    if told == 3 * 3600:
        detail = "salt_g_per_l=25; lot=bench"
        yield {**asked, "deed": "set", "amount": "0.05", "unit": "g", "detail": detail}
    elif told == 32 * 3600:
        yield {**asked, "deed": "first-swimmer"}
    elif of_day == 8 * 3600 and day not in (2, 3):  # nobody is there on Saturday and Sunday
        yield {**asked, "deed": "top-up", "amount": "12", "unit": "ml", "detail": "to=mark"}
