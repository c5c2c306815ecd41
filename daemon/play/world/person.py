"""The simulated person: does what the story tells to the cups, clumsily, and writes it into the care log."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from daemon.care.deed import Deed
from daemon.play.story_event import StoryEvent
from daemon.play.story_values import keyed
from daemon.play.world.random_draws import RandomDraws
from daemon.play.world.vessel import VesselWorld

_JUST_BEGUN = 0.15  # up to this share the person calls what they see the first swimmers


@dataclass(frozen=True, slots=True)
class PersonPhysics:
    """How exactly the person works. 1 mm of level in a 7 cm cup is 3.8 mL."""

    fill_error_ml: float = keyed(3.0, 0, 50)
    measuring_error: float = keyed(0.02, 0, 0.3)
    look_error: float = keyed(0.06, 0, 0.5)
    salinity_error_g_per_kg: float = keyed(0.7, 0, 10)


class Person:
    """Does deeds. `advised_above_ml`: how far above the mark the newest letter advised to fill, by vessel."""

    def __init__(self, physics: PersonPhysics, seed: int) -> None:
        self._physics = physics
        self._draws = RandomDraws(seed, "person")
        self._greeted: set[str] = set()
        self._doings: Mapping[str, Callable[[StoryEvent, VesselWorld], Deed | None]] = {
            "set": self._set,
            "brine": self._brine,
            "remove": self._draw_off,
            "harvest": self._draw_off,
            "cover": self._cover,
            "stir": self._stir,
            "feed": self._feed,
            "look": self._look,
            "count": self._count,
            "salinity": self._salinity,
            "note": self._note,
            "end": self._end,
        }

    def do(
        self, event: StoryEvent, vessel: VesselWorld, advised_above_ml: Mapping[str, float]
    ) -> Deed | None:
        """Do it to the vessel; the entry for the care log, or None where there was nothing to write."""
        if event.do == "top-up":
            deed = self._top_up(event, vessel, advised_above_ml)
        else:
            deed = self._doings[event.do](event, vessel)
        if deed is None or not event.written:
            return None
        return deed if event.written_at is None else replace(deed, at=event.written_at)

    def _set(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        salt_g_per_l, volume_ml = _number(event, "salt_g_per_l"), vessel.vessel.mark_ml
        vessel.cup.take(vessel.cup.volume_ml)
        poured_ml = volume_ml + self._fill_error_ml()
        vessel.cup.pour(poured_ml, salt_g_per_l * poured_ml / 1000, vessel.physics.cup.tap_c)
        light = bool(event.values["light"])
        vessel.set_cysts(event.at, _number(event, "grams"), light=light)
        self._greeted.discard(vessel.vessel.id)
        words = {"lot": str(event.values["lot"]), "light": "yes" if light else "no"}
        return _deed(
            event, vessel, _number(event, "grams"), salt_g_per_l=salt_g_per_l, volume_ml=volume_ml, **words
        )

    def _top_up(
        self, event: StoryEvent, vessel: VesselWorld, advised_above_ml: Mapping[str, float]
    ) -> Deed | None:
        salt_g_per_l = _number(event, "salt_g_per_l")  # what nobody writes down: plain water has none
        if "ml" in event.values:
            recorded_ml = _number(event, "ml")
            poured_ml = recorded_ml * self._measured()
            self._pour(vessel, poured_ml, salt_g_per_l * poured_ml / 1000)
            return _deed(event, vessel, recorded_ml)
        above_ml = float(event.values.get("above_ml", 0.0))
        if event.values["as_letter_asks"]:
            above_ml = advised_above_ml.get(vessel.vessel.id, above_ml)
        wanted_ml = max(0.0, vessel.cup.loss_ml + above_ml + self._fill_error_ml())
        recorded_ml = float(round(wanted_ml * self._measured()))
        if recorded_ml < 1:
            return None
        self._pour(vessel, wanted_ml, salt_g_per_l * wanted_ml / 1000)
        if above_ml > 0:
            return _deed(event, vessel, recorded_ml, above_ml=above_ml)
        return _deed(event, vessel, recorded_ml, to="mark")

    def _brine(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        recorded_ml, salt_g_per_l = _number(event, "ml"), _number(event, "salt_g_per_l")
        poured_ml = recorded_ml * self._measured()
        self._pour(vessel, poured_ml, salt_g_per_l * poured_ml / 1000)
        return _deed(event, vessel, recorded_ml, salt_g_per_l=salt_g_per_l)

    def _draw_off(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        recorded_ml = _number(event, "ml")
        vessel.cup.take(recorded_ml * self._measured())
        return _deed(event, vessel, recorded_ml)

    def _cover(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        vessel.cup.covered = bool(event.values["on"])
        return _deed(event, vessel, float(vessel.cup.covered))

    def _feed(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        return _deed(event, vessel, _number(event, "grams"), food=str(event.values["food"]))

    def _look(self, event: StoryEvent, vessel: VesselWorld) -> Deed | None:
        census = vessel.census
        if census is None or not census.seen:
            return None
        new = vessel.vessel.id not in self._greeted
        self._greeted.add(vessel.vessel.id)
        if new and census.hatched_fraction <= _JUST_BEGUN:
            return Deed(event.at, vessel.vessel.id, "first-swimmer")
        seen = census.hatched_fraction + self._physics.look_error * self._draws.normal()
        return Deed(event.at, vessel.vessel.id, "hatched", round(max(0.0, min(1.0, seen)), 2))

    def _count(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        census, volume_ml = vessel.census, _number(event, "volume_ml")
        share = census.swimmers / census.cysts if census else 0.0
        animals = vessel.cysts_set * share
        counted = self._draws.count(animals * volume_ml / max(1.0, vessel.cup.volume_ml))
        return _deed(event, vessel, float(counted), volume_ml=volume_ml)

    def _salinity(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        seen = vessel.cup.salinity_g_per_kg + self._physics.salinity_error_g_per_kg * self._draws.normal()
        return _deed(event, vessel, round(max(0.0, seen), 1), **{"with": str(event.values["with"])})

    def _note(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        return _deed(event, vessel, None, text=str(event.values["text"]))

    def _end(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        vessel.end_batch()
        vessel.cup.take(vessel.cup.volume_ml)
        return _deed(event, vessel, None)

    def _stir(self, event: StoryEvent, vessel: VesselWorld) -> Deed:
        return _deed(event, vessel, None)

    def _pour(self, vessel: VesselWorld, volume_ml: float, salt_g: float) -> None:
        vessel.cup.pour(volume_ml, salt_g, vessel.physics.cup.tap_c)

    def _fill_error_ml(self) -> float:
        return self._physics.fill_error_ml * self._draws.normal()

    def _measured(self) -> float:
        return max(0.1, 1 + self._physics.measuring_error * self._draws.normal())


def _number(event: StoryEvent, key: str) -> float:
    return float(event.values[key])


def _deed(event: StoryEvent, vessel: VesselWorld, amount: float | None, **detail: float | str) -> Deed:
    return Deed(event.at, vessel.vessel.id, event.do, amount, detail)
