"""When something was done, as a form says it: a moment chosen at a tap, or one that was typed."""

from collections.abc import Mapping

from daemon.care.past_moment import past_moment, readings_of
from daemon.errors import InputError
from daemon.input.csv import read_moment
from daemon.page.deeds.alone import here_and_now
from daemon.page.glance import Glance
from reports.page.doing.when import When, two_times, when, which_of_both

NOW = "now"
_LONGEST = 12  # digits of a moment, Unix seconds


def moment_of(glance: Glance, sent: Mapping[str, str], was: int | None = None) -> int:
    """The moment meant, Unix seconds. Raises InputError with one line.

    `was` is the moment of an entry that is changed: what is chosen where nothing else is.
    """
    chosen, typed = _chosen(sent, was), sent.get("at", "").strip()
    if typed and chosen not in (NOW, str(was)):
        raise InputError(two_times(here_and_now(glance)))
    if typed:
        return _typed(glance, typed, sent.get("reading", ""))
    if chosen == NOW:
        return glance.at
    if chosen.isascii() and chosen.isdigit() and len(chosen) <= _LONGEST:
        return int(chosen)
    return past_moment("time", chosen, glance.at, glance.station.timezone)


def when_of(glance: Glance, sent: Mapping[str, str], was: int | None = None, fault: str = "") -> When:
    """The choice as it is shown, with what was sent filled in."""
    typed = sent.get("at", "").strip()
    readings = readings_of(typed, glance.station.timezone) if fault else ()
    return when(
        here_and_now(glance),
        _chosen(sent, was),
        typed,
        was=None if was is None else glance.local(was),
        readings=[(one, glance.local(read_moment(one))) for one in readings] if len(readings) > 1 else (),
        fault=fault,
    )


def _chosen(sent: Mapping[str, str], was: int | None) -> str:
    return sent.get("when", "").strip() or (NOW if was is None else str(was))


def _typed(glance: Glance, typed: str, reading: str) -> int:
    zone = glance.station.timezone
    readings = readings_of(typed, zone)
    if len(readings) > 1:
        if reading not in readings:
            raise InputError(
                which_of_both(here_and_now(glance), [glance.local(read_moment(one)) for one in readings])
            )
        typed = reading
    return past_moment("time", typed, glance.at, zone)
