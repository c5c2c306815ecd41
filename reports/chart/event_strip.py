"""The strip of what was done and said: a sign at its moment, words beside it, never one over another."""

from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from reports import night, times, words
from reports.chart.frame import INK, LEFT_PX, PLOT_PX, SMALL_SIZE, Frame, wide_px
from reports.language import say, to_say
from reports.records import Event

LANE_PX = 29
MARGIN_PX = 16
_MOST_LANES = 6
_SIGN_PX = 12
_SPACE_PX = 16
_LONGEST = 44
_MORE = to_say("and {count} more: see the words of the letter")


@dataclass(frozen=True, slots=True)
class Label:
    """An event's place: its lane from the top, its sign's place in pixels, its words right or left of it."""

    lane: int
    sign_px: float
    words_on: str
    text: str


@dataclass(frozen=True, slots=True)
class Strip:
    """Events laid out without overlap; `left_out` did not fit."""

    labels: tuple[Label, ...]
    lanes: int
    left_out: int


def laid_out(events: Sequence[Event], frame: Frame, *, last_on: bool = False) -> Strip:
    """The events inside the frame, each in the first lane with room; the earliest are placed first.

    Where they `last_on`, what began before the frame stands at its left edge, with its day.
    """
    inside = sorted(
        (
            event
            for event in events
            if (frame.share(event.at) >= 0.0 or last_on) and frame.share(event.at) <= 1.0
        ),
        key=lambda e: night.moment_utc(e.at),
    )
    taken: list[list[tuple[float, float]]] = []
    labels: list[Label] = []
    for event in inside:
        text = _text(event, frame)
        began = frame.share(event.at)
        sign_px = began * PLOT_PX if began >= 0.0 else _SIGN_PX
        words_on, stretch = _placed(sign_px, wide_px(text, SMALL_SIZE))
        lane = next((n for n, lane in enumerate(taken) if _free(lane, stretch)), len(taken))
        if lane >= _MOST_LANES:
            continue
        if lane == len(taken):
            taken.append([])
        taken[lane].append(stretch)
        labels.append(Label(lane, sign_px, words_on, text))
    return Strip(tuple(labels), max(len(taken), 1), len(inside) - len(labels))


def _text(event: Event, frame: Frame) -> str:
    local = night.moment_utc(event.at).astimezone(frame.zone)
    at = times.clock(local) if frame.share(event.at) >= 0.0 else times.short_moment(local)
    return f"{at} {words.shortened(event.text, _LONGEST)}"


def _placed(sign_px: float, text_px: float) -> tuple[str, tuple[float, float]]:
    """Words to the right of the sign, to its left where the right edge is too near; and what that takes."""
    if sign_px + _SIGN_PX + text_px <= PLOT_PX:
        return "right", (sign_px - _SIGN_PX, sign_px + _SIGN_PX + text_px)
    return "left", (sign_px - _SIGN_PX - text_px, sign_px + _SIGN_PX)


def _free(lane: Sequence[tuple[float, float]], stretch: tuple[float, float]) -> bool:
    return all(stretch[0] > b + _SPACE_PX or stretch[1] < a - _SPACE_PX for a, b in lane)


def strip_height_px(strip: Strip) -> int:
    """The room the strip needs; a last lane says what did not fit."""
    return (strip.lanes + bool(strip.left_out)) * LANE_PX


def draw_strip(axes: Axes, name: str, strip: Strip, marker: str) -> None:
    """The strip's name in the margin, its signs and words; says how many did not fit."""
    axes.set_xlim(0, PLOT_PX)
    axes.set_ylim(strip_height_px(strip), 0)
    axes.set_axis_off()
    _say(axes, MARGIN_PX - LEFT_PX, 0, name, bold=True)
    for label in strip.labels:
        axes.plot([label.sign_px], [_middle(label.lane)], marker, color=INK, markersize=8, clip_on=False)
        on_right = label.words_on == "right"
        x = label.sign_px + (_SIGN_PX if on_right else -_SIGN_PX)
        _say(axes, x, label.lane, label.text, anchor="left" if on_right else "right")
    if not strip.labels:
        _say(axes, 0, 0, say("none"))
    if strip.left_out:
        _say(axes, 0, strip.lanes, say(_MORE, count=strip.left_out))


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
