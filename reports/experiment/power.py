"""What an experiment to be can show, and how many cups would do."""

from typing import Protocol

from reports.amounts import in_decimals
from reports.experiment.figures import of_hundred
from reports.language import say, say_many


class DesignSeen(Protocol):
    """An experiment to be."""

    @property
    def levels(self) -> int: ...
    @property
    def cups(self) -> int: ...
    @property
    def of(self) -> int: ...
    @property
    def share(self) -> float: ...
    @property
    def difference(self) -> float: ...
    @property
    def dispersion(self) -> float: ...


class PowerSeen(Protocol):
    """What it would find, and the cups a level that would do."""

    @property
    def design(self) -> DesignSeen: ...
    @property
    def found(self) -> float: ...
    @property
    def enough_cups(self) -> int | None: ...


def power_words(power: PowerSeen, *, most_cups: int) -> list[str]:
    """What these cups would find, how many would do, and what that assumes; a line each."""
    design = power.design
    return [
        say(
            "{levels} levels of {cups}, {of} cysts each: of 100 such experiments about {found} find a"
            " difference of {difference} of 100.",
            levels=design.levels,
            cups=say_many("{count} cup", "{count} cups", design.cups),
            of=design.of,
            found=f"{100 * power.found:.0f}",
            difference=of_hundred(design.difference),
        ),
        _enough(power.enough_cups, most_cups),
        say(
            "Assumed: one level hatches {share} of 100, one {lower}, others midway. Cups of a level"
            " differ {dispersion} times as much as chance alone has it.",
            share=of_hundred(design.share),
            lower=of_hundred(design.share - design.difference),
            dispersion=in_decimals(f"{design.dispersion:g}"),
        ),
    ]


def _enough(cups: int | None, most: int) -> str:
    if cups is None:
        return say("Even {count} cups at each level would not find it in 80 of 100 experiments.", count=most)
    return say("About {count} cups at each level find it in 80 of 100 experiments.", count=cups)


def noticed_words(share: float, difference: float | None) -> str:
    """Which difference some cups would show, where `share` hatches at the best level; None where none."""
    if difference is None:
        return say(
            "Even if {share} of 100 hatch at one level and none at another, fewer than 8 of 10 such "
            "experiments would show it.",
            share=of_hundred(share),
        )
    lower = round(100.0 * (share - difference))
    if lower == 0:
        return say(
            "How large? {share} of 100 have to hatch at one level and none at another. Then 8 of 10 such "
            "experiments show it.",
            share=of_hundred(share),
        )
    return say(
        "How large? Suppose that {share} of 100 hatch at the best level. Where another one hatches {lower} "
        "or fewer, 8 of 10 such experiments show it.",
        share=of_hundred(share),
        lower=lower,
    )
