"""The deeds of people in a history, each done to a vessel's true water, and told a little wrong."""

import random
from collections.abc import Callable

from daemon.care.deed import Deed
from daemon.station import Vessel
from tests.kit.histories.physics import Content

_Maker = Callable[[random.Random, Vessel, Content], Deed | None]


def _deed(name: str, amount: float | None = None, **detail: float | str) -> Deed:
    return Deed(0, "", name, amount, detail)


def _set(rng: random.Random, vessel: Vessel, content: Content) -> Deed | None:
    if content.holds and rng.random() < 0.8:
        return None  # a second set without an end is rare
    salt = rng.choice((15.0, 20.0, 25.0, 25.0, 25.0, 30.0, 35.0))
    content.loss_ml, content.salt_g, content.holds = 0.0, salt * vessel.mark_ml / 1000, True
    detail: dict[str, float | str] = {"salt_g_per_l": salt} if rng.random() < 0.85 else {}
    if rng.random() < 0.7:
        detail["lot"] = "blue tin"
    if rng.random() < 0.2:
        detail["light"] = rng.choice(("yes", "no"))
    grams = rng.choice((0.05, 0.1, 0.2, 0.5)) if vessel.kind == "cup" else rng.choice((0.5, 1.0, 4.0))
    return _deed("set", grams, **detail)


def _to_level(rng: random.Random, content: Content, above_ml: float) -> float | None:
    """Pours plain water up to so far above the mark; None where it stands there already."""
    pour = content.loss_ml + above_ml
    if not content.holds or pour < 1.0:
        return None
    content.loss_ml = -above_ml
    return max(0.1, round(pour * rng.uniform(0.93, 1.07), 1))


def _mark(rng: random.Random, _vessel: Vessel, content: Content) -> Deed | None:
    poured = _to_level(rng, content, 0.0)
    return None if poured is None else _deed("top-up", poured, to="mark")


def _above(rng: random.Random, vessel: Vessel, content: Content) -> Deed | None:
    above = float(round(max(vessel.brim_ml, 0.02 * vessel.mark_ml) * rng.uniform(0.3, 1.0))) or 1.0
    poured = _to_level(rng, content, above)
    return None if poured is None else _deed("top-up", poured, above_ml=above)


def _plain(rng: random.Random, vessel: Vessel, content: Content) -> Deed | None:
    poured = round(rng.uniform(0.01, 0.12) * vessel.mark_ml, 1)
    if not content.holds or content.loss_ml - poured < -vessel.rim_above_water_cm * vessel.surface_cm2:
        return None
    content.loss_ml -= poured
    return _deed("top-up", poured)


def _brine(rng: random.Random, vessel: Vessel, content: Content) -> Deed | None:
    poured = round(rng.uniform(0.01, 0.08) * vessel.mark_ml, 1)
    if not content.holds or content.loss_ml < poured - 5:
        return None
    content.loss_ml -= poured
    return _deed("brine", poured, salt_g_per_l=rng.choice((25.0, 50.0, 100.0)))


def _drawn(name: str, least: float, most: float) -> _Maker:
    def draw(rng: random.Random, vessel: Vessel, content: Content) -> Deed | None:
        there_ml = vessel.mark_ml - content.loss_ml
        taken = round(rng.uniform(least, most) * there_ml, 1)
        if not content.holds or there_ml < 0.1 * vessel.mark_ml or taken < 0.5:
            return None
        content.loss_ml += taken
        return _deed(name, taken)

    return draw


def _end(_rng: random.Random, _vessel: Vessel, content: Content) -> Deed | None:
    if not content.holds:
        return None
    content.holds = False
    return _deed("end")


def _look(name: str, amount: float | None = None) -> _Maker:
    return lambda _rng, _vessel, content: _deed(name, amount) if content.holds else None


def _count(rng: random.Random, _vessel: Vessel, content: Content) -> Deed | None:
    return _deed("count", float(rng.randrange(0, 60)), volume_ml=10.0) if content.holds else None


def _salinity(rng: random.Random, vessel: Vessel, content: Content) -> Deed | None:
    there = max(vessel.mark_ml - content.loss_ml, 0.2 * vessel.mark_ml)
    salt = 1000 * content.salt_g / there * rng.uniform(0.95, 1.05)
    return (
        _deed("salinity", round(min(salt, 150.0), 1), **{"with": "refractometer"}) if content.holds else None
    )


# What is done to a vessel's true water, and how it is told; None where it cannot be done.
ACTS: dict[str, _Maker] = {
    "set": _set,
    "second": _set,
    "mark": _mark,
    "above": _above,
    "plain": _plain,
    "brine": _brine,
    "remove": _drawn("remove", 0.02, 0.3),
    "harvest": _drawn("harvest", 0.03, 0.2),
    "half": _drawn("harvest", 0.4, 0.65),
    "most": _drawn("harvest", 0.85, 0.98),
    "end": _end,
    "first": _look("first-swimmer"),
    "none yet": _look("hatched", 0.0),
    "half out": _look("hatched", 0.5),
    "all out": _look("hatched", 1.0),
    "count": _count,
    "salinity": _salinity,
    "feed": lambda rng, _v, content: (
        _deed("feed", rng.choice((0.02, 0.05)), food="yeast") if content.holds else None
    ),
    "cover": _look("cover", 1.0),
    "stir": _look("stir"),
    "note": lambda _rng, _v, _c: _deed("note", text="the light was yellow"),
}
