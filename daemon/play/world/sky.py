"""Sun, cloud and outdoor air over the simulated room. Rough on purpose: a believable sky, no forecast."""

import math
from dataclasses import dataclass
from datetime import UTC, datetime

from daemon.play.story_values import keyed
from daemon.play.world.random_draws import RandomDraws, Wander
from daemon.seconds import HOUR_S

GLASS_PASSES = 0.6  # share of sunlight that a double pane lets in, common practice, no source
_LUMEN_PER_W = 105.0  # daylight, rounded common practice, no source


@dataclass(frozen=True, slots=True)
class SkyPhysics:
    """The outdoor climate of a story."""

    latitude_deg: float = keyed(38.7, -60, 60)
    longitude_deg: float = keyed(-9.1, -180, 180)
    outdoor_c: float = keyed(10.0, -30, 40)
    outdoor_swing_c: float = keyed(4.0, 0, 15)
    outdoor_wander_c: float = keyed(1.0, 0, 5)
    outdoor_rh_pct: float = keyed(80.0, 10, 100)
    sunshine: float = keyed(0.4, 0, 1)
    window_azimuth_deg: float = keyed(180.0, 0, 360)


@dataclass(frozen=True, slots=True)
class Weather:
    """One minute outdoors: beam on the upright window and diffuse on the level ground, W/m²."""

    temperature_c: float
    window_beam_w_m2: float
    diffuse_w_m2: float

    @property
    def diffuse_lux(self) -> float:
        """Light of the open sky on level ground."""
        return self.diffuse_w_m2 * _LUMEN_PER_W

    @property
    def beam_lux(self) -> float:
        """Light of the sun where it falls through the window."""
        return self.window_beam_w_m2 * _LUMEN_PER_W


def sun(at: int, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Elevation and azimuth (from north over east) in radians.

    Cooper's declination (1969) and mean solar time, without the equation of time [M]: good to about 2° and
    16 minutes, which a window blind hides.
    """
    moment = datetime.fromtimestamp(at, UTC)
    day = moment.timetuple().tm_yday
    declination = math.radians(23.45) * math.sin(2 * math.pi * (284 + day) / 365)
    hour = moment.hour + moment.minute / 60 + longitude_deg / 15
    angle = math.radians(15 * (hour - 12))
    latitude = math.radians(latitude_deg)
    up = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(declination) * math.cos(
        angle
    )
    elevation = math.asin(max(-1.0, min(1.0, up)))
    south = math.sin(latitude) * math.cos(angle) - math.cos(latitude) * math.tan(declination)
    return elevation, math.pi + math.atan2(math.sin(angle), south)


class Sky:
    """The weather as it comes: a daily wave, wandering warmth and wandering cloud.

    `overcast`, which a story may throw: no sun comes through, only the light of the clouds.
    """

    def __init__(self, physics: SkyPhysics, seed: int) -> None:
        self._physics = physics
        self._warmth = Wander(RandomDraws(seed, "outdoor warmth"), memory_h=8)
        self._cloud = Wander(RandomDraws(seed, "cloud"), memory_h=1.5)
        self.overcast = False

    def step(self, seconds: float) -> None:
        """Let `seconds` pass."""
        self._warmth.step(seconds)
        self._cloud.step(seconds)

    def weather(self, at: int) -> Weather:
        """The minute that begins at `at`."""
        p = self._physics
        hour = at / HOUR_S + p.longitude_deg / 15  # coolest near six in the morning, warmest in mid-afternoon
        wave = -math.cos(2 * math.pi * (hour - 4.5) / 24)
        temperature_c = p.outdoor_c + p.outdoor_swing_c * wave + p.outdoor_wander_c * self._warmth.value
        elevation, azimuth = sun(at, p.latitude_deg, p.longitude_deg)
        if elevation <= 0.02:
            return Weather(temperature_c, 0.0, 0.0)
        height = math.sin(elevation)
        clear = 0.0 if self.overcast else max(0.0, min(1.0, p.sunshine + 0.3 * self._cloud.value))
        beam = 1353 * 0.7 ** (height**-0.678) * clear  # Meinel's clear-sky beam [M], dimmed by cloud
        facing = math.cos(elevation) * math.cos(azimuth - math.radians(p.window_azimuth_deg))
        return Weather(temperature_c, beam * max(0.0, facing), height * (130 + 220 * (1 - clear)))
