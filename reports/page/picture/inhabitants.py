"""Who is drawn in a vessel: at which stage, and how many of how many.

Each stands for a share, not for an animal. What is believed nine times in ten is drawn whole, what may be or
not is drawn hollow, and the rest is still in its shell.
"""

from dataclasses import dataclass
from itertools import cycle, islice

from reports.page.picture.vessel_picture import VesselPicture
from reports.records import Range

# At 30 °C animals took 15 days to grow up, at 18 °C 30 (the Tuz Lake study, see `reports.letters.stages`).
GROWN_UP_FROM_DAYS = 15.0
# A larva is an older one where nobody drew a hatch off for so long: our own choice, no source.
_PAST_HATCH_DAYS = 4.0
# Of the larger ones fewer have room; how many live is not known, so their number says nothing.
_LARGER = {"juvenile": 0.5, "adult": 0.3}
# Of the shells that are still closed, so many are seen to open while others hatch.
_OPENING = 0.34


@dataclass(frozen=True, slots=True)
class Inhabitant:
    """One that is drawn: `glyph` is a drawing's name, `sure` whether it is there nine times in ten, `where`
    it is: "swimming", "floating" on the water, or on the "ground"."""

    glyph: str
    sure: bool
    where: str


def inhabitants(picture: VesselPicture, slots: int) -> list[Inhabitant]:
    """Everyone to be drawn, at most so many."""
    match picture.stage:
        case "set":
            return _set(picture, slots)
        case "hatching":
            return _hatching(picture.hatched, slots)
        case "hatched":
            return _hatched(picture.hatched, slots)
        case "growing":
            return _grown(picture, slots)
        case "being harvested":
            return _left(picture, slots)
    return []


def _set(picture: VesselPicture, slots: int) -> list[Inhabitant]:
    """Soaked cysts: some still float where it is known on what, most have sunk."""
    floating = slots // 3 if picture.loss_ml is not None else 0
    return _many("cyst", floating, "floating") + _many("cyst", slots - floating, "ground")


def _hatching(hatched: Range | None, slots: int) -> list[Inhabitant]:
    if hatched is None:
        return _many("nauplius", 1, sure=False) + _closed(slots - 1, opening=True)
    sure, maybe = _shares(hatched, slots)
    maybe = maybe if sure + maybe else 1  # some hatch, else it would not be called so
    return (
        _many("nauplius", sure)
        + _many("nauplius", maybe, sure=False)
        + _closed(slots - sure - maybe, opening=True)
    )


def _hatched(hatched: Range | None, slots: int) -> list[Inhabitant]:
    """Larvae of both first instars; what stays closed will not open."""
    sure, maybe = _shares(hatched, slots) if hatched else (slots, 0)
    larvae = list(islice(cycle(("older", "nauplius")), sure + maybe))
    swimming = [Inhabitant(glyph, n < sure, "swimming") for n, glyph in enumerate(larvae)]
    return swimming + _closed(slots - sure - maybe, opening=False)


def _grown(picture: VesselPicture, slots: int) -> list[Inhabitant]:
    glyph = _grown_glyph(picture)
    return _many(glyph, max(round(slots * _LARGER[glyph]), 1))


def _grown_glyph(picture: VesselPicture) -> str:
    return "adult" if (picture.age_days or 0.0) >= GROWN_UP_FROM_DAYS else "juvenile"


def is_past_hatch(age_days: float | None) -> bool:
    """Whether animals that are drawn off so long after they were set have grown on."""
    return (age_days or 0.0) >= _PAST_HATCH_DAYS


def _left(picture: VesselPicture, slots: int) -> list[Inhabitant]:
    """Some were drawn off; how many are left is not known."""
    if not is_past_hatch(picture.age_days):
        return _many("older", max(slots // 3, 1), sure=False)
    glyph = _grown_glyph(picture)
    return _many(glyph, max(round(slots * _LARGER[glyph] / 2), 1), sure=False)


def _shares(hatched: Range, slots: int) -> tuple[int, int]:
    """How many of the slots surely hatched, and how many may have beside them."""
    low, high = sorted(min(max(share, 0.0), 1.0) for share in (hatched.p10, hatched.p90))
    sure = round(low * slots)
    return sure, round(high * slots) - sure


def _closed(count: int, *, opening: bool) -> list[Inhabitant]:
    """Cysts on the ground; while others hatch, some of them open."""
    open_now = min(-(-count * _OPENING // 1), count) if opening else 0
    kinds = islice(cycle(("umbrella", "breaking")), int(open_now))
    return [Inhabitant(glyph, sure=True, where="ground") for glyph in kinds] + _many(
        "cyst", count - int(open_now), "ground"
    )


def _many(glyph: str, count: int, where: str = "swimming", *, sure: bool = True) -> list[Inhabitant]:
    return [Inhabitant(glyph, sure, where)] * count
