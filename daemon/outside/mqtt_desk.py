"""What an MQTT broker is sent after a beat: readings, beliefs and alarms, a topic each."""

import json
import logging
import re
import sqlite3
import unicodedata
from collections.abc import Mapping
from typing import Protocol

from daemon.alarms.watch import Watch, alarm_keys
from daemon.estimates.horizons import OF_THE_ABSENCE
from daemon.letters.conversions import local
from daemon.seconds import HOUR_S
from daemon.station import Station, Vessel
from daemon.store import estimates as estimate_store
from daemon.store import readings as reading_store
from daemon.workers import Workers

log = logging.getLogger(__name__)

_LANE = "mqtt"
_RECENT_S = HOUR_S
# The units that a name ends with, as the contract of the station file has them.
_UNITS = {
    "_c": "°C",
    "_lux": "lux",
    "_pct": "%",
    "_fraction": "1",
    "_ml": "mL",
    "_ml_per_day": "mL/day",
    "_g_per_kg": "g/kg",
    "_t10": "Unix s",
    "_t50": "Unix s",
    "_t90": "Unix s",
    "_at": "Unix s",
    "_16h": "°C",
    "_low": "1",
}


class Topics(Protocol):
    """Keeps topics as they were last published."""

    def publish(self, topics: Mapping[str, str], /) -> None:
        """Have these topics say this JSON."""


def slug(name: str) -> str:
    """A station's name as part of a topic: a-z, 0-9 and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-") or "station"


def unit_of(quantity: str) -> str:
    """The unit a quantity's name ends with; moments are Unix seconds."""
    ending = max((end for end in _UNITS if quantity.endswith(end)), key=len, default="")
    return _UNITS.get(ending, "")


class MqttDesk:
    """Gathers how things stand in the beat's thread; a worker publishes it."""

    def __init__(
        self,
        station: Station,
        connection: sqlite3.Connection,
        watch: Watch,
        topics: Topics,
        workers: Workers,
    ) -> None:
        """`watch` holds the alarms."""
        self._station = station
        self._connection = connection
        self._watch = watch
        self._topics = topics
        self._workers = workers
        self._busy = False

    def after_beat(self, at: int) -> None:
        """Publish how things stand at `at`, Unix seconds, unless the last is still on its way."""
        if not self._busy:
            self._busy = True
            topics = self.topics(at)
            self._workers.submit(lambda: self._topics.publish(topics), self._done, lane=_LANE)

    def _done(self, _result: object, error: Exception | None) -> None:
        self._busy = False
        if error is not None:
            log.error("mqtt: the broker was not told: %s", type(error).__name__)

    def topics(self, at: int) -> dict[str, str]:
        """The topics below the station's, each with its JSON."""
        topics: dict[str, str] = {}
        for vessel in self._station.vessels:
            topics |= self._readings(vessel, at) | self._estimates(vessel, at)
        for key in alarm_keys(self._station):
            alarm = self._watch.alarm(key)
            name = f"{key.vessel}/alarm/{key.condition}".lstrip("/")
            name += f"/{key.probe}" if key.probe else ""
            topics[name] = _json(value=alarm.state.value, since=self._moment(alarm.since))
        return topics

    def _readings(self, vessel: Vessel, at: int) -> dict[str, str]:
        topics = {}
        for probe_id in vessel.probes:
            plan = self._station.probe(probe_id)
            reading = reading_store.latest(self._connection, probe_id, good=True)
            if plan is not None and reading is not None and at - reading.at <= _RECENT_S:
                measure = plan.measures.value
                topics[f"{vessel.id}/{measure}"] = _json(
                    at=self._moment(reading.at), value=reading.value, unit=unit_of(measure)
                )
        return topics

    def _estimates(self, vessel: Vessel, at: int) -> dict[str, str]:
        """The last written beliefs; those of a batch that ended are older than an hour and a bit."""
        rows = estimate_store.latest(self._connection, vessel.id, at)
        return {
            f"{vessel.id}/{quantity}": _json(
                at=self._moment(believed_at), p10=p10, p50=p50, p90=p90, unit=unit_of(quantity)
            )
            for quantity, (believed_at, p10, p50, p90) in rows.items()
            if at - believed_at <= _RECENT_S + 600 and quantity not in OF_THE_ABSENCE
        }

    def _moment(self, at: int | None) -> str | None:
        return None if at is None else local(self._station, at).isoformat()


def _json(**values: object) -> str:
    return json.dumps(values, ensure_ascii=False)
