"""The form for a count: what was typed into it, and what it begins with."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from daemon.input.csv import read_number
from daemon.page.experiments.plan import whole
from daemon.planning.experiment.counts import MOST_HOURS
from daemon.planning.experiment.design import MOST_CYSTS
from daemon.store.experiments import Counted, Experiment
from reports.page.experiment.counting import NO_HOURS, WITH_HOURS


@dataclass(frozen=True, slots=True)
class Round:
    """A time at which all cups are counted, `hour` after they were set, None where hours are not said: the
    codes that have a count of then."""

    hour: float | None
    codes: frozenset[str]


def round_of(standing: Sequence[Counted], sent: Mapping[str, str]) -> Round:
    """The one that is under way: of the hours that were typed, else of the count that was written down last;
    a new one where somebody begins `anew`."""
    typed = hours_of(sent.get("hours", ""))
    hour = typed if typed else None if "anew" in sent or not standing else standing[-1].hours
    anew = hour is None and "anew" in sent
    return Round(hour, frozenset(() if anew else (one.code for one in standing if one.hours == hour)))


def begins_with(sent: Mapping[str, str], standing: Sequence[Counted], hour: float | None) -> dict[str, str]:
    """A count that is to be changed, by its cup and hours; else the cup that was asked for, at that hour."""
    what = sent.get("cup", ""), hours_of(sent.get("hours", ""))
    for count in standing:
        if count.what == what:
            numbers = {"hatched": str(count.hatched), "of": str(count.cysts), "hours": text_of(count.hours)}
            return {"cup": count.code, "correct": "yes", **numbers}
    return {"cup": what[0], "hours": text_of(hour)}


def read(
    one: Experiment, sent: Mapping[str, str], standing: Sequence[Counted], lost: Collection[str]
) -> tuple[Counted | None, list[str]]:
    """The count, or the names of the fields that cannot be taken. Of a lost cup a count that stands may still
    be changed."""
    code, hours = sent.get("cup", "").strip().upper(), hours_of(sent.get("hours", ""))
    cysts = whole(sent["of"]) if sent.get("of", "").strip() else one.design.cysts
    hatched = whole(sent.get("hatched", ""))
    others = [count for count in standing if count.what != (code, hours)]
    wrong = {
        "cup": code not in {seat.code for seat in one.seats}
        or (code in lost and len(others) == len(standing)),
        "of": not 1 <= cysts <= MOST_CYSTS,
        "hatched": not 0 <= hatched <= cysts,
        "hours": hours == 0.0 or any((hours is None) is not (count.hours is None) for count in others),
    }
    faults = [name for name, is_wrong in wrong.items() if is_wrong]
    if wrong["hours"] and hours != 0.0:
        faults.append(NO_HOURS if hours is not None else WITH_HOURS)
    return (None, faults) if faults else (Counted(code, hatched, cysts, hours), [])


def hours_of(text: str) -> float | None:
    """Hours as they were typed; None where none were, 0 for what cannot be."""
    if not text.strip():
        return None
    try:
        hours = read_number(text.strip().replace(",", "."))
    except ValueError:
        return 0.0
    return hours if 0.0 < hours <= MOST_HOURS else 0.0


def text_of(hours: float | None) -> str:
    """Hours as a form has them."""
    return "" if hours is None else f"{hours:g}"
