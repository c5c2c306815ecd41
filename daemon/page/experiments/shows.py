"""What an experiment's counts show, in words and as a picture."""

from collections.abc import Sequence
from dataclasses import dataclass

from daemon.errors import InputError
from daemon.page.glance import Glance
from daemon.planning.experiment.counts import counts_of
from daemon.planning.experiment.level import FACTORS
from daemon.planning.experiment.result import Result, result_of
from daemon.store import experiments
from daemon.store.experiments import Experiment
from reports.experiment.design import LATE
from reports.experiment.dot_plot import dot_plot
from reports.experiment.in_language import written
from reports.experiment.lateness import beside, count_again_open, lateness_open
from reports.experiment.lost import gone_words, lost_words
from reports.experiment.sentence import for_children, for_report
from reports.page.experiment.counting import hours_wanted


@dataclass(frozen=True, slots=True)
class Shows:
    """A sentence for children, what to mind with it, the picture (SVG), what is for a report, lost cups."""

    children: str
    minded: str
    report: str
    beside: tuple[str, ...]
    plot: str
    lost: str


def shows(glance: Glance, one: Experiment) -> Shows | None:
    """What stands shows; None where it cannot be compared, as where some levels have no count yet."""
    try:
        found = result_of(counts_of(experiments.cup_counts(glance.connection, one)))
    except InputError:
        return None
    surely_other = one.design.factor in FACTORS and one.design.factor not in LATE
    lost = [(cup.cup, cup.level, cup.why) for cup in experiments.lost_cups(glance.connection, one)]
    gone = [level for level in one.design.levels if _is_gone(level, found, lost)]
    return written(glance.language, _said, found, lost, gone, surely_other=surely_other)


def _is_gone(level: str, found: Result, lost: Sequence[tuple[str, str, str | None]]) -> bool:
    """Whether cups of a level were lost, and none is left that was counted."""
    return level in [of for _, of, _ in lost] and level not in [one.level for one in found.levels]


def _said(
    found: Result,
    lost: Sequence[tuple[str, str, str | None]],
    gone: Sequence[str],
    *,
    surely_other: bool,
) -> Shows:
    """`surely_other`: what is changed makes none late, and the rest was to be alike."""
    lines, minded = beside(found), ""
    if found.lateness_open:
        lines.remove(lateness_open())  # it names columns, which the form for a count has not
        if not surely_other:
            minded = hours_wanted() if found.hours is None else count_again_open()
    return Shows(
        " ".join([for_children(found), *gone_words(gone)]),
        minded,
        for_report(found),
        tuple(lines),
        dot_plot(found),
        " ".join(lost_words(lost)),
    )
