"""The chart's letters: their sizes, how wide words are, and words in lines that fit.

A picture of 720 px is shown 343 CSS px wide in a letter on a phone of 375 px, whose page keeps 16 px free on
either side. A type of 7 pt there (1 pt is 96/72 px, CSS Values and Units) is 7 · 96/72 · 720/343 · 72/100 =
14.2 pt in the picture of 100 dots an inch.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from matplotlib.font_manager import FontProperties, findfont, get_font

from reports import words

DPI = 100
WIDTH_PX = 720
SHOWN_PX = 343

SMALL_SIZE = 14.2
NAME_SIZE = 15.0
VESSEL_SIZE = 17.0
TITLE_SIZE = 18.0
LINE_PX = 25


def shown_pt(size: float) -> float:
    """How large a type of a size in points of the picture is on a phone, in points."""
    return size * DPI / 72 * SHOWN_PX / WIDTH_PX * 72 / 96


@lru_cache(maxsize=2048)
def wide_px(text: str, size: float = SMALL_SIZE, *, bold: bool = False) -> float:
    """How wide words of a size in points are drawn."""
    font = get_font(findfont(FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal")))
    font.set_size(size, DPI)
    font.set_text(text, 0.0)
    return font.get_width_height()[0] / 64  # the font counts in 64ths of a pixel


def fitted_size(text: str, size: float, most_px: float, *, bold: bool = False) -> float:
    """The size in points, or the smaller one at which the words fit; never under the least."""
    wide = wide_px(text, size, bold=bold)
    return size if wide <= most_px else max(size * most_px / wide, SMALL_SIZE)


def cut(text: str, most_px: float, size: float = SMALL_SIZE, *, bold: bool = False) -> str:
    """The words, or as many of their letters as fit, with "…"."""
    text = words.clean(text)
    fits = len(text)
    while fits > 1 and wide_px(words.shortened(text, fits), size, bold=bold) > most_px:
        fits -= 1
    return words.shortened(text, fits)


def wrapped(text: str, most_px: float, size: float = SMALL_SIZE, *, bold: bool = False) -> list[str]:
    """The words in lines that fit; a word that is too long for a line is cut."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and wide_px(longer, size, bold=bold) <= most_px:
            lines[-1] = longer
        else:
            lines.append(cut(word, most_px, size, bold=bold))
    return lines


def in_lines(pieces: Iterable[str], first_px: float, most_px: float) -> list[str]:
    """Pieces, none of them broken, in lines; the first has other room than the rest and may stay empty."""
    lines: list[list[str]] = [[]]
    for piece in pieces:
        room_px = first_px if len(lines) == 1 else most_px
        if _wide_px([*lines[-1], piece]) <= room_px:
            lines[-1].append(piece)
        else:
            lines.append([cut(piece, most_px)])
    return ["  ".join(line) for line in lines]


def _wide_px(pieces: Sequence[str]) -> float:
    return wide_px("  ".join(pieces))
