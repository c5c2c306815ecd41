"""The words and signs about a vessel."""

from reports import amounts
from reports.language import say, say_in
from reports.letters.sentences import alarms_open
from reports.page.picture import fittings, gauge
from reports.page.picture.labels import LINE, Caption, drawn, spread, wrapped
from reports.page.picture.level import WaterScale
from reports.page.picture.outline import Outline
from reports.page.picture.sizes import Places
from reports.page.picture.svg import element, path
from reports.page.picture.vessel_picture import VesselPicture
from reports.page.picture.words import IDLE, warmth_label

# Words begin so far from the widest vessel.
_CLEAR = 11.0
# So much smaller is what only some look for.
_FINE = 0.86
# So many lines of words at most stand above the vessel.
_TOP_LINES = 3


def around(picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places) -> list[str]:
    """Everything, in the order in which it is painted."""
    captions = captions_of(picture, outline, scale, room) if room.letter else []
    return [
        *gauge.drawn(picture, outline, scale, room),
        *(drawn(caption) for caption in captions),
        *_state(picture, outline, scale),
        *_top(picture, room),
    ]


def captions_of(picture: VesselPicture, outline: Outline, scale: WaterScale, room: Places) -> list[Caption]:
    """The words beside the vessel: its lines to the right, its water to the left."""
    if picture.stage in IDLE:
        return []
    top, bottom = max(room.rim_y - room.letter, _TOP_LINES * room.letter * LINE + 4), _lowest(picture, room)
    return [
        *spread(_marks(outline, scale, room), top, bottom),
        *spread(_water(picture, scale, room), top, bottom),
    ]


def _lowest(picture: VesselPicture, room: Places) -> float:
    """Above the other cups of a tray."""
    bottom = room.bottom_y(picture.count)
    return bottom if picture.count == 1 else bottom - (bottom - room.rim_y) * 0.28


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
    letter = room.letter * _FINE
    amount = amounts.volume(scale.line_ml).replace(" ", "\N{NO-BREAK SPACE}")
    lines = wrapped(say("1 line = {amount}", amount=amount), letter, _room_beside(room))
    # Where there is more room: between mark and low mark, or between brim and mark.
    gaps = (scale.mark_y, scale.low_y), (scale.brim_y, scale.mark_y)
    top, bottom = max(gaps, key=lambda gap: gap[1] - gap[0])
    return [*captions, Caption(lines, _right_x(room), (top + bottom) / 2, letter, "vp-quiet")]


def _named(outline: Outline, room: Places, y: float, text: str, *, bold: bool) -> Caption:
    lines = wrapped(text, room.letter, _room_beside(room), bold=bold)
    at = (outline.centre_x + outline.half_at(y) + (10 if bold else 5), y)
    return Caption(lines, _right_x(room), y, room.letter, bold=bold, points_at=at)


def _right_x(room: Places) -> float:
    return room.centre_x + room.widest + _CLEAR


def _room_beside(room: Places) -> float:
    return room.side - _CLEAR


def _breakable(level: str) -> str:
    """A level in words, with a place at which a long one can be broken."""
    return level.replace(say("at the mark"), say_in("beside the vessel", "at the mark"))


def _water(picture: VesselPicture, scale: WaterScale, room: Places) -> list[Caption]:
    """How far the water stands from the mark, and between which limits."""
    believed = picture.loss_ml
    if believed is None:
        return []
    beside = _room_beside(room) - 3
    likely = wrapped(_breakable(amounts.short_level(believed.p50)), room.letter, beside, bold=True)
    y, x = scale.y(believed.p50), room.centre_x - room.widest - _CLEAR - 3
    at = (room.centre_x - room.widest - 5, y)
    said = Caption(likely, x, y, room.letter, "vp-level", bold=True, to_left=True, points_at=at)
    sharp = amounts.number(believed.p10) == amounts.number(believed.p90)
    if sharp or not room.fine:
        return [said]
    letter = room.letter * _FINE
    ends = wrapped(_breakable(f"({amounts.level_ends(believed)})"), letter, beside)
    return [said, Caption(ends, x, y + said.high / 2 + letter, letter, "vp-level", to_left=True)]


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
