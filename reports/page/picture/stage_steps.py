"""The way from a dry cyst to a growing animal in five pictures, and where on it a vessel is."""

from dataclasses import dataclass

from reports.language import say, to_say
from reports.page.picture.animals import glyphs
from reports.page.picture.fittings import moved
from reports.page.picture.inhabitants import is_past_hatch
from reports.page.picture.svg import element

# Each step's drawing, how large, and its name.
_STEPS = (
    ("dry", 3.2, to_say("dry cyst")),
    ("cyst", 3.2, to_say("soaked cyst")),
    ("umbrella", 2.6, to_say("breaking open")),
    ("nauplius", 1.7, to_say("nauplius")),
    ("juvenile", 1.3, to_say("growing")),
)
_AT = {"set": 1, "hatching": 2, "hatched": 3, "growing": 4}
_SIDE = 60.0


@dataclass(frozen=True, slots=True)
class StageStep:
    """One step: its picture as SVG, which only repeats its name; `when` is "past", "now" or "ahead"."""

    name: str
    svg: str
    when: str


def stage_steps(stage: str, age_days: float | None = None) -> tuple[StageStep, ...]:
    """The five steps of a vessel at a stage, so many days after it was set.

    Where no batch runs, and after a harvest, none is now: all are ahead.
    """
    now = _AT.get(stage, -1)
    if stage == "being harvested":
        now = _AT["growing" if is_past_hatch(age_days) else "hatched"]
    return tuple(
        StageStep(say(name), _drawn(glyph, scale), "now" if n == now else "past" if n < now else "ahead")
        for n, (glyph, scale, name) in enumerate(_STEPS)
    )


def _drawn(glyph: str, scale: float) -> str:
    kind = "vp-shell" if glyph in ("dry", "cyst", "umbrella") else "vp-sure"
    drawing = element("g", glyphs()[glyph], class_=kind, transform=moved(_SIDE / 2, _SIDE / 2, scale))
    return element(
        "svg",
        drawing,
        viewBox=f"0 0 {_SIDE:g} {_SIDE:g}",
        aria_hidden="true",
        class_="vp vp-glyph",
        xmlns="http://www.w3.org/2000/svg",
    )
