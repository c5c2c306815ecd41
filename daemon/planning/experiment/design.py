"""An experiment with cups, before it is set: what is changed, in how many cups, and which cup stands where.

The layout follows Hurlbert 1984 (Ecological Monographs 54:187–211) [M]: treatments are replicated, dealt out
at random and interspersed. Cups stand in complete blocks along what changes by itself in a room, from the
window, the lamp or the heater inwards; each level stands once in each block. Across the blocks the levels
change places as in a Latin square (Fisher 1935, *The Design of Experiments*) [M], so that none of them has a
side of the shelf to itself.
"""

import random
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from daemon.errors import InputError
from daemon.input.file import shown
from daemon.planning.experiment.level import doubtful_comma, key_of, separated, with_unit

LEAST_LEVELS, MOST_LEVELS = 2, 6
MOST_CUPS = 20  # a level
MOST_CYSTS = 10_000  # a cup; far more than anybody counts
MOST_SEED = 999_999_999
IDEA_LONGEST, FACTOR_LONGEST, LEVEL_LONGEST = 200, 40, 30
# From where the room changes: the first block stands nearest to it.
NEAR = ("window", "lamp", "heater", "door")
# Nothing that looks like another letter or digit in a child's hand, or like one when a cup is turned round:
# 6 and 9, M and W, V (an A), E and L (E7 upside down is L3).
_LETTERS, _DIGITS = "ACDFHJKNPRTUXY", "23478"


@dataclass(frozen=True, slots=True)
class ExperimentDesign:
    """An `idea` in words; the `factor` that is changed and its `levels`; `cups` a level, `cysts` a cup.

    `near` is one of `NEAR`. One seed gives one seat map.
    """

    idea: str
    factor: str
    levels: tuple[str, ...]
    cups: int
    cysts: int
    near: str
    seed: int


@dataclass(frozen=True, slots=True)
class Seat:
    """Where a cup stands: its block and its place within that, both from 1; what stands on it, and what is
    in it, which its `code` does not say."""

    block: int
    place: int
    code: str
    level: str


def design_of(
    idea: str, factor: str, levels: str | Sequence[str], cups: int, cysts: int, near: str, seed: int
) -> ExperimentDesign:
    """What somebody wrote, checked; `levels` may be one text. Raises InputError with a line a fault."""
    faults: list[str] = []
    texts = separated(levels) if isinstance(levels, str) else [one.strip() for one in levels]
    named = tuple(with_unit(factor.strip(), one) for one in texts)
    _check_line("idea", idea, IDEA_LONGEST, faults, least=0)
    _check_line("factor", factor, FACTOR_LONGEST, faults)
    if isinstance(levels, str) and (comma := doubtful_comma(levels)):
        allowed = "semicolons between levels, such as 10; 22.5, or a point in a number"
        faults.append(f"levels: found a comma between digits in {shown(comma)}; allowed: {allowed}")
    else:
        _check_levels(factor.strip(), named, faults)
    for name, value, least, most in (
        ("cups", cups, 1, MOST_CUPS),
        ("of", cysts, 1, MOST_CYSTS),
        ("seed", seed, 0, MOST_SEED),
    ):
        if not least <= value <= most:
            faults.append(f"{name}: found {shown(value)}; allowed: a whole number from {least} to {most}")
    if near not in NEAR:
        faults.append(f"near: found {shown(near)}; allowed: {', '.join(NEAR)}")
    if faults:
        raise InputError(*faults)
    return ExperimentDesign(idea.strip(), factor.strip(), named, cups, cysts, near, seed)


def _check_line(name: str, text: str, longest: int, faults: list[str], least: int = 1) -> None:
    if not least <= len(text.strip()) <= longest or not text.isprintable():
        faults.append(f"{name}: found {shown(text)}; allowed: one line, {least} to {longest} characters")


def _check_levels(factor: str, levels: Sequence[str], faults: list[str]) -> None:
    if not LEAST_LEVELS <= len(levels) <= MOST_LEVELS:
        allowed = f"{LEAST_LEVELS} to {MOST_LEVELS}, separated by commas or semicolons"
        faults.append(f"levels: found {len(levels)}; allowed: {allowed}")
        return
    for level in levels:
        # What begins otherwise a spreadsheet may take for a formula.
        if not level[:1].isalnum() or len(level) > LEVEL_LONGEST or not level.isprintable():
            allowed = f"1 to {LEVEL_LONGEST} characters that begin with a letter or a digit"
            faults.append(f"levels: found {shown(level)}; allowed: {allowed}")
    if same := twins(factor, levels):
        before, level = same
        again = "twice" if before == level else f"and {shown(level)}, which are the same"
        faults.append(f"levels: found {shown(before)} {again}; allowed: each level once")


def twins(factor: str, levels: Sequence[str]) -> tuple[str, str] | None:
    """The first two levels that are one, such as 10 g/L and 10,0 g/L; None where there are none."""
    written: dict[tuple[float | None, str], str] = {}
    for level in levels:
        before = written.setdefault(key := key_of(factor, level), "")
        if before:
            return before, level
        written[key] = level
    return None


def seat_map(design: ExperimentDesign, avoided: Collection[str] = ()) -> tuple[Seat, ...]:
    """Block by block, and place by place within; no code is one of those `avoided`, while others are left.

    The same design has the same map, for ever; its codes are the same where the same ones are avoided.
    """
    rows = _blocks(_Deal(design.seed, "levels"), len(design.levels), design.cups)
    codes = iter(_codes(_Deal(design.seed, "codes"), len(design.levels) * design.cups, avoided))
    return tuple(
        Seat(block, place, next(codes), design.levels[level])
        for block, row in enumerate(rows, start=1)
        for place, level in enumerate(row, start=1)
    )


def is_interspersed(seats: Sequence[Seat]) -> bool:
    """Whether no level has a part of the shelf to itself.

    Each block holds each level once, and at each place each level stands as often as the others, but for one:
    so every edge holds several levels, and of the four corners no level holds more than two. At most two
    alike stand one behind the other. One cup a level has no sides that could be shared.
    """
    blocks: dict[int, list[str]] = {}
    for seat in sorted(seats, key=lambda one: (one.block, one.place)):
        blocks.setdefault(seat.block, []).append(seat.level)
    rows, levels = list(blocks.values()), {seat.level for seat in seats}
    if any(sorted(row) != sorted(levels) for row in rows):
        return False
    columns = list(zip(*rows, strict=True))
    return all(_is_even(column, levels) and not _thrice(column) for column in columns)


def _thrice(line: Sequence[str]) -> bool:
    return any(one == two == three for one, two, three in zip(line, line[1:], line[2:], strict=False))


def _is_even(column: Sequence[str], levels: set[str]) -> bool:
    often = [column.count(level) for level in levels]
    return max(often) - min(often) <= 1


class _Deal:
    """Random draws by a seed. Only `random()` itself is promised to stay the same from Python to Python."""

    def __init__(self, seed: int, what: str) -> None:
        self._random = random.Random(f"{seed}/{what}")  # noqa: S311 - which cup stands where is no secret

    def shuffled(self, count: int) -> list[int]:
        """The whole numbers below `count` in any order (Fisher & Yates)."""
        order = list(range(count))
        for last in range(count - 1, 0, -1):
            other = int(self._random.random() * (last + 1))
            order[last], order[other] = order[other], order[last]
        return order


def _blocks(deal: _Deal, levels: int, cups: int) -> list[list[int]]:
    """Latin squares one behind the other, the last one cut off where the cups end."""
    rows: list[list[int]] = []
    while len(rows) < cups:
        square = _square(deal, levels)
        # From three levels on no cup has one of its own level behind it; two would only alternate.
        if levels > 2 and rows and any(one == two for one, two in zip(rows[-1], square[0], strict=True)):
            continue
        rows += square
    return rows[:cups]


def _square(deal: _Deal, size: int) -> list[list[int]]:
    """A Latin square: the cyclic one with its rows, columns and levels shuffled (Fisher & Yates)."""
    rows, columns, names = (deal.shuffled(size) for _ in range(3))
    return [[names[(row + column) % size] for column in columns] for row in rows]


def _codes(deal: _Deal, count: int, avoided: Collection[str]) -> list[str]:
    """Codes for so many cups, each once; they know of no level. Long ones come when the short ones are gone,
    those that are avoided last of all."""
    short = [f"{letter}{digit}" for letter in _LETTERS for digit in _DIGITS]
    long = [f"{code}{digit}" for code in short for digit in _DIGITS]
    drawn = [codes[index] for codes in (short, long) for index in deal.shuffled(len(codes))]
    taken = set(avoided)
    return sorted(drawn, key=taken.__contains__)[:count]
