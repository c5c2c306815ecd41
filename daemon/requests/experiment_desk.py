"""Experiments that people ask for: begun, counted, counts corrected and taken back.

Loaded when the first of these requests comes: a daemon may run for years without one.
"""

import os
import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any

from daemon.errors import InputError
from daemon.input.file import shown
from daemon.planning.experiment.counts import MOST_HOURS, WATER_C, WHY_LOST
from daemon.planning.experiment.design import MOST_CYSTS, MOST_SEED, design_of
from daemon.requests.request_words import text, whole
from daemon.store import experiments
from daemon.store.experiments import Counted, CountEntry, Experiment

_MOST_AT_ONCE = 400
_NAMED = 5  # cups in one line
_ASKS = ("begin", "count", "withdraw", "lost", "discard")
_FIELDS = "a code, hatched, cysts, hours, water_c"


def answer(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> dict[str, Any]:
    """The answer to a request. Raises InputError for what makes no sense; then nothing was changed."""
    match words.get("ask"):
        case "experiment begin":
            return {"id": _begun(connection, words, now)}
        case "experiment count":
            return {"ids": _counted(connection, words, now)}
        case "experiment withdraw":
            return {"withdrawn": _withdrawn(connection, words, now)}
        case "experiment lost":
            return {"changed": _lost(connection, words, now)}
        case "experiment discard":
            return {"discarded": _discarded(connection, words)}
        case other:
            allowed = ", ".join(f"experiment {what}" for what in _ASKS)
            raise InputError(f"request: found {shown(other)}; allowed: {allowed}")


def _begun(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> int:
    """A form that is sent once more begins nothing anew: same words, same seed, nothing counted yet."""
    seed = _any_seed() if words.get("seed") is None else whole(words, "seed", MOST_SEED)
    design = design_of(
        text(words, "idea", ""),
        text(words, "factor"),
        text(words, "levels"),
        whole(words, "cups"),
        whole(words, "of"),
        text(words, "near", "window"),
        seed,
    )
    newest = experiments.newest(connection)
    if newest is not None and newest.design == design and not experiments.counts(connection, newest.id):
        return newest.id
    return experiments.add(connection, design, now)


def _any_seed() -> int:
    return int.from_bytes(os.urandom(4), "big") % 1_000_000


def _counted(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> list[int]:
    """One count or several, all of them or none; the ids of what stands then. With `try` they are only looked
    at, and none is kept."""
    experiment = _experiment(connection, words)
    given = words.get("counts")
    if not isinstance(given, list) or not 1 <= len(given) <= _MOST_AT_ONCE:
        raise InputError(f"request: counts: found {shown(given)}; allowed: a list of 1 to {_MOST_AT_ONCE}")
    counts = _all_read(experiment, given)
    standing, correct = experiments.standing(connection, experiment.id), words.get("correct") is True
    before = _before(counts, standing, correct=correct)
    gone = {entry.id for entry in before.values()}
    left = [entry.counted for entry in standing if entry.id not in gone]
    faults = [*_twice(counts), *_mixed(counts, left)]
    lost = experiments.lost(connection, experiment.id)
    faults += [_is_lost(one.code) for one in counts if one.code in lost and one.what not in before]
    if not correct:
        faults += [
            _stands(entry) for one in counts if (entry := before.get(one.what)) and entry.counted != one
        ]
    if faults:
        raise InputError(*faults)
    if words.get("try") is True:
        return []
    return [_kept(connection, experiment, before.get(one.what), one, now) for one in counts]


def _before(
    counts: Sequence[Counted], standing: Sequence[CountEntry], *, correct: bool
) -> dict[tuple[str, float | None], CountEntry]:
    """In the place of which entry each count comes: that of its cup and hour. A correction that gives hours
    to a count without, or takes them, comes in the place of its cup's only one."""
    before = {entry.counted.what: entry for entry in standing}
    found = {one.what: before[one.what] for one in counts if one.what in before}
    if correct:
        for one in counts:
            of_cup = [entry for entry in standing if entry.counted.code == one.code]
            taken = {entry.id for entry in found.values()}
            if one.what not in found and len(of_cup) == 1 and of_cup[0].id not in taken:
                other = of_cup[0].counted.hours
                if (other is None) is not (one.hours is None):
                    found[one.what] = of_cup[0]
    return found


def _all_read(experiment: Experiment, given: Sequence[object]) -> list[Counted]:
    counts: list[Counted] = []
    faults: list[str] = []
    for one in given:
        try:
            counts.append(_count(experiment, one))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(*faults)
    return counts


def _kept(
    connection: sqlite3.Connection,
    experiment: Experiment,
    before: CountEntry | None,
    counted: Counted,
    now: int,
) -> int:
    if before is None:
        return experiments.add_count(connection, experiment.id, counted, now)
    if before.counted == counted:  # sent once more
        return before.id
    experiments.withdraw_count(connection, before.id, now)
    return experiments.add_count(connection, experiment.id, counted, now, before.id)


def _withdrawn(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> bool:
    """Whether anything stood; what does not was taken back before."""
    experiment = _experiment(connection, words)
    code, hours = _code(experiment, text(words, "code")), _hours("hours", words.get("hours"))
    for entry in experiments.standing(connection, experiment.id):
        if entry.counted.what == (code, hours):
            experiments.withdraw_count(connection, entry.id, now)
            return True
    return False


def _lost(connection: sqlite3.Connection, words: Mapping[str, Any], now: int) -> bool:
    """Whether that a cup is lost, or with `back` that it is not after all, is new."""
    experiment = _experiment(connection, words)
    code = _code(experiment, text(words, "code"))
    if words.get("back") is True:
        return experiments.take_back_lost(connection, experiment.id, code, now)
    why = words.get("why")
    if why is not None and why not in WHY_LOST:
        raise InputError(f"why: found {shown(why)}; allowed: {', '.join(WHY_LOST)}")
    return experiments.lose(connection, experiment.id, code, now, why)


def _discarded(connection: sqlite3.Connection, words: Mapping[str, Any]) -> bool:
    """Whether it was there; what is not was discarded before. What was counted in is kept."""
    one = experiments.find(connection, whole(words, "experiment"))
    if one is None:
        return False
    if experiments.counts(connection, one.id):
        raise InputError(f"experiment: found counts in {one.id}; allowed: one in which nothing was counted")
    experiments.discard(connection, one.id)
    return True


def _experiment(connection: sqlite3.Connection, words: Mapping[str, Any]) -> Experiment:
    wanted = whole(words, "experiment")
    found = experiments.find(connection, wanted)
    if found is None:
        allowed = "one that 'naupliad experiment list' shows"
        raise InputError(f"experiment: found {wanted}, which nobody began; allowed: {allowed}")
    return found


def _count(experiment: Experiment, given: object) -> Counted:
    if not isinstance(given, list) or len(given) not in (4, 5):
        raise InputError(f"request: counts: found {shown(given)}; allowed: lists of {_FIELDS}")
    if not isinstance(given[0], str):
        raise InputError(f"cup: found {shown(given[0])}; allowed: a code of the seat map")
    code = _code(experiment, given[0])
    cysts = experiment.design.cysts if given[2] is None else _of_cup(f"{code}: of", given[2], 1, MOST_CYSTS)
    hatched = _of_cup(f"{code}: hatched", given[1], 0, cysts)
    water_c = _water_c(f"{code}: water_c", given[4] if len(given) > 4 else None)
    return Counted(code, hatched, cysts, _hours(f"{code}: hours", given[3]), water_c)


def _of_cup(where: str, value: object, least: int, most: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise InputError(f"{where}: found {shown(value)}; allowed: a whole number from {least} to {most}")
    return value


def _hours(where: str, value: object) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0.0 < value <= MOST_HOURS:
        raise InputError(f"{where}: found {shown(value)}; allowed: above 0, up to {MOST_HOURS:g}")
    return float(value)


def _water_c(where: str, value: object) -> float | None:
    low, high = WATER_C
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
        raise InputError(f"{where}: found {shown(value)}; allowed: {low:g} to {high:g} °C")
    return float(value)


def _code(experiment: Experiment, given: str) -> str:
    """A cup's code as its label has it, in whatever letters it was typed."""
    code = given.strip().upper()
    if code not in {seat.code for seat in experiment.seats}:
        raise InputError(
            f"cup: found {shown(given)}; allowed: a code of the seat map of experiment {experiment.id}"
        )
    return code


def _twice(counts: Sequence[Counted]) -> list[str]:
    what = [one.what for one in counts]
    return [
        f"{code}: found it twice; allowed: once"
        for code, _ in dict.fromkeys(what)
        if what.count((code, _)) > 1
    ]


def _mixed(counts: Sequence[Counted], left: Sequence[Counted]) -> list[str]:
    """Of all that would stand hours are given, or of none: else no two of them can be compared.

    What stands already and is otherwise than most is named, with the way out.
    """
    every = [*counts, *left]
    with_hours, without = ([one for one in every if (one.hours is None) is none] for none in (False, True))
    if not with_hours or not without:
        return []
    odd = min(with_hours, without, key=lambda some: (len(some), not all(one in left for one in some)))
    codes = list(dict.fromkeys(one.code for one in odd))
    named = f"{', '.join(codes[:_NAMED])}{' and others' if len(codes) > _NAMED else ''}"
    has = f"{len(with_hours)} {_counts_word(with_hours)} with hours and {len(without)} without"
    found = f"{has}, with those that stand (look at {named})"
    give = "no hours" if odd is with_hours else "hours"
    way_out = (
        f"count {named} once more with {give} as a correction (--correct), or take that back (--withdraw)"
    )
    return [f"hours: found {found}; allowed: for all or none: {way_out}"]


def _counts_word(counts: Sequence[Counted]) -> str:
    return "count" if len(counts) == 1 else "counts"


def _is_lost(code: str) -> str:
    return f"{code}: found a cup that is lost; allowed: another one, or first --lost --withdraw"


def _stands(entry: CountEntry) -> str:
    found = f"a count that stands ({entry.counted.hatched} of {entry.counted.cysts})"
    return f"{entry.counted.code}: found {found}; allowed: a correction (--correct), or another cup"
