"""Tins of cysts: whether one will do. What is calculated here is loaded when somebody asks."""

from flask import request

from daemon.page.glance import Glance
from daemon.page.shown import show


def tin_test(glance: Glance) -> str:
    """The form of a test, and what it says; nothing is noted."""
    from daemon.page.tin_form import filled_test
    from daemon.page.tins import given_lot, said_test
    from daemon.planning.tin_test import judged
    from daemon.store.tins import named_lots
    from reports.page.paper.sheets import care_of_animals
    from reports.page.tins import test_form, viability

    lots = named_lots(glance.connection, glance.station)
    filled = filled_test(glance, request.args, frozenset(lots))
    setting, said = glance.setting, None
    if filled.test is not None:
        strain, opened_days = given_lot(glance.station, filled.lot, glance.at)
        found = judged(filled.test, strain, opened_days)
        said = said_test(filled.test, found, strain, glance.language, setting.unit)
    return show(
        glance,
        "plan/tin.html",
        "plan",
        test_form.title(setting),
        before=test_form.first_words(setting),
        fields=test_form.fields(setting, filled.values, filled.faults, lots),
        verdict=said and viability.headline(said),
        facts=said and viability.facts(said),
        notes=said and viability.notes(said),
        care=care_of_animals(setting),
    )


def tins(glance: Glance) -> str:
    """What each tin has given."""
    from daemon.page.tins import tin_record
    from daemon.store.tins import every
    from reports.page.tins import listed

    setting = glance.setting
    records = [tin_record(glance.station, one) for one in every(glance.connection, glance.station, glance.at)]
    return show(
        glance,
        "plan/tins.html",
        "plan",
        listed.title(setting),
        tins=listed.lines(setting, records),
        heads=listed.heads(setting),
        notes=listed.notes(setting),
        unnamed=listed.unnamed(setting),
    )
