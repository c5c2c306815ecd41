"""What stands about a vessel: lamp, lid, probe, tube, stand, tray, and the marks of warmth and alarm.

Every mark has a shape of its own; its colour only repeats it.
"""

from collections.abc import Mapping

from reports.page.picture.outline import Outline
from reports.page.picture.sizes import Places
from reports.page.picture.svg import element, figure, path
from reports.page.picture.vessel_picture import FeltWarmth, LampLight, ProbePlace

_SHADE = "M-9 -12H9L18 2H-18Z"
_RAYS = "M-22 8L-30 17M-11 11L-15 22M0 12V24M11 11L15 22M22 8L30 17"
_BULB = "M-7 2A7 7 0 0 0 7 2"
_CROSS = "M-9 6L9 20M9 6L-9 20"
# Each about the point 0, 0, and no further from it than 12.
_WARMTH: Mapping[FeltWarmth, str] = {
    FeltWarmth.TOO_COLD: "M0 -11V11M-9.5 -5.5L9.5 5.5M-9.5 5.5L9.5 -5.5M-3.4 -9L0 -6L3.4 -9M-3.4 9L0 6L3.4 9",
    FeltWarmth.COOL: "M-9 -3L0 6L9 -3",
    FeltWarmth.RIGHT: "M-9 0L-3 7L9 -7",
    FeltWarmth.WARM: "M-9 4L0 -5L9 4",
    FeltWarmth.TOO_HOT: "M0 -11C1 -5 8 -3 8 4A8 8 0 0 1 -8 4C-8 0 -5 -2 -4 -5C-2 -3 0 -5 0 -11Z",
    FeltWarmth.NOT_KNOWN: "M-5 -5C-5 -11 5 -11 5 -5C5 -1 0 -1 0 4M0 9V9.5",
}
_COLOUR: Mapping[FeltWarmth, str] = {
    FeltWarmth.TOO_COLD: "cold",
    FeltWarmth.COOL: "cold",
    FeltWarmth.RIGHT: "right",
    FeltWarmth.WARM: "warm",
    FeltWarmth.TOO_HOT: "warm",
    FeltWarmth.NOT_KNOWN: "soft",
}


def moved(x: float, y: float, scale: float = 1.0) -> str:
    """The value of `transform` that brings a drawing there."""
    return f"translate({figure(x)} {figure(y)})" + (f"scale({scale:.3g})" if scale != 1.0 else "")


def lamp(light: LampLight, x: float, y: float, scale: float) -> str:
    """A lamp that hangs above: with rays, crossed where it should burn and does not, or just there."""
    more = {
        LampLight.LIT: element("path", d=_RAYS, class_="vp-rays"),
        LampLight.DARK: element("path", d=_CROSS, class_="vp-crossed"),
    }
    return element(
        "g",
        element("path", d=_BULB, class_="vp-bulb-lit" if light is LampLight.LIT else "vp-bulb"),
        element("path", d=_SHADE, class_="vp-shade"),
        more.get(light, ""),
        transform=moved(x, y, scale),
    )


def warmth_mark(felt: FeltWarmth, x: float, y: float, scale: float) -> str:
    """A star of ice, an arrow down or up, a tick, a flame, or a question."""
    return element(
        "path", d=_WARMTH[felt], class_=f"vp-warmth vp-{_COLOUR[felt]}", transform=moved(x, y, scale)
    )


def alarm_mark(x: float, y: float, scale: float) -> str:
    """A triangle with an exclamation mark."""
    return element(
        "g",
        element("path", d="M0 -11L12 10H-12Z", class_="vp-alarm"),
        element("path", d="M0 -4V3M0 6.6V7", class_="vp-alarm-sign"),
        transform=moved(x, y, scale),
    )


def lid(outline: Outline) -> str:
    """A flat cover that lies on the rim."""
    half, y, x = outline.profile[0][1] + 5, outline.rim_y, outline.centre_x
    knob = max(half * 0.1, 3)
    return element(
        "path", d=f"M{figure(x - half)} {figure(y)}H{figure(x + half)}", class_="vp-lid"
    ) + element("path", d=f"M{figure(x - knob)} {figure(y - 4)}H{figure(x + knob)}", class_="vp-lid")


def probe(place: ProbePlace, outline: Outline, low_y: float) -> str:
    """A cable over the rim with a metal tip: in the water, or hanging above it."""
    half = outline.profile[0][1]
    x, top = outline.centre_x + half * 0.62, outline.rim_y
    deep = outline.bottom_y - top
    tip_y = low_y + deep * 0.08 if place is ProbePlace.WATER else top + deep * 0.12
    x = min(x, outline.centre_x + outline.half_at(tip_y + deep * 0.1) - 5)
    over = outline.centre_x + half + deep * 0.03
    cable = f"M{figure(over)} {figure(top + deep * 0.05)}C{figure(over)} {figure(top - deep * 0.1)} "
    cable += f"{figure(x)} {figure(top - deep * 0.1)} {figure(x)} {figure(tip_y)}"
    return element("path", d=cable, class_="vp-cable") + element(
        "path", d=path([(x, tip_y), (x, tip_y + deep * 0.1)]), class_="vp-tip"
    )


def pipette(outline: Outline) -> str:
    """A pipette that reaches into the water: animals are being drawn off, or were."""
    half, top, deep = outline.profile[0][1], outline.rim_y, outline.bottom_y - outline.rim_y
    x, high = outline.centre_x - half * 0.42, deep * 0.05
    tip = path([(x, top - high), (x, top + deep * 0.5)])
    bulb = (
        f"M{figure(x - high * 0.5)} {figure(top - high)}C{figure(x - high * 1.8)} {figure(top - high * 3.4)} "
    )
    bulb += (
        f"{figure(x + high * 1.8)} {figure(top - high * 3.4)} {figure(x + high * 0.5)} {figure(top - high)}Z"
    )
    return (
        element("path", d=tip, class_="vp-tube")
        + element("path", d=tip, class_="vp-tube-inside")
        + element("path", d=bulb, class_="vp-bulb-rubber")
    )


def stand(outline: Outline, board_y: float) -> str:
    """The legs that a cone hangs in, and its tap."""
    ring_y = outline.rim_y + (outline.bottom_y - outline.rim_y) * 0.42
    half, x = outline.half_at(ring_y), outline.centre_x
    legs = path([(x - half, ring_y), (x - half - 3, board_y)]) + path(
        [(x + half, ring_y), (x + half + 3, board_y)]
    )
    tap = path([(x, outline.bottom_y), (x, board_y - 2)])
    bar = path([(x - 5, outline.bottom_y + 3), (x + 5, outline.bottom_y + 3)])
    return element("path", d=legs, class_="vp-stand") + element("path", d=tap + bar, class_="vp-stand")


def tray(outline: Outline, places: Places, count: int, board_y: float) -> str:
    """The tray, with like ones that stand beside the drawn one, and how many there are of them."""
    around = 2 if places.letter else 1
    room = (places.centre_x - places.widest - 4) / around
    scale = min(0.3, room / (2.6 * places.widest))
    beside = min(count - 1, 2 * around)
    offsets = [places.widest + 2 + room * (n // 2 + 0.5) for n in range(beside)]
    others = [
        _small(outline, places.centre_x + (off if n % 2 else -off), board_y, scale)
        for n, off in enumerate(offsets)
    ]
    box = element(
        "path",
        d=f"M3 {figure(board_y)}H{figure(places.width - 3)}l-4 {figure(places.tray)}H7Z",
        class_="vp-tray",
    )
    number = element(
        "text",
        f"× {count}",
        x=places.centre_x,
        y=board_y + places.tray * 0.8,
        font_size=places.tray * 0.82,
        class_="vp-count",
    )
    return "".join(others) + box + number


def _small(outline: Outline, x: float, board_y: float, scale: float) -> str:
    wall = [
        (x + (px - outline.centre_x) * scale, board_y + (py - board_y) * scale) for px, py in outline.wall()
    ]
    return element("path", d=path(wall), class_="vp-other")
