"""Experiments: planned, and counted. What they need is loaded when somebody asks."""

from flask import Response, request

from daemon.page.glance import Glance


def experiments(glance: Glance) -> str | Response | tuple[str, int]:
    """What was begun, and the way from an idea to a seat map."""
    from daemon.page.experiments.begin import looked_at

    return looked_at(glance, request.args.to_dict())


def experiment(glance: Glance, number: int) -> str:
    """One that runs: seat map, counts, what it shows."""
    from daemon.page.experiments.counting import looked_at

    return looked_at(glance, number, request.args.to_dict())


def experiment_form(glance: Glance, number: int) -> Response:
    """A table to fill in with its counts."""
    from daemon.page.experiments.table import blank_form

    return blank_form(glance, number)


def how_many_cups(glance: Glance) -> tuple[str, int]:
    """How many cups an experiment needs."""
    from daemon.page.experiments.how_many import looked_at

    return looked_at(glance)


def spoonfuls(glance: Glance) -> str:
    """How many animals there are, by some spoonfuls."""
    from daemon.page.experiments.spoonfuls import looked_at

    return looked_at(glance)


def experiment_counts(glance: Glance, number: int) -> Response:
    """What was counted in one, as a table for people's own programs."""
    from daemon.export.experiment_counts import counts_table
    from daemon.page.experiments.counting import found

    table = counts_table(glance.connection, found(glance, number))
    answer = Response(table, content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="experiment-{number}.csv"'
    return answer
