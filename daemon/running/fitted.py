"""What a station needs from its machine before it can run: probes, ways out, secrets."""

import logging
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from daemon.errors import NaupliadError
from daemon.fitting import openers
from daemon.post.carrier import Carrier
from daemon.post.mqtt import check_installed
from daemon.post.secrets import MQTT_PASSWORD, read_secret
from daemon.post.station_carriers import make_carriers
from daemon.station import Station
from sensors.errors import SensorError
from sensors.late import LateProbe
from sensors.reading import Measure, Probe

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Fitted:
    """A station's probes, open as far as they can be, its ways out by name, and the broker's password."""

    probes: list[Probe]
    carriers: dict[str, Carrier]
    broker_password: str | None


def fit(station: Station, state: Path, now: int, environ: Mapping[str, str], *, blind: bool) -> Fitted:
    """Put together what the station needs. Raises InputError for a wrong file or a missing extra.

    `blind`: whether it may begin without any water thermometer; see `open_probes`.
    """
    password = None
    if station.mqtt is not None:
        check_installed()
        password = read_secret(MQTT_PASSWORD, environ)
    carriers = make_carriers(station, state, environ)
    return Fitted(open_probes(station, now, blind=blind), carriers, password)


def open_probes(station: Station, now: int, *, blind: bool) -> list[Probe]:
    """Every probe of the station; one that cannot be opened yet is a LateProbe, and is logged.

    Raises NaupliadError with a line for each when no water thermometer can be opened: a station that
    sees no water had better say so than run. One that ran before, and at whose start nobody looks on, is
    better `blind`: its letters say that it sees no water.
    """
    opens = openers(station, now)
    probes: list[Probe] = []
    missing: list[str] = []
    for plan in station.probes:
        try:
            probes.append(opens[plan.id]())
        except SensorError as error:
            missing.append(str(error))
            probes.append(LateProbe(plan.id, plan.measures, opens[plan.id]))
    if not blind and not any(map(_sees_water, probes)):
        for probe in probes:
            probe.close()
        raise NaupliadError("\n".join([*missing, "no water thermometer can be read, so nothing was started"]))
    for line in missing:
        log.error("%s Going on without it; it is tried again.", line)
    return probes


def _sees_water(probe: Probe) -> bool:
    return probe.measures is Measure.WATER_C and not isinstance(probe, LateProbe)
