"""The view that leads from an idea to a seat map, and the form that begins an experiment."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from urllib.parse import urlencode

from flask import Response, redirect
from werkzeug.datastructures import MultiDict

from daemon.page.asking import NotAnswered, asked
from daemon.page.experiments import plan
from daemon.page.glance import Glance
from daemon.page.shown import show
from daemon.planning.experiment.design import ExperimentDesign
from daemon.shown_experiment import planned_of
from daemon.store import experiments
from reports.experiment import design as design_words
from reports.page.experiment import begin as words
from reports.page.experiment import how_many, spoonfuls

Shown = str | Response | tuple[str, int]


def looked_at(glance: Glance, sent: Mapping[str, str]) -> Shown:
    """The view as its address asks for it: empty, or with what the cups of a plan could tell.

    A plan without a seed gets one, into its address, so that a reload shows the same seat map.
    """
    if "levels" not in sent:
        return _shown(glance, {**words.USUAL, **sent})
    design, faulty = plan.read(sent)
    if design is not None and plan.seed_of(sent) is None:
        return to(f"/plan/experiment?{urlencode({**plan.kept(sent), 'seed': design.seed})}")
    return _shown(glance, sent, design, faulty)


def begun(glance: Glance, form: MultiDict[str, str]) -> Shown:
    """The experiment as the form has it, kept; then its own view."""
    sent = form.to_dict()
    design, faulty = plan.read(sent)
    if design is None or (plan.named(glance, design) and not sent.get("no_names")):
        line = words.wrong(glance.language, "look" if design is None else "names")
        return _shown(glance, sent, design, faulty, line), HTTPStatus.UNPROCESSABLE_ENTITY
    request = {
        "idea": design.idea,
        "factor": design.factor,
        "levels": "\n".join(design.levels),
        "cups": design.cups,
        "of": design.cysts,
        "near": design.near,
        "seed": design.seed,
    }
    try:
        answered = asked(glance, {"ask": "experiment begin", **request})
    except NotAnswered as fault:
        return _shown(glance, sent, design, faulty, fault.line), fault.status
    return to(f"/experiment/{answered['id']}")


def again(glance: Glance, form: MultiDict[str, str]) -> str:
    """The form as it was sent before the PIN was given."""
    sent = form.to_dict()
    return _shown(glance, sent, *plan.read(sent), words.wrong(glance.language, "held"))


def to(address: str) -> Response:
    """On to another address."""
    answer = redirect(address, HTTPStatus.SEE_OTHER)
    return Response(answer.get_data(), answer.status_code, answer.headers)


def _shown(
    glance: Glance,
    sent: Mapping[str, str],
    design: ExperimentDesign | None = None,
    faulty: Sequence[str] = (),
    line: str = "",
) -> str:
    return show(
        glance,
        "plan/experiment.html",
        "plan",
        words.title(glance.language),
        fields=words.fields(glance.language, sent, faulty, plan.twins_of(sent)),
        line=line or (words.wrong(glance.language, "look") if faulty else ""),
        seed=plan.seed_of(sent),
        plan=None if design is None else plan.said(glance, design, sent),
        more=[
            ("/plan/cups", how_many.title(glance.language)),
            ("/plan/spoonfuls", spoonfuls.title(glance.language)),
        ],
        begun=[
            (one.id, design_words.title(planned_of(one, glance.language), one.id), one.design.idea)
            for one in reversed(experiments.every(glance.connection))
        ],
    )
