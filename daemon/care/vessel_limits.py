"""Questions back about an amount that its vessel can hardly take: cysts, water in, water out. It is kept."""

from dataclasses import dataclass

from daemon.care.deed import Deed
from daemon.station import CONE, Station, Vessel

# Up to 5 g/L in vessels under 20 L (FAO Fisheries Technical Paper 428).
_DENSEST_G_PER_L = 5.0
# What a cup is usually set with, and how many times that is asked about: who writes down the grams of a whole
# tray is far over it (common practice, no source; 0.05 g in 250 mL is a small pinch).
USUAL_CUP_G_PER_L, _TIMES_USUAL = 0.2, 10.0
# The usual dose of so many cups, give or take: who weighed it for all of them noted it for one [P].
_ABOUT = 0.15
# So much of the mark is let pass: the level is not known better where little was told of it.
_SLACK_SHARE = 0.1
_MOST_OF_IT = 0.5


@dataclass(frozen=True, slots=True)
class BelievedLoss:
    """How far below the mark the water stood before the deed, mL: one time in ten less, one in ten more."""

    least_ml: float
    most_ml: float


def usual_dose_g(vessel: Vessel) -> float | None:
    """The cysts that a cup is usually set with, g; None for a cone, where it is whatever is wanted."""
    return None if vessel.kind == CONE else USUAL_CUP_G_PER_L * vessel.mark_ml / 1000


def questions_of_size(
    deed: Deed, vessel: Vessel, loss: BelievedLoss | None, cups: int | None = None
) -> list[str]:
    """What to ask about an amount, a sentence or two each; `loss` is None where no batch runs, `cups` is how
    many cups of this size the station has (None: those of the vessel).
    """
    cups = vessel.count if cups is None else cups
    found = (_dose(deed, vessel, cups), _poured(deed, vessel, loss), _drawn(deed, vessel, loss))
    return [question for question in found if question is not None]


def _dose(deed: Deed, vessel: Vessel, cups: int) -> str | None:
    if deed.deed != "set" or deed.amount is None:
        return None
    volume_ml = deed.number("volume_ml") or vessel.mark_ml
    usual_g = USUAL_CUP_G_PER_L * volume_ml / 1000
    most_g = _DENSEST_G_PER_L * volume_ml / 1000
    if deed.amount > most_g:
        return (
            f"{deed.amount:g} g of cysts in {volume_ml:g} mL is more than they have air for; up to "
            f"{most_g:g} g is usual. The amount is in grams{_of_one(vessel)}. Is it right?"
        )
    of_all = _for_how_many(deed.amount / usual_g, vessel.count, cups)
    if vessel.kind == CONE or (of_all is None and deed.amount < _TIMES_USUAL * usual_g * (1.0 - 1e-9)):
        return None
    times = round(deed.amount / usual_g)
    each = "Is it right?"
    if of_all is not None or vessel.count > 1:
        of_all = of_all or vessel.count
        one_g = deed.amount / of_all
        each = f"The amount is of one cup. Is that for all {of_all}? Then one cup got {one_g:.2g} g."
    return (
        f"{deed.amount:g} g of cysts in {volume_ml:g} mL is {times} times the {usual_g:.2g} g that are usual "
        f"there. {each}"
    )


def cups_like(vessel: Vessel, station: Station) -> int:
    """How many cups of its size the station has, its own among them."""
    alike = (one for one in station.vessels if one.kind == vessel.kind and one.mark_ml == vessel.mark_ml)
    return sum(one.count for one in alike)


def _for_how_many(times_usual: float, *counts: int) -> int | None:
    """Of how many cups an amount is about the usual one: of all of this place, or of all here."""
    near = (count for count in counts if count > 1 and abs(times_usual / count - 1.0) <= _ABOUT)
    return next(near, None)


def _poured(deed: Deed, vessel: Vessel, loss: BelievedLoss | None) -> str | None:
    if deed.deed not in ("top-up", "brine") or deed.amount is None:
        return None
    if deed.amount > vessel.mark_ml:
        return f"{deed.amount:g} mL is more than {_one(vessel)} holds, {vessel.mark_ml:g} mL. Is it right?"
    above_ml = max(vessel.brim_ml, deed.number("above_ml") or 0.0)
    if loss is None or deed.amount <= loss.most_ml + above_ml + _SLACK_SHARE * vessel.mark_ml:
        return None
    room_ml = max(0.0, loss.most_ml + above_ml)
    return (
        f"By the entries so far there was room for at most {room_ml:.0f} mL in {_one(vessel)}, and "
        f"{deed.amount:g} mL were poured in. Is it right?"
    )


def _drawn(deed: Deed, vessel: Vessel, loss: BelievedLoss | None) -> str | None:
    if deed.deed not in ("remove", "harvest") or deed.amount is None:
        return None
    holds_ml = vessel.mark_ml - (0.0 if loss is None else loss.least_ml)
    if deed.amount > holds_ml + _SLACK_SHARE * vessel.mark_ml:
        return (
            f"By the entries so far {_one(vessel)} held at most {holds_ml:.0f} mL, and {deed.amount:g} mL "
            "were taken out. Is it right?"
        )
    if loss is None or deed.deed != "harvest" or deed.amount <= _MOST_OF_IT * holds_ml:
        return None
    return (
        f"{deed.amount:g} mL is most of what {_one(vessel)} held. Is the batch over, so that 'naupliad care "
        f"add {vessel.id} end' should follow?"
    )


def _one(vessel: Vessel) -> str:
    """What an amount is of: one cup of a tray, or the vessel itself."""
    return f"one cup of {vessel.id}" if vessel.count > 1 else vessel.id


def _of_one(vessel: Vessel) -> str:
    return ", of one cup" if vessel.count > 1 else ""
