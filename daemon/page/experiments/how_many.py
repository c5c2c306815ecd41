"""How many cups an experiment needs: a form whose values stand in the address. Nothing is recorded."""

from collections.abc import Mapping
from http import HTTPStatus
from urllib.parse import urlencode

from flask import request

from daemon.page.experiments.turns import NotNow, turns
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.page.typed_numbers import TypedNumbers, filled_in, typed
from daemon.planning.experiment.design import MOST_CUPS, MOST_LEVELS, ExperimentDesign
from daemon.planning.experiment.noticed import USUAL_SHARE, least_noticed, usual_dispersion
from daemon.planning.experiment.power import (
    MOST_CUPS_A_LEVEL,
    MOST_CYSTS,
    MOST_DISPERSION,
    PlayedDesign,
    power_of,
)
from reports.page.experiment import how_many as words

_PATH = "/plan/cups"
_USUAL: Mapping[str, str] = {"levels": "3", "cups": "4", "of": "50", "difference": "20", "dispersion": ""}


def looked_at(glance: Glance) -> tuple[str, int]:
    """What so many cups find, and how many would do; or that it is not reckoned now."""
    language = glance.language
    usual = {**_USUAL, "share": filled_in(language, 100.0 * USUAL_SHARE)}
    values = typed(request.args, {name: usual[name] for name in words.NAMES})
    design, faults = _read(values, language)
    lines, line, status = [], "", HTTPStatus.OK
    if design is not None and request.args:
        try:
            found = turns().reckoned(power_of, design)
            lines = words.lines(language, found, most_cups=MOST_CUPS_A_LEVEL)
        except NotNow as fault:
            line, status = words.not_now(language, fault.wait_s), HTTPStatus.TOO_MANY_REQUESTS
    shown = show(
        glance,
        "plan/reckoned.html",
        "plan",
        words.title(language),
        fields=words.fields(language, values, faults),
        asked=bool(request.args),
        lines=lines,
        line=line,
        how=[],
    )
    return shown, status


def noticed(language: str, design: ExperimentDesign) -> str:
    """What difference a plan's cups would show; or that it is not reckoned now."""
    try:
        difference = turns().reckoned(least_noticed, len(design.levels), design.cups, design.cysts)
    except NotNow as fault:
        return words.not_now(language, fault.wait_s)
    return words.noticed(language, USUAL_SHARE, difference)


def address_for(design: ExperimentDesign) -> str:
    """Where to ask how many cups would show another difference than a plan's."""
    asked = {
        "levels": len(design.levels),
        "cups": max(2, design.cups),
        "of": min(design.cysts, MOST_CYSTS),
    }
    return f"{_PATH}?{urlencode(asked)}"


def _read(values: Mapping[str, str], language: str) -> tuple[PlayedDesign | None, Mapping[str, str]]:
    """What is asked, or a line for each field that is wrong."""
    numbers = TypedNumbers(values, language)
    levels = numbers.whole("levels", (2, MOST_LEVELS))
    cups = numbers.whole("cups", (2, MOST_CUPS))
    of = numbers.whole("of", (1, MOST_CYSTS))
    share = numbers.number("share", (1.0, 100.0), "%")
    difference = numbers.number("difference", (1.0, 100.0), "%")
    most = max(1.0, min(MOST_DISPERSION, of / 2.0))
    differ = numbers.number_or_none("dispersion", (1.0, most))
    faults = dict(numbers.faults)
    if not faults and difference > share:
        faults["difference"] = words.more_than_share(language, filled_in(language, share))
    if faults:
        return None, faults
    differ = usual_dispersion(of) if differ is None else differ
    return PlayedDesign(levels, cups, of, share / 100.0, difference / 100.0, differ), {}
