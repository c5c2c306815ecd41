"""A glance at one vessel: whoever notes something of a cup does not wait for the nights of all others."""

from dataclasses import replace

from werkzeug.exceptions import NotFound

from daemon.letters.conversions import setting
from daemon.page.glance import Glance
from reports.records import Setting


def alone(glance: Glance, vessel_id: str) -> Glance:
    """The station as if it had this vessel alone. Raises NotFound where it has no such vessel."""
    vessel = glance.station.vessel(vessel_id)
    if vessel is None:
        raise NotFound
    return replace(glance, station=replace(glance.station, vessels=(vessel,)))


def here_and_now(glance: Glance) -> Setting:
    """Where and when this is, without a look at any vessel."""
    return setting(glance.station, glance.connection, glance.at)
