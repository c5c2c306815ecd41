"""The strip of deeds, letters or alarms: a sign at its moment, words beside it, never one over another."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from matplotlib.axes import Axes

from reports import night, times, words
from reports.chart.frame import LEFT_PX, MARGIN_PX, Frame
from reports.chart.palette import INK
from reports.chart.panel import Row, space
from reports.chart.type import SMALL_SIZE, WIDTH_PX, cut, wide_px
from reports.language import say, to_say
from reports.records import Event

LANE_PX = 27
_LANES_A_DAY, _LANES_LONGER = 6, 12
_DAY = timedelta(hours=30)
SIGN_PX = 13
_SPACE_PX = 14
_BEFORE_PX = LEFT_PX - MARGIN_PX
_EDGE_PX = 12
_MORE = to_say("and {count} more, marked above")


@dataclass(frozen=True, slots=True)
class Label:
    """An event's place: its lane from the top, its sign's place in pixels, its words right or left of it."""

    lane: int
    sign_px: float
    words_on: str
    text: str


@dataclass(frozen=True, slots=True)
class Strip:
    """Events laid out without overlap; `unsaid` are the signs of those whose words found no room."""

    name: str
    labels: tuple[Label, ...]
    lanes: int
    unsaid: tuple[float, ...]


def laid_out(name: str, events: Sequence[Event], frame: Frame, *, last_on: bool = False) -> Strip:
    """The events inside the frame, each in the first lane with room; the earliest are placed first.

    Where they `last_on`, what began before the frame stands at its left edge, with its day. The strip's name
    has its place in the first lane.
    """
    most_lanes = _LANES_A_DAY if frame.ended - frame.began <= _DAY else _LANES_LONGER
    shown = [
        event
        for event in events
        if (frame.share(event.at) >= 0.0 or last_on) and frame.share(event.at) <= 1.0
    ]
    taken: list[list[tuple[float, float]]] = [
        [(-_BEFORE_PX, wide_px(name, SMALL_SIZE, bold=True) - _BEFORE_PX)]
    ]
    labels: list[Label] = []
    unsaid: list[float] = []
    for event in sorted(shown, key=lambda e: night.moment_utc(e.at)):
        began = frame.share(event.at)
        sign_px = began * frame.plot_px if began >= 0.0 else SIGN_PX
        words_on, text, stretch = _placed(sign_px, f"{_when(event, frame)} {words.clean(event.text)}")
        lane = next((n for n, lane in enumerate(taken) if _free(lane, stretch)), len(taken))
        if lane >= most_lanes:
            unsaid.append(sign_px)
            continue
        if lane == len(taken):
            taken.append([])
        taken[lane].append(stretch)
        labels.append(Label(lane, sign_px, words_on, text))
    return Strip(name, tuple(labels), len(taken), tuple(unsaid))


def _when(event: Event, frame: Frame) -> str:
    local = night.moment_utc(event.at).astimezone(frame.zone)
    return frame.said(event.at) if frame.share(event.at) >= 0.0 else times.short_moment(local)


def _placed(sign_px: float, text: str) -> tuple[str, str, tuple[float, float]]:
    """Words to the right of the sign, to its left where there is more room; cut where neither has enough."""
    right_px = WIDTH_PX - LEFT_PX - _EDGE_PX
    room_px = {"right": right_px - sign_px - SIGN_PX, "left": sign_px + _BEFORE_PX - SIGN_PX}
    on = "right" if wide_px(text) <= room_px["right"] else max(room_px, key=lambda side: room_px[side])
    text = cut(text, room_px[on])
    if on == "right":
        return on, text, (sign_px - SIGN_PX, sign_px + SIGN_PX + wide_px(text))
    return on, text, (sign_px - SIGN_PX - wide_px(text), sign_px + SIGN_PX)


def _free(lane: Sequence[tuple[float, float]], stretch: tuple[float, float]) -> bool:
    return all(stretch[0] > b + _SPACE_PX or stretch[1] < a - _SPACE_PX for a, b in lane)


def strip_rows(
    name: str, events: Sequence[Event], frame: Frame, marker: str, *, last_on: bool = False
) -> list[Row]:
    """The strip as rows of the sheet."""
    strip = laid_out(name, events, frame, last_on=last_on)
    return [
        Row(0, strip_height_px(strip), lambda axes: draw_strip(axes, strip, marker, frame)),
        space(MARGIN_PX),
    ]


def strip_height_px(strip: Strip) -> int:
    """The room the strip needs; two last lanes mark and count what has no words."""
    return (strip.lanes + 2 * bool(strip.unsaid)) * LANE_PX


def draw_strip(axes: Axes, strip: Strip, marker: str, frame: Frame) -> None:
    """The strip's name in the margin, its signs and words; what has no words is marked and counted."""
    axes.set_xlim(0, frame.plot_px)
    axes.set_ylim(strip_height_px(strip), 0)
    axes.set_axis_off()
    _say(axes, -_BEFORE_PX, 0, strip.name, bold=True)
    for label in strip.labels:
        _sign(axes, label.sign_px, label.lane, marker)
        on_right = label.words_on == "right"
        x = label.sign_px + (SIGN_PX if on_right else -SIGN_PX)
        _say(axes, x, label.lane, label.text, anchor="left" if on_right else "right")
    if not strip.labels:
        _say(axes, max(0, wide_px(strip.name, bold=True) - _BEFORE_PX + _SPACE_PX), 0, say("none"))
    for sign_px in strip.unsaid:
        _sign(axes, sign_px, strip.lanes, marker)
    if strip.unsaid:
        _say(axes, 0, strip.lanes + 1, say(_MORE, count=len(strip.unsaid)))


def _sign(axes: Axes, x: float, lane: int, marker: str) -> None:
    axes.plot([x], [_middle(lane)], marker, color=INK, markersize=8, clip_on=False)


def _middle(lane: int) -> float:
    return (lane + 0.5) * LANE_PX


def _say(axes: Axes, x: float, lane: int, text: str, *, anchor: str = "left", bold: bool = False) -> None:
    axes.text(
        x,
        _middle(lane),
        text,
        ha=anchor,
        va="center_baseline",
        fontsize=SMALL_SIZE,
        fontweight="bold" if bold else "normal",
        color=INK,
    )
