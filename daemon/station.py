"""A station as its file describes it: frozen records, nothing read or checked here (see `config`)."""

from dataclasses import dataclass, field
from datetime import date, time
from typing import Any
from zoneinfo import ZoneInfo

from sensors.reading import Measure

# What is drawn off below and aerated, not poured out.
CONE = "cone"

# A line through fewer missing readings than this still shows what happened.
_GAP_SAMPLES, _GAP_LEAST_S = 5, 300


@dataclass(frozen=True, slots=True)
class DailyHours:
    """Local hours of a day, from `begins` up to `ends`; past midnight when `ends` is not later."""

    begins: time
    ends: time


@dataclass(frozen=True, slots=True)
class WeeklyHours:
    """Local hours on certain weekdays (Monday is 0)."""

    weekdays: frozenset[int]
    hours: DailyHours


@dataclass(frozen=True, slots=True)
class DaySpan:
    """Whole local days, both ends included."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class ProbePlan:
    """One probe: what it measures and which driver reads it, with the driver's own keys."""

    id: str
    measures: Measure
    driver: str
    keys: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Vessel:
    """One container, or a tray of `count` like cups that one probed cup stands for.

    Volumes in mL, surface in cm², limits in °C and lux; `low_ml` is how far below the mark the water
    may fall, `brim_ml` how far above it it may safely be filled, `float_ml` how far below it a float switch
    drops (None where that is not known). `swing_k` is how far the water's warmth may range over a day.
    `watch` says when warmth, lamp and probes are judged: "always", or "batch", only while one runs.
    `heater_c` is where a thermostat holds the water, `air_l_per_min` the air that bubbles through it; None
    where that was not given.
    """

    id: str
    count: int
    kind: str
    mark_ml: float
    surface_cm2: float
    low_ml: float
    brim_ml: float
    probes: tuple[str, ...]
    cold_c: float
    hot_c: float
    lamp: tuple[DailyHours, ...]
    low_light_lux: float
    low_light_fraction: float
    rim_above_water_cm: float
    swing_k: float = 10.0
    salinity_low_g_per_kg: float = 10.0
    salinity_high_g_per_kg: float = 45.0
    float_ml: float | None = None
    watch: str = "always"
    heater_c: float | None = None
    air_l_per_min: float | None = None


STORED = ("freezer", "fridge", "cool and dry", "room")


@dataclass(frozen=True, slots=True)
class LotPlan:
    """A purchase of cysts: the name deeds give it, its strain, and the day its tin was opened.

    Where it is kept is one of `STORED`, empty where nobody says; `mass_g` is what was in it when it was
    bought, `cysts_per_g` how many a gram of it has.
    """

    id: str
    strain: str
    opened: date | None
    stored: str = ""
    mass_g: float | None = None
    cysts_per_g: float | None = None


@dataclass(frozen=True, slots=True)
class PostServer:
    """Where letters go when they leave by SMTP. The password never stands in the file."""

    smtp_host: str
    smtp_port: int
    security: str
    user: str | None
    sender: str
    to: tuple[str, ...]
    backup_to: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Post:
    """When letters go, and whether one goes every night (`nightly`).

    `server` is None when they are written to files only. Letters of the kinds `urgent` go at any hour, once
    their trouble has stood for `urgent_after_min`.
    """

    server: PostServer | None
    nightly_at: time
    morning_at: time
    quiet: DailyHours | None
    nightly: bool = True
    urgent: tuple[str, ...] = ()
    urgent_after_min: int = 0


@dataclass(frozen=True, slots=True)
class WebAddress:
    """Where something is sent by HTTP; without `encrypted` only on this machine. `path` with its query."""

    encrypted: bool
    host: str
    port: int
    path: str


@dataclass(frozen=True, slots=True)
class Webhook:
    """Where letters are posted; without `url` the address is kept apart, as is the secret that signs them."""

    url: WebAddress | None


@dataclass(frozen=True, slots=True)
class Alive:
    """Where the station says that it still works, and how often; without `url` the address is kept apart."""

    url: WebAddress | None
    every_s: int


# About a year without a centre: an hour of readings and one of beliefs are a box each.
RECORD_BOXES = 20_000


@dataclass(frozen=True, slots=True)
class Broker:
    """The MQTT broker that hears how things stand. The password never stands in the file.

    `record`: a centre keeps what this station tells, under `user` as the station's key, and up to
    `record_boxes` boxes wait for it.
    """

    host: str
    port: int
    security: str
    user: str | None
    record: bool = False
    record_boxes: int = RECORD_BOXES


LOOPBACK, LAN = "loopback", "lan"  # of PagePlan.listen


@dataclass(frozen=True, slots=True)
class PagePlan:
    """From where the local page may be asked for, and by whom it may be read.

    `listen` is "loopback" (this machine), "lan" (private addresses too) or one IP address of this machine;
    `address` is what other machines call the page (scheme, name, port; no path), None where nobody said.
    `reading` is "all" or "pin"; writing always takes the PIN.
    """

    listen: str = LOOPBACK
    port: int = 8077
    address: str | None = None
    reading: str = "all"

    @property
    def host(self) -> str:
        """The IP address to listen at."""
        return {LOOPBACK: "127.0.0.1", LAN: "0.0.0.0"}.get(self.listen, self.listen)  # noqa: S104 - asked for


@dataclass(frozen=True, slots=True)
class IndicatorPins:
    """The light and the button on the Pi, by BCM pin number.

    `lights` is one pin for a plain LED, three for red, green and blue, none where there is only a button;
    `lit_when` says whether a light is lit with its pin `high` or `low`.
    """

    lights: tuple[int, ...]
    button: int | None
    lit_when: str


@dataclass(frozen=True, slots=True)
class Station:
    """One Raspberry Pi and the room it watches; `language` is the one of its letters, charts and state.

    After `keep_readings_days` its readings are thinned. `no_names` are ids that look like a person's
    name, and of which somebody said that they are none.
    """

    name: str
    timezone: ZoneInfo
    attended: tuple[WeeklyHours, ...]
    away: tuple[DaySpan, ...]
    sample_every_s: int
    temperature_unit: str
    probes: tuple[ProbePlan, ...]
    vessels: tuple[Vessel, ...]
    post: Post
    indicator: IndicatorPins | None = None
    webhook: Webhook | None = None
    mqtt: Broker | None = None
    alive: Alive | None = None
    page: PagePlan = field(default_factory=PagePlan)
    lots: tuple[LotPlan, ...] = ()
    language: str = "en"
    keep_readings_days: int = 400
    no_names: tuple[str, ...] = ()

    @property
    def is_recorded(self) -> bool:
        """Whether a centre keeps what it tells."""
        return self.mqtt is not None and self.mqtt.record

    @property
    def labels(self) -> tuple[str, ...]:
        """What its vessels and probes are called."""
        return (*(vessel.id for vessel in self.vessels), *(probe.id for probe in self.probes))

    def vessel(self, vessel_id: str) -> Vessel | None:
        """The vessel of that id, or None."""
        return next((v for v in self.vessels if v.id == vessel_id), None)

    def probe(self, probe_id: str) -> ProbePlan | None:
        """The probe of that id, or None."""
        return next((p for p in self.probes if p.id == probe_id), None)

    def probe_of(self, vessel: Vessel, measures: Measure) -> ProbePlan | None:
        """The vessel's probe for a measure, or None where it has none."""
        plans = (self.probe(probe_id) for probe_id in vessel.probes)
        return next((p for p in plans if p is not None and p.measures is measures), None)

    def light_probe_of(self, vessel: Vessel) -> ProbePlan | None:
        """The vessel's probe for light, the one in lux before the relative one, or None where it has none."""
        return self.probe_of(vessel, Measure.LIGHT_LUX) or self.probe_of(vessel, Measure.LIGHT_FRACTION)

    @property
    def off_after_s(self) -> int:
        """How long without any reading means that the station was off."""
        return max(_GAP_SAMPLES * self.sample_every_s, _GAP_LEAST_S)
