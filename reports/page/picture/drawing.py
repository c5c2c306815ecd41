"""A vessel drawn as SVG: text that a page holds as it is, with classes from `static/picture.css`."""

from hashlib import blake2s

from reports.page.picture import fittings, parts, writing
from reports.page.picture.inhabitants import Inhabitant, inhabitants
from reports.page.picture.level import WaterScale, scale_of
from reports.page.picture.outline import Outline, outline_of
from reports.page.picture.sizes import PLACES, Places, Size
from reports.page.picture.svg import Point, element, escaped, figure, path
from reports.page.picture.swarm import Place, Pool, places
from reports.page.picture.vessel_picture import ProbePlace, VesselPicture
from reports.page.picture.words import IDLE, description, title

# Water whose place is known to less than this is drawn with a sharp edge.
_SHARP = 0.6
# Of most of the water drawn off, about so much of the depth is drawn; how much is left is not known.
_REST = 0.2


def vessel_svg(picture: VesselPicture, size: Size, *, parts_apart: bool = False) -> str:
    """The vessel in a size: `full` with words beside its lines, `small` for many, `big` for all to see.

    It is whole in itself. With `parts_apart` it is shorter, and the page holds `shared_parts` before it.
    """
    room = PLACES[size]
    ids = blake2s(f"{size} {picture}".encode("utf-8", "replace"), digest_size=3).hexdigest()
    prefix = parts.SHARED if parts_apart else ids
    outline = outline_of(picture.shape, room, room.bottom_y(picture.count))
    scale = scale_of(picture, outline.rim_y, room.brim_y, room.low_y, outline.bottom_y)
    described = element("desc", escaped(description(picture))) if room.letter else ""
    drawn = "".join(
        (
            _behind(picture, outline, room),
            _water(picture, outline, scale, prefix),
            *_inside(picture, outline, scale, room, prefix),
            _glass(picture, outline, scale, room),
            *writing.around(picture, outline, scale, room),
        )
    )
    return element(
        "svg",
        element("title", escaped(title(picture)), id=f"{ids}t"),
        described,
        "" if parts_apart else parts.defined(prefix, drawn),
        drawn,
        viewBox=f"0 0 {figure(room.width)} {figure(room.height)}",
        role="img",
        aria_labelledby=f"{ids}t",
        class_=f"vp vp-{size}",
        xmlns="http://www.w3.org/2000/svg",
    )


def _behind(picture: VesselPicture, outline: Outline, room: Places) -> str:
    board_y = room.bottom_y(picture.count)
    tray = fittings.tray(outline, room, picture.count, board_y) if picture.count > 1 else ""
    return tray + (fittings.stand(outline, board_y) if picture.shape.kind == "cone" else "")


def _water(picture: VesselPicture, outline: Outline, scale: WaterScale, prefix: str) -> str:
    """Full up to where it surely stands, fading out to where it may stand at most."""
    if picture.stage in IDLE:
        return ""
    if picture.loss_ml is None:
        harvested = picture.stage == "harvested"
        top = outline.bottom_y - (outline.bottom_y - outline.rim_y) * _REST if harvested else scale.mark_y
        return _fading(outline.filled(top), prefix + parts.UNSURE)
    highest, likely, lowest = (scale.y(loss) for loss in sorted_losses(picture))
    sure = element("path", d=path(outline.filled(lowest), closed=True), class_="vp-water")
    edge = ""
    if lowest - highest >= _SHARP:
        edge = _fading(outline.filled(highest, lowest), prefix + parts.SOFT) + _edge(outline, highest)
    return sure + edge + _surface(outline, likely)


def sorted_losses(picture: VesselPicture) -> tuple[float, float, float]:
    """The least, likeliest and greatest loss that is believed."""
    believed = picture.loss_ml
    if believed is None:
        return 0.0, 0.0, 0.0
    least, likely, most = sorted((believed.p10, believed.p50, believed.p90))
    return least, likely, most


def _fading(inside: list[Point], part: str) -> str:
    return element("path", d=path(inside, closed=True), fill=f"url(#{part})")


def _edge(outline: Outline, y: float) -> str:
    """Where the water stands at most, as far as is believed."""
    half = outline.half_at(y)
    ends = path([(outline.centre_x - half, y), (outline.centre_x + half, y)])
    return element("path", d=ends, class_="vp-edge")


def _surface(outline: Outline, y: float) -> str:
    """Where the water most likely stands: a line of small waves."""
    half = outline.half_at(y)
    waves = max(round(half / 6), 3)
    step, high = 2 * half / waves, min(half / 22, 2.4)
    rest = f"t{step:.2f} 0" * (waves - 1)
    data = f"M{figure(outline.centre_x - half)} {figure(y)}q{step / 2:.2f} {-high:.2f} {step:.2f} 0{rest}"
    return element("path", d=data, class_="vp-surface")


def _inside(
    picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places, prefix: str
) -> list[str]:
    """The probe, and the inhabitants before it."""
    seen = picture.probe if room.letter or picture.probe is ProbePlace.AIR else None
    probe = [] if seen is None else [fittings.probe(seen, outline, scale.low_y)]
    top = scale.low_y if picture.loss_ml is None else scale.y(sorted_losses(picture)[2])
    all_of_them = inhabitants(picture, room.slots)
    where = places(picture.vessel, all_of_them, Pool(outline, top), room.animal)
    there = [(one, place) for one, place in zip(all_of_them, where, strict=True) if place is not None]
    return [*probe, *(_animal(one, place, prefix) for one, place in there)]


def _animal(one: Inhabitant, place: Place, prefix: str) -> str:
    turned = fittings.moved(place.x, place.y) + f"rotate({place.turn:.0f})scale({place.scale:.2g})"
    kind = "vp-shell" if one.where != "swimming" else "vp-sure" if one.sure else "vp-maybe"
    return element("use", href=f"#{prefix}{parts.key(one.glyph)}", class_=kind, transform=turned)


def _glass(picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places) -> str:
    idle = picture.stage in IDLE
    wall = element("path", d=path(outline.wall()), class_="vp-glass-idle" if idle else "vp-glass")
    broken = _break(outline, scale) if scale.is_broken and not idle and room.fine else ""
    drawn = fittings.pipette(outline) if picture.stage in ("being harvested", "harvested") else ""
    return wall + broken + drawn + (fittings.lid(outline) if picture.covered else "")


def _break(outline: Outline, scale: WaterScale) -> str:
    """Two strokes through either wall, as on a broken axis: below them the scale is another."""
    y = scale.low_y + (scale.bottom_y - scale.low_y) * 0.3
    half, x = outline.half_at(y), outline.centre_x
    sides = (x - half, x + half)
    gap = "".join(path([(side - 5, y + 2), (side + 5, y - 2)]) for side in sides)
    edges = "".join(
        path([(side - 6, y + d + 2.5), (side + 6, y + d - 2.5)]) for side in sides for d in (-3, 3)
    )
    return element("path", d=gap, class_="vp-gap") + element("path", d=edges, class_="vp-break")
