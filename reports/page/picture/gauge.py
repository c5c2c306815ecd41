"""The lines on a vessel by which its water is read: mark, low mark, brim, and what to count by."""

from reports.page.picture.level import WaterScale
from reports.page.picture.outline import Outline
from reports.page.picture.sizes import Places
from reports.page.picture.svg import element, figure, path
from reports.page.picture.vessel_picture import VesselPicture
from reports.page.picture.words import IDLE


def drawn(picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places) -> list[str]:
    """All lines; none where no batch runs."""
    if picture.stage in IDLE:
        return []
    return [*_lines(outline, scale, room), *_bracket(picture, scale, room)]


def _bracket(picture: VesselPicture, scale: WaterScale, room: Places) -> list[str]:
    """Between which heights the water is believed to stand, beside the glass."""
    if picture.loss_ml is None or not room.letter:
        return []
    high, low = (scale.y(loss) for loss in sorted((picture.loss_ml.p10, picture.loss_ml.p90)))
    x = room.centre_x - room.widest - 5
    ends = path([(x + 4, high), (x, high), (x, low), (x + 4, low)])
    return [element("path", d=ends, class_="vp-range")]


def _lines(outline: Outline, scale: WaterScale, room: Places) -> list[str]:
    """The mark whole, with a pointer; the low mark in dashes; the brim in dots."""
    return [
        *([_ticks(outline, scale)] if room.fine else []),
        *([_line(outline, scale.brim_y, "vp-brim", 3)] if scale.brim_ml > 0 else []),
        _line(outline, scale.low_y, "vp-low", 3),
        _line(outline, scale.mark_y, "vp-mark", 5),
        _pointer(outline, scale.mark_y, room),
    ]


def _line(outline: Outline, y: float, class_: str, beyond: float) -> str:
    half = outline.half_at(y) + beyond
    return element(
        "path", d=path([(outline.centre_x - half, y), (outline.centre_x + half, y)]), class_=class_
    )


def _pointer(outline: Outline, y: float, room: Places) -> str:
    x, high = outline.centre_x + outline.half_at(y) + 1, max(room.letter * 0.32, 3.4)
    return element(
        "path",
        d=path([(x, y), (x + high * 1.5, y - high), (x + high * 1.5, y + high)], closed=True),
        class_="vp-pointer",
    )


def _ticks(outline: Outline, scale: WaterScale) -> str:
    data = "".join(
        f"M{figure(outline.centre_x - outline.half_at(y))} {figure(y)}h9"
        for y in (scale.y(loss) for loss in scale.lines())
    )
    return element("path", d=data, class_="vp-tick")
