"""Vessels drawn on a page of their own, for browsers and eyes: every stage and state, each size."""

from collections.abc import Sequence
from dataclasses import replace

from reports.page.picture.drawing import vessel_svg
from reports.page.picture.parts import shared_parts
from reports.page.picture.stage_steps import stage_steps
from reports.page.picture.vessel_picture import KINDS, FeltWarmth, LampLight, ProbePlace, VesselPicture
from reports.records import Range
from reports.vessel_line import STAGES
from tests.kit.checkout import ROOT
from tests.kit.vessel_pictures import RUNNING, of_kind

CSS = (ROOT / "reports" / "page" / "static" / "picture.css").read_text("utf-8")
# The page's own colours, where only drawings are looked at.
COLOURS = """
:root {
  color-scheme: light dark; --ground: #fbf8f1; --raised: #fff; --ink: #1f1f1f; --soft: #55504a;
  --line: #8a8378; --water: #332288; --water-fill: #cfd6ec; --animals: #117733; --warm: #9c3a00;
  --cold: #1b4f9c; --right: #117733; --alarm: #a3123a; --alarm-fill: #fbe4e8; --board-edge: #8a6a3c;
  --glass: #6f7f86;
}
@media (prefers-color-scheme: dark) {
  :root {
    --ground: #1b1a18; --raised: #262421; --ink: #f0ebe0; --soft: #bdb5a6; --line: #8f887c; --water: #a9a1ee;
    --water-fill: #34345c; --animals: #6fce8f; --warm: #f0a067; --cold: #8db8f2; --right: #6fce8f;
    --alarm: #ff95a8; --alarm-fill: #4a1f29; --board-edge: #b08d57; --glass: #9fb1b8;
  }
}
body { background: var(--ground); color: var(--ink) }
.many { display: grid; gap: .5rem; grid-template-columns: repeat(auto-fill, minmax(5.2rem, 1fr)) }
.few { display: grid; gap: 1rem; grid-template-columns: repeat(auto-fill, minmax(min(16rem, 100%), 1fr)) }
"""


def many() -> list[VesselPicture]:
    """Every stage and state of every kind."""
    found = []
    for kind in KINDS:
        plain = of_kind(kind)
        low_ml = plain.low_ml
        found += [
            replace(plain, stage=stage, loss_ml=plain.loss_ml if stage in RUNNING else None)
            for stage in STAGES
        ]
        found += [replace(plain, warmth=warmth, lamp=LampLight.DARK, count=24) for warmth in FeltWarmth]
        levels = [(-0.1, 0, 0.1), (0.7, 0.9, 1.3), (-0.9, -0.7, -0.6), (-0.5, 0.3, 2.0), (1.1, 2.0, 3.0)]
        found += [replace(plain, loss_ml=Range(*(share * low_ml for share in level))) for level in levels]
        found += [replace(plain, covered=True, probe=ProbePlace.AIR, brim_ml=0.0, alarms=12, unit="F")]
    return found


def steps(stage: str) -> str:
    """The stages in a row, as a view shows them."""
    present = {True: ' aria-current="step"', False: ""}
    items = "".join(
        f'<li class="vp-step vp-{one.when}"{present[one.when == "now"]}>{one.svg}{one.name}</li>'
        for one in stage_steps(stage)
    )
    return f'<ol class="vp-steps">{items}</ol>'


def small(pictures: Sequence[VesselPicture]) -> str:
    """Many vessels, three in a row on a phone."""
    drawn = "".join(f"<div>{vessel_svg(one, 'small', parts_apart=True)}</div>" for one in pictures)
    return f'{shared_parts()}<div class="many">{drawn}</div>'


def sheet(inside: str) -> str:
    """The whole page."""
    head = f'<meta charset="utf-8"><title>Vessels</title><style>{COLOURS}{CSS}</style>'
    return f'<!DOCTYPE html><html lang="en">{head}<main><h1>Vessels</h1>{inside}</main></html>'
