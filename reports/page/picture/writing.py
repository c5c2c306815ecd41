"""The lines on a vessel and the words and marks about it."""

from reports import amounts
from reports.language import say, say_in
from reports.letters.sentences import alarms_open
from reports.page.picture import fittings
from reports.page.picture.labels import Caption, drawn, spread, wrapped
from reports.page.picture.level import WaterScale
from reports.page.picture.outline import Outline
from reports.page.picture.sizes import Places
from reports.page.picture.svg import element, figure, path
from reports.page.picture.vessel_picture import VesselPicture
from reports.page.picture.words import IDLE, warmth_label

# Words begin so far from the widest vessel.
_CLEAR = 11.0


def around(picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places) -> list[str]:
    """Everything, in the order in which it is painted."""
    lines = [] if picture.stage in IDLE else _lines(outline, scale, room)
    captions = captions_of(picture, outline, scale, room) if room.letter else []
    return [
        *lines,
        *(_bracket(picture, scale, room)),
        *(drawn(caption) for caption in captions),
        *_state(picture, outline, scale),
        *_top(picture, room),
    ]


def captions_of(picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places) -> list[Caption]:
    """The words beside the vessel: its lines to the right, its water to the left."""
    if picture.stage in IDLE:
        return []
    top, bottom = room.rim_y - room.letter, _lowest(picture, room)
    return [
        *spread(_marks(outline, scale, room), top, bottom),
        *spread(_water(picture, scale, room), top, bottom),
    ]


def _lowest(picture: VesselPicture, room: Places) -> float:
    """Above the other cups of a tray."""
    bottom = room.bottom_y(picture.count)
    return bottom if picture.count == 1 else bottom - (bottom - room.rim_y) * 0.32


def _marks(outline: Outline, scale: WaterScale, room: Places) -> list[Caption]:
    """The mark, the low mark, the brim, and how far the lines on the glass are apart."""
    brim = [(scale.brim_y, say_in("line on a vessel", "brim"))] if scale.brim_ml > 0 else []
    named = [
        (scale.mark_y, say_in("line on a vessel", "mark")),
        (scale.low_y, say_in("line on a vessel", "low mark")),
    ]
    captions = [_named(outline, room, y, text, bold=y == scale.mark_y) for y, text in (*named, *brim)]
    if not room.fine:
        return captions
    letter = room.letter * 0.8
    step = say(
        "a line every {amount}", amount=amounts.volume(scale.line_ml).replace(" ", "\N{NO-BREAK SPACE}")
    )
    lines = wrapped(step, letter, _room_beside(room))
    return [*captions, Caption(lines, _right_x(room), scale.low_y + room.letter * 1.6, letter, "vp-quiet")]


def _named(outline: Outline, room: Places, y: float, text: str, *, bold: bool) -> Caption:
    lines = wrapped(text, room.letter, _room_beside(room), bold=bold)
    at = (outline.centre_x + outline.half_at(y) + (10 if bold else 5), y)
    return Caption(lines, _right_x(room), y, room.letter, bold=bold, points_at=at)


def _right_x(room: Places) -> float:
    return room.centre_x + room.widest + _CLEAR


def _room_beside(room: Places) -> float:
    return room.side - _CLEAR


def _water(picture: VesselPicture, scale: WaterScale, room: Places) -> list[Caption]:
    """How far the water stands from the mark, and between which limits."""
    believed = picture.loss_ml
    if believed is None:
        return []
    beside = _room_beside(room) - 3
    likely = wrapped(amounts.short_level(believed.p50), room.letter, beside, bold=True)
    y, x = scale.y(believed.p50), room.centre_x - room.widest - _CLEAR - 3
    at = (room.centre_x - room.widest - 5, y)
    said = Caption(likely, x, y, room.letter, "vp-level", bold=True, to_left=True, points_at=at)
    sharp = amounts.number(believed.p10) == amounts.number(believed.p90)
    if sharp or not room.fine:
        return [said]
    letter = room.letter * 0.8
    ends = wrapped(f"({amounts.level_ends(believed)})", letter, beside)
    return [said, Caption(ends, x, y + said.high / 2 + letter, letter, "vp-level", to_left=True)]


def _bracket(picture: VesselPicture, scale: WaterScale, room: Places) -> list[str]:
    """Between which heights the water is believed to stand, beside the glass."""
    if picture.loss_ml is None or picture.stage in IDLE or not room.letter:
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


def _state(picture: VesselPicture, outline: Outline, scale: WaterScale) -> list[str]:
    """A question where the water is not known, a tick where the batch is over."""
    high = (outline.bottom_y - outline.rim_y) * 0.3
    x, y = outline.centre_x, (scale.mark_y + scale.low_y) / 2
    if picture.stage == "ended":
        sign = path([(x - high / 2, y), (x - high / 8, y + high / 2), (x + high / 2, y - high / 2)])
        return [element("path", d=sign, class_="vp-over")]
    if picture.loss_ml is None and picture.stage not in IDLE:
        return [element("text", "?", x=x, y=y + high * 0.36, font_size=high, class_="vp-question")]
    return []


def _top(picture: VesselPicture, room: Places) -> list[str]:
    """Above the vessel: its warmth to the left, its lamp, its alarms to the right."""
    scale = (room.letter or 11) / 15
    parts = []
    if picture.lamp is not None:
        parts.append(
            fittings.lamp(picture.lamp, room.centre_x, 13.5 * scale, scale * (1.0 if room.letter else 0.8))
        )
    if picture.warmth is not None:
        parts.append(fittings.warmth_mark(picture.warmth, 14 * scale, 15 * scale, scale))
    if picture.alarms:
        x = room.centre_x + 46 * scale if room.letter else room.width - 13 * scale
        parts.append(fittings.alarm_mark(x, 15 * scale, scale))
    return [*parts, *(_top_words(picture, room, scale) if room.letter else [])]


def _top_words(picture: VesselPicture, room: Places, scale: float) -> list[str]:
    said = []
    if picture.warmth is not None:
        lines = wrapped(warmth_label(picture), room.letter, room.centre_x - 60 * scale)
        if picture.water_c is not None:
            lines = (*lines, amounts.temperature(picture.water_c, picture.unit))
        said.append(_said(lines, 30 * scale, room, ""))
    if picture.alarms:
        words = alarms_open(picture.alarms)
        lines = wrapped(words, room.letter, room.centre_x - 62 * scale, bold=True)
        said.append(_said(lines, room.centre_x + 61 * scale, room, "vp-alarm-words"))
    return said


def _said(lines: tuple[str, ...], x: float, room: Places, class_: str) -> str:
    """Words from the top down."""
    y = 2 + len(lines) * room.letter * 0.6
    return drawn(Caption(lines, x, y, room.letter, class_, bold=bool(class_)))
