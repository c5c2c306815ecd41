"""How many animals there are, from spoonfuls: a form whose values stand in the address, and no record."""

import re
from collections.abc import Mapping

from flask import request

from daemon.errors import InputError
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.page.typed_numbers import TypedNumbers, filled_in
from daemon.planning.experiment.spoonfuls import counted_animals
from reports.page.experiment import spoonfuls as words

_USUAL: Mapping[str, str] = {"counts": "", "ml": "5", "volume_ml": ""}
_COUNTS = re.compile(r"[0-9]{1,6}(?:[\s,;]+[0-9]{1,6})*", re.ASCII)
_MOST_SPOONFULS = 50
_ML, _VOLUME_ML = (0.01, 1000.0), (0.01, 1_000_000.0)


def looked_at(glance: Glance) -> str:
    """Animals in a mL and in all."""
    language = glance.language
    values = {name: request.args.get(name, usual)[: words.LONGEST] for name, usual in _USUAL.items()}
    lines, faults = _reckoned(values, language) if request.args else ([], {})
    return show(
        glance,
        "plan/reckoned.html",
        "plan",
        words.title(language),
        fields=words.fields(language, values, faults),
        asked=bool(request.args),
        line="",
        lines=lines,
        how=words.how(language),
    )


def _reckoned(values: Mapping[str, str], language: str) -> tuple[list[str], Mapping[str, str]]:
    """The lines, or one for each field that is wrong."""
    numbers = TypedNumbers(values, language)
    ml = numbers.number("ml", _ML, "mL")
    volume_ml = numbers.number_or_none("volume_ml", _VOLUME_ML, "mL")
    faults = dict(numbers.faults)
    counts = _counts_in(values["counts"])
    if not 1 <= len(counts) <= _MOST_SPOONFULS:
        faults["counts"] = words.no_counts(language, _MOST_SPOONFULS)
    if faults:
        return [], faults
    try:
        per_ml, in_all = counted_animals(counts, ml, volume_ml)
    except InputError:  # all else is within its limits
        return [], {"volume_ml": words.too_little(language, filled_in(language, len(counts) * ml))}
    return words.lines(language, per_ml, in_all), {}


def _counts_in(text: str) -> list[int]:
    """Whole numbers with blanks, commas or semicolons between; none where it is anything else."""
    text = text.strip()
    return [int(one) for one in re.split(r"[\s,;]+", text)] if _COUNTS.fullmatch(text) else []
