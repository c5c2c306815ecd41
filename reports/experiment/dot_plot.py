"""An experiment as a picture: each cup a dot, each level's share a diamond with its interval.

SVG as text, for a page and as a file of its own. Its colours are attributes, which a page's style may replace
by its classes; dot, diamond and bar differ in shape, so nothing hangs on a colour.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from reports.chart.palette import HATCH, INK, QUIET, RULE, WATER
from reports.experiment.figures import most_and_fewest, of_hundred
from reports.experiment.findings import ComparedSeen, LevelSeen
from reports.language import current, say
from reports.page.picture.svg import element, escaped
from reports.words import clean, shortened

WIDTH = 360.0
_LEFT, _RIGHT = 14.0, 14.0
_TOP, _ROW, _FOOT = 4.0, 66.0, 72.0
_NAME_Y, _DOTS_Y, _BAR_Y, _RULES = 14.0, 33.0, 49.0, (21.0, 58.0)  # within a row
_MARKS = (0.0, 0.25, 0.5, 0.75, 1.0)
_DOT, _DIAMOND, _CAP = 4.5, 5.5, 5.0
_NAME_CHARACTERS = 24
_FONT = "system-ui, sans-serif"


def dot_plot(compared: ComparedSeen, key: str = "experiment") -> str:
    """The picture, as wide as there is room; `key` (letters, digits, hyphens) tells those of a page apart."""
    height = _TOP + _ROW * len(compared.levels) + _FOOT
    title, words = f"{key}-title", f"{key}-words"
    return element(
        "svg",
        element("title", escaped(say("Share hatched at each level, cup by cup")), id=title),
        element("desc", escaped(in_words(compared)), id=words),
        *(part for row, level in enumerate(compared.levels) for part in _row(level, _TOP + _ROW * row)),
        *_axis(height - _FOOT),
        *_legend(height - _FOOT),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:g} {height:g}",
        width="100%",
        role="img",
        lang=current(),
        aria_labelledby=f"{title} {words}",
        class_="dots",
        font_family=_FONT,
        font_size=13.0,
        fill=INK,
    )


def in_words(compared: ComparedSeen) -> str:
    """The picture for those who do not see it."""
    levels = [
        say(
            "{level}: {share} of 100, from {low} to {high}; cups: {cups}.",
            level=clean(level.level),
            share=of_hundred(level.share),
            low=of_hundred(level.low),
            high=of_hundred(level.high),
            cups=", ".join(f"{hatched}/{of}" for hatched, of in level.cups),
        )
        for level in compared.levels
    ]
    return " ".join([most_and_fewest(compared), *levels])


def _x(share: float) -> float:
    return _LEFT + share * (WIDTH - _LEFT - _RIGHT)


def _axis(foot: float) -> Iterator[str]:
    for share in _MARKS:
        anchor = {0.0: "start", 1.0: "end"}.get(share, "middle")
        x, y = _x(share), foot + 14.0
        yield element(
            "text", f"{100 * share:g}", x=x, y=y, text_anchor=anchor, fill=QUIET, class_="dots-quiet"
        )


def _row(level: LevelSeen, top: float) -> Iterator[str]:
    name = shortened(level.level, _NAME_CHARACTERS)
    yield element("text", escaped(name), x=_LEFT, y=top + _NAME_Y, font_weight="bold")
    figures = say(
        "{share} ({low} to {high})",
        share=of_hundred(level.share),
        low=of_hundred(level.low),
        high=of_hundred(level.high),
    )
    yield element("text", escaped(figures), x=WIDTH - _RIGHT, y=top + _NAME_Y, text_anchor="end")
    yield from _rules(top)
    yield from _dots(level.cups, top + _DOTS_Y)
    yield from _bar(level, top + _BAR_Y)


def _rules(top: float) -> Iterator[str]:
    began, ended = (top + y for y in _RULES)
    for x in map(_x, _MARKS):
        yield element(
            "line", x1=x, x2=x, y1=began, y2=ended, stroke=RULE, stroke_width=0.6, class_="dots-rule"
        )


def _dots(cups: Sequence[tuple[int, int]], y: float) -> Iterator[str]:
    """Cups of one share lie over each other, a little apart."""
    stacked: Counter[float] = Counter()
    for hatched, of in cups:
        share = hatched / of
        up = 2.5 * min(stacked[share], 3)
        stacked[share] += 1
        yield element(
            "circle",
            cx=_x(share),
            cy=y - up,
            r=_DOT,
            fill=HATCH,
            fill_opacity="0.35",
            stroke=HATCH,
            class_="dots-cup",
        )


def _bar(level: LevelSeen, y: float) -> Iterator[str]:
    """The interval; dashed where it is of a single cup, which says nothing of others."""
    low, middle, high = _x(level.low), _x(level.share), _x(level.high)
    dashed = {"stroke_dasharray": "4 3"} if len(level.cups) == 1 else {}
    yield element(
        "line", x1=low, x2=high, y1=y, y2=y, stroke=WATER, stroke_width=2.0, class_="dots-bar", **dashed
    )
    for end in (low, high):
        yield element(
            "line",
            x1=end,
            x2=end,
            y1=y - _CAP,
            y2=y + _CAP,
            stroke=WATER,
            stroke_width=2.0,
            class_="dots-bar",
        )
    corners = [(middle - _DIAMOND, y), (middle, y - _DIAMOND), (middle + _DIAMOND, y), (middle, y + _DIAMOND)]
    points = " ".join(f"{a:.1f},{b:.1f}" for a, b in corners)
    yield element("polygon", points=points, fill=WATER, class_="dots-share")


def _legend(foot: float) -> Iterator[str]:
    lines = (
        say("hatched of 100 cysts"),
        say("dot: a cup; diamond: all cups of the level"),
        say("bar: interval (95 %), dashed where it is of a single cup"),
    )
    for row, line in enumerate(lines):
        y = foot + 32.0 + 16.0 * row
        yield element("text", escaped(line), x=_LEFT, y=y, font_size=12.0, fill=QUIET, class_="dots-quiet")
