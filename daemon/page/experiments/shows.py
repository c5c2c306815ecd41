"""What an experiment's counts show, in words and as a picture."""

from dataclasses import dataclass

from daemon.errors import InputError
from daemon.page.glance import Glance
from daemon.planning.experiment.counts import counts_of
from daemon.planning.experiment.result import Result, result_of
from daemon.store import experiments
from daemon.store.experiments import Experiment
from reports.experiment.dot_plot import dot_plot
from reports.experiment.in_language import written
from reports.experiment.lateness import beside, equal_words
from reports.experiment.sentence import compared_words, for_children, for_report
from reports.page.experiment.counting import hours_wanted


@dataclass(frozen=True, slots=True)
class Shows:
    """A sentence for children, what to mind with it, the picture (SVG), and what is for a report."""

    children: str
    minded: str
    report: str
    beside: tuple[str, ...]
    plot: str


def shows(glance: Glance, one: Experiment) -> Shows | None:
    """What stands shows; None where it cannot be compared, as where some levels have no count yet."""
    try:
        found = result_of(counts_of(experiments.cup_counts(glance.connection, one)))
    except InputError:
        return None
    return written(glance.language, _said, found)


def _said(found: Result) -> Shows:
    lines, minded = beside(found), ""
    if found.hours is None and found.lateness is None and len(found.levels) > 1:
        lines, minded = lines[:-1], hours_wanted()  # the page takes no temperatures
    if found.equal is not None and found.at_equal is not None:
        lines += [equal_words(found.equal.hours), compared_words(found.at_equal)]
    return Shows(for_children(found), minded, for_report(found), tuple(lines), dot_plot(found))
