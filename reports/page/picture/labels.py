"""Words beside a vessel: broken into lines, apart from each other, each led to its line on the glass."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reports.page.picture.svg import element, escaped, path

# How wide letters are to how high, in the widest of the common fonts without serifs (DejaVu Sans, bold); and
# how high a line of them is.
_NARROW, _MIDDLE, _BROAD = 0.42, 0.7, 1.02
_NARROW_ONES, _BROAD_ONES = frozenset("fijlrtI.,:;'|()[]! \u00ad"), frozenset("mwMW%@")
_PLAIN = 0.9  # of letters that are not bold
LINE = 1.2
# A word may be broken here.
_HYPHEN = "\u00ad"
_APART = 2.0


@dataclass(frozen=True, slots=True)
class Caption:
    """Words at a height: `y` is their middle, `x` their end nearest to the vessel, `to_left` of which they
    stand or not; `points_at` is the point on the vessel that they are about."""

    lines: tuple[str, ...]
    x: float
    y: float
    letter: float
    class_: str = ""
    bold: bool = False
    to_left: bool = False
    points_at: tuple[float, float] | None = None

    @property
    def high(self) -> float:
        """How high they are."""
        return len(self.lines) * self.letter * LINE

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom."""
        wide = max((width(line, self.letter, bold=self.bold) for line in self.lines), default=0.0)
        left = self.x - wide if self.to_left else self.x
        return left, self.y - self.high / 2, left + wide, self.y + self.high / 2


def width(text: str, letter: float, *, bold: bool) -> float:
    """About how wide a text is at most."""
    wide = (_NARROW if c in _NARROW_ONES else _BROAD if c in _BROAD_ONES else _MIDDLE for c in text)
    return sum(wide) * letter * (1.0 if bold else _PLAIN)


def wrapped(text: str, letter: float, room: float, *, bold: bool = False) -> tuple[str, ...]:
    """The text in lines that have room, broken at spaces and soft hyphens; a longer piece keeps its line."""
    lines: list[str] = []
    for word in text.split(" "):
        for n, piece in enumerate(word.split(_HYPHEN)):
            joint = _HYPHEN if n else " "
            longer = f"{lines[-1]}{joint}{piece}" if lines else piece
            if lines and width(longer, letter, bold=bold) <= room:
                lines[-1] = longer
            else:
                lines = [*lines[:-1], lines[-1] + "-"] if lines and n else lines
                lines.append(piece)
    return tuple(line.replace(_HYPHEN, "") for line in lines)


def spread(captions: Sequence[Caption], top: float, bottom: float) -> list[Caption]:
    """The captions, moved up or down as little as keeps them apart and between two heights."""
    placed: list[Caption] = []
    for one in sorted(captions, key=lambda caption: caption.y):
        least = placed[-1].box[3] + _APART if placed else top
        placed.append(replace(one, y=max(one.y, least + one.high / 2)))
    most = bottom
    for n, one in reversed(list(enumerate(placed))):
        placed[n] = replace(one, y=min(one.y, most - one.high / 2))
        most = placed[n].box[1] - _APART
    return placed


def drawn(caption: Caption) -> str:
    """The words, and the line that leads to what they are about."""
    top = caption.box[1]
    words = "".join(
        element(
            "tspan",
            escaped(line),
            x=caption.x,
            y=top + (n + 0.5) * caption.letter * LINE + caption.letter * 0.34,
        )
        for n, line in enumerate(caption.lines)
    )
    anchor = {"text_anchor": "end"} if caption.to_left else {}
    classes = " ".join(filter(None, ("vp-words", "vp-bold" if caption.bold else "", caption.class_)))
    text = element("text", words, font_size=caption.letter, class_=classes, **anchor)
    return _leader(caption) + text


def _leader(caption: Caption) -> str:
    if caption.points_at is None:
        return ""
    end = caption.x + (3 if caption.to_left else -3)
    near = end + (5 if caption.to_left else -5)
    return element(
        "path", d=path([caption.points_at, (near, caption.y), (end, caption.y)]), class_="vp-leader"
    )
