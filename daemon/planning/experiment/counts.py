"""What was counted: in each cup of each level so many of so many hatched."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from daemon.errors import InputError
from daemon.input.csv import read_number
from daemon.input.file import shown
from daemon.planning.experiment.level import measured, unit_of

LONGEST_NAME = 40
MOST_IN_A_CUP = 10_000
MOST_IN_ALL = 900_000  # what the science's distributions are good for
MOST_CUPS = 400
MOST_LEVELS = 20
MOST_HOURS = 24.0 * 30
MOST_SALT_G_PER_L = 350.0  # hardly more dissolves
WATER_C = (-5.0, 60.0)  # as for a probe: what a thermometer may be believed to say


@dataclass(frozen=True, slots=True)
class CupCount:
    """One count of one cup: `hatched` of `of` cysts that could (full ones).

    `hours` since the cysts were set, `water_c`, the water's mean temperature until then, and the salt in a
    litre of water, where known.
    """

    level: str
    cup: str
    of: int
    hatched: int
    hours: float | None = None
    water_c: float | None = None
    salt_g_per_l: float | None = None

    @property
    def share(self) -> float:
        """Share hatched."""
        return self.hatched / self.of


# Why a cup may be lost, as the store and a table have it.
WHY_LOST = ("broken", "spilled", "dry", "mixed-up", "moved")


@dataclass(frozen=True, slots=True)
class LostCup:
    """A cup that is lost, `at` Unix seconds, and why: one of `WHY_LOST`, None where nobody said."""

    level: str
    cup: str
    at: int
    why: str | None = None


@dataclass(frozen=True, slots=True)
class Counts:
    """All counts of an experiment, one a cup (or one a cup and hour); `counts_of` looks them over."""

    cups: tuple[CupCount, ...]
    lost: tuple[LostCup, ...] = ()
    uncounted: tuple[tuple[str, str], ...] = ()  # level and cup of those that are not counted yet

    @property
    def levels(self) -> tuple[str, ...]:
        """The levels: by size where all are numbers of one unit, else as they first appear."""
        found = tuple(dict.fromkeys(cup.level for cup in self.cups))
        numbers = numbers_of(found)
        if numbers is None:
            return found
        return tuple(level for _, level in sorted(zip(numbers, found, strict=True)))

    @property
    def hours(self) -> tuple[float, ...]:
        """The hours after setting at which was counted, in order, as far as they are known."""
        return tuple(sorted({cup.hours for cup in self.cups if cup.hours is not None}))

    def of_level(self, level: str) -> tuple[CupCount, ...]:
        """The counts of a level."""
        return tuple(cup for cup in self.cups if cup.level == level)

    def at(self, hours: Mapping[str, float]) -> "Counts":
        """The counts of each level at its hour alone, its levels in the order of these."""
        chosen = (cup for level in self.levels for cup in self.of_level(level))
        return Counts(tuple(cup for cup in chosen if cup.hours == hours[cup.level]))

    def at_hour(self, hour: float) -> "Counts":
        """The counts of this hour alone."""
        return self.at(dict.fromkeys(self.levels, hour))


def numbers_of(levels: Sequence[str]) -> list[float] | None:
    """The numbers that all levels' names are, such as 30, or 30 g/L where all have that unit; else None."""
    units = {_unit_of(level) for level in levels}
    if len(units) != 1 or (unit := units.pop()) is None:
        return None
    return [_number_in(level, unit) for level in levels]


def _unit_of(level: str) -> str | None:
    """ "" of a plain number, None of a word."""
    try:
        read_number(level)
    except ValueError:
        unit = unit_of(level)
        return unit.casefold() if unit else None
    return ""


def _number_in(level: str, unit: str) -> float:
    number = measured(level, unit) if unit else read_number(level)
    assert number is not None  # noqa: S101 - it has this unit
    return number


def faults_of(count: CupCount) -> Iterator[tuple[str, str]]:
    """What cannot be in one count: the field, and a line that says what was found and what is allowed."""
    for field, name in (("level", count.level), ("cup", count.cup)):
        if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable() or name != name.strip():
            yield field, f"found {shown(name)}; allowed: a name of up to {LONGEST_NAME} characters"
    if not 1 <= count.of <= MOST_IN_A_CUP:
        yield "of", f"found {shown(count.of)}; allowed: cysts in the cup, 1 to {MOST_IN_A_CUP}"
    elif not 0 <= count.hatched <= count.of:
        yield "hatched", f"found {shown(count.hatched)}; allowed: 0 to {count.of}, as many as are in the cup"
    if count.hours is not None and not 0.0 < count.hours <= MOST_HOURS:
        yield (
            "hours",
            f"found {count.hours:g}; allowed: hours since setting, above 0 and up to {MOST_HOURS:g}",
        )
    if count.water_c is not None and not WATER_C[0] <= count.water_c <= WATER_C[1]:
        yield "water_c", f"found {count.water_c:g}; allowed: {WATER_C[0]:g} to {WATER_C[1]:g} °C"
    if count.salt_g_per_l is not None and not 0.0 <= count.salt_g_per_l <= MOST_SALT_G_PER_L:
        yield "salt_g_per_l", f"found {count.salt_g_per_l:g}; allowed: 0 to {MOST_SALT_G_PER_L:g} g"


def counts_of(cups: Sequence[CupCount]) -> Counts:
    """Counts from what was counted. Raises InputError with a line for every fault, with level and cup."""
    faults = [f"{_named(cup)}: {field}: {fault}" for cup in cups for field, fault in faults_of(cup)] or [
        fault if row is None else f"{_named(cups[row])}: {fault}" for row, fault in faults_together(cups)
    ]
    if faults:
        raise InputError(*faults)
    return Counts(tuple(cups))


def _named(cup: CupCount) -> str:
    return f"level {shown(cup.level)}, cup {shown(cup.cup)}"


def faults_together(cups: Sequence[CupCount]) -> Iterator[tuple[int | None, str]]:
    """What is wrong with counts that are each in order: none, too many, one cup twice.

    Each with the place in `cups` of the count that it is about; None where it is about all.
    """
    if not 1 <= len(cups) <= MOST_CUPS:
        yield None, f"found {len(cups)} counts; allowed: 1 to {MOST_CUPS}"
    if (in_all := sum(cup.of for cup in cups)) > MOST_IN_ALL:
        yield None, f"found {in_all} cysts in all; allowed: up to {MOST_IN_ALL}"
    levels = dict.fromkeys(cup.level for cup in cups)
    if len(levels) > MOST_LEVELS:
        yield None, f"found {len(levels)} levels; allowed: up to {MOST_LEVELS}"
    yield from _levels_written_in_two_ways(cups)
    seen: set[tuple[str, str, float | None]] = set()
    for row, cup in enumerate(cups):
        key = (cup.level, cup.cup, cup.hours)
        if key in seen:
            yield row, "found this cup a second time; allowed: one count a cup, or one a cup and hour"
        seen.add(key)
    if len({cup.hours is None for cup in cups}) > 1:
        yield None, "found hours for some counts and none for others; allowed: for all or none"


def _levels_written_in_two_ways(cups: Sequence[CupCount]) -> Iterator[tuple[int, str]]:
    """Levels that are one, such as "10" and "10.0", or "Dark" and "dark"."""
    first: dict[tuple[float, str] | str, str] = {}
    for row, cup in enumerate(cups):
        unit = _unit_of(cup.level)
        one = " ".join(cup.level.casefold().split()) if unit is None else (_number_in(cup.level, unit), unit)
        if first.setdefault(one, cup.level) != cup.level:
            yield row, f"found the level {shown(first[one])} written in another way; allowed: one way"
