"""Tins of cysts: whether one will do, and what each gave. What it takes is loaded when somebody asks."""

from collections.abc import Mapping

from flask import request

from daemon.page.glance import Glance
from daemon.page.shown import show


def tin_test(glance: Glance) -> str:
    """The form of a test, and what it says; nothing is noted."""
    return page_of_test(glance, request.args, named=True)


def tins(glance: Glance) -> str:
    """What each tin has given."""
    return page_of_tins(glance, done=request.args.get("done", ""))


def page_of_test(
    glance: Glance,
    sent: Mapping[str, str],
    *,
    fault: str = "",
    lot_fault: str = "",
    named: bool = False,
    alike: bool = False,
) -> str:
    """The form with what was `sent`, and what that says; `fault` is one line above it.

    `named`: a tin in it is one that should be known, not the name of a new one. `alike`: it is asked
    whether the tin is a new one, as another is called much like it.
    """
    from daemon.page.tin_form import filled_test
    from daemon.page.tins import given_lot, said_test
    from daemon.page.typed_numbers import unknown_lot
    from daemon.planning.tin_test import judged
    from daemon.store.tin_names import named_lots
    from reports.page.paper.sheets import care_of_animals
    from reports.page.tins import test_form, viability
    from reports.planning.warned import unknown_tin

    lots = named_lots(glance.connection, glance.station)
    filled = filled_test(glance, sent, frozenset(lots))
    setting, said = glance.setting, None
    if filled.test is not None:
        strain, opened_days = given_lot(glance.station, filled.lot, glance.at)
        found = judged(filled.test, strain, opened_days)
        said = said_test(filled.test, found, strain, glance.language, setting.unit)
    unknown = unknown_tin(glance.language, unknown_lot(sent, lots)) if named else {}
    timed = filled.test is not None and filled.test.hours is not None
    return show(
        glance,
        "plan/tin.html",
        "plan",
        test_form.title(setting),
        fault=fault,
        before=test_form.first_words(setting),
        fields=test_form.fields(setting, filled.values, {**filled.faults, **unknown}, lots),
        verdict=said and viability.headline(said),
        facts=said and viability.facts(said),
        notes=said and viability.notes(said),
        kept=test_form.kept_fields(setting, sent.get(test_form.LOT, ""), lot_fault, lots) if timed else (),
        new_tin=sent.get(test_form.LOT, "").strip() if alike else "",
        hidden=[(name, filled.values[name]) for name in test_form.FIELDS if name != test_form.LOT],
        care=care_of_animals(setting),
    )


def page_of_tins(glance: Glance, *, done: str = "", fault: str = "") -> str:
    """All tins; above them what was `done` (a word of the address), or why it was not."""
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
        fault=fault,
        done=listed.done(setting, done),
        tins=listed.lines(setting, records),
        heads=listed.heads(setting),
        notes=listed.notes(setting),
        unnamed=listed.unnamed(setting),
    )
