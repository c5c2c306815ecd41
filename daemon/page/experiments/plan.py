"""A plan of an experiment as a form has it: read, judged, and said."""

import os
from collections.abc import Mapping
from typing import Any

from daemon.errors import InputError
from daemon.experiment_names import names_in
from daemon.page.experiments.how_many import address_for, noticed
from daemon.page.glance import Glance
from daemon.planning.experiment.chosen_test import RARE
from daemon.planning.experiment.design import (
    LEAST_LEVELS,
    MOST_LEVELS,
    MOST_SEED,
    ExperimentDesign,
    design_of,
    seat_map,
    twins,
)
from daemon.planning.experiment.doubts import doubts, enough_cups, smallest_p
from daemon.planning.experiment.level import FACTORS, doubtful_comma, separated, with_unit
from daemon.shown_experiment import planned_of, seats_of
from daemon.store import experiments
from daemon.store.experiments import Experiment
from reports.experiment import design as design_words
from reports.experiment import seats as seat_words
from reports.page.experiment import begin as words


def read(sent: Mapping[str, str]) -> tuple[ExperimentDesign | None, list[str]]:
    """The plan, or the names of the fields that cannot be taken. Without a seed it gets one."""
    factor, seed = sent.get("factor", ""), seed_of(sent)
    faulty = [] if factor in (*FACTORS, words.OTHER) else ["factor"]
    other = factor == words.OTHER
    try:
        design = design_of(
            sent.get("idea", ""),
            sent.get("other", "") if other else factor,
            sent.get("levels", ""),
            whole(sent.get("cups", "")),
            whole(sent.get("of", "")),
            sent.get("near", ""),
            int.from_bytes(os.urandom(4), "big") % 1_000_000 if seed is None else seed,
        )
    except InputError as error:
        names = dict.fromkeys(line.partition(":")[0] for line in error.faults)
        if "levels" in names and doubtful_comma(sent.get("levels", "")):
            faulty.append(words.COMMA)
        return None, [*faulty, *("other" if other and name == "factor" else name for name in names)]
    return (None if faulty else design), faulty


def twins_of(sent: Mapping[str, str]) -> tuple[str, str] | None:
    """Two levels that are one, as they stand with their unit; None where that is not what is wrong."""
    text, factor = sent.get("levels", ""), sent.get("factor", "")
    levels = [with_unit(factor, one) for one in separated(text)]
    if doubtful_comma(text) or not LEAST_LEVELS <= len(levels) <= MOST_LEVELS:
        return None
    return twins(factor, levels)


def seed_of(sent: Mapping[str, str]) -> int | None:
    """The seed that is told, or None."""
    seed = whole(sent.get("seed", ""))
    return seed if 0 <= seed <= MOST_SEED else None


def whole(text: str) -> int:
    """A whole number as somebody typed it; −1 for what is none."""
    text = text.strip()
    return int(text) if text.isascii() and text.isdigit() and len(text) <= len(str(MOST_SEED)) else -1


def kept(sent: Mapping[str, str]) -> dict[str, str]:
    """What is filled in, for an address or a form."""
    return {name: sent[name] for name in words.NAMES if sent.get(name)}


def named(glance: Glance, design: ExperimentDesign) -> list[str]:
    """Words of a plan that look like a person's name."""
    return names_in(design, glance.language, glance.station.no_names)


def said(glance: Glance, design: ExperimentDesign, sent: Mapping[str, str]) -> dict[str, Any]:
    """All that a view says of a plan."""
    one = Experiment(
        0, glance.at, design, seat_map(design, experiments.codes_about(glance.connection, glance.at))
    )
    planned, seats = planned_of(one, glance.language), seats_of(one)
    smallest = smallest_p(design)
    tells = design_words.could_tell(planned, smallest, enough_cups(design))
    if smallest is not None and smallest <= RARE:
        tells.insert(1, noticed(glance.language, design))
    against = [(doubt.kind, doubt.levels) for doubt in doubts(design)]
    return {
        "idea": design.idea,
        "summary": design_words.summary(planned),
        "doubts": design_words.doubt_lines(planned, against, enough_cups(design)),
        "tells": tells,
        "how_many": address_for(design),
        "names": words.name_lines(glance.language, named(glance, design)),
        "no_names": bool(sent.get("no_names")),
        "hidden": {**kept(sent), "seed": str(design.seed)},
        "near": design_words.near_line(planned),
        "rows": seat_words.rows_of(seats),
        "levels": seat_words.levels_with_codes(planned, seats),
        "alike": design_words.alike(planned),
        "steps": design_words.steps(planned),
        "care": design_words.care(planned),
    }
