"""Real time: the station's own probes, clock, post and inbox, until a signal says stop."""

import logging
import os
import signal
import threading
from collections.abc import Mapping
from contextlib import ExitStack
from functools import partial
from pathlib import Path

from daemon.app import House, Surroundings
from daemon.backroom import ThreadBackroom
from daemon.beat import Loop
from daemon.clock import WallClock
from daemon.errors import InputError, NaupliadError
from daemon.inbox import Inbox
from daemon.play.rehearsal import rehearsal_probes
from daemon.play.tape import Tape, TapeProbe, read_tape
from daemon.post.carrier import Carrier
from daemon.post.folder import FolderCarrier
from daemon.post.password import read_password
from daemon.post.smtp import SmtpCarrier
from daemon.service import ServiceNotices
from daemon.station import ProbePlan, Station
from daemon.store.file import WritingStore
from sensors.bench import PatientBench
from sensors.errors import SensorError
from sensors.late import LateProbe
from sensors.reading import Measure, Probe
from sensors.workshop import open_probe

log = logging.getLogger(__name__)

INBOX = "inbox.sock"
# Probes get this share of the time between two beats; what has not answered by then is absent.
_PATIENCE_SHARE = 0.4
_PATIENCE_MOST_S = 20.0


def open_probes(station: Station, now: int) -> list[Probe]:
    """Every probe of the station; one that cannot be opened yet is a LateProbe, and is logged.

    Raises NaupliadError with a line for each when no water thermometer can be opened: a station that
    sees no water had better say so than run.
    """
    rehearsed = {probe.id: probe for probe in rehearsal_probes(station, now)}
    tapes = {
        path: read_tape(Path(path), station)
        for path in {plan.keys["file"] for plan in station.probes if plan.driver == "tape"}
    }
    probes: list[Probe] = []
    missing: list[str] = []
    for plan in station.probes:
        try:
            probes.append(rehearsed.get(plan.id) or _open(plan, tapes))
        except SensorError as error:
            missing.append(str(error))
            probes.append(LateProbe(plan.id, plan.measures, partial(_open, plan, tapes)))
    if not any(probe.measures is Measure.WATER_C and not isinstance(probe, LateProbe) for probe in probes):
        for probe in probes:
            probe.close()
        raise NaupliadError("\n".join([*missing, "no water thermometer can be read, so nothing was started"]))
    for line in missing:
        log.error("%s Going on without it; it is tried again.", line)
    return probes


def _open(plan: ProbePlan, tapes: Mapping[str, Tape]) -> Probe:
    if plan.driver == "tape":
        return TapeProbe(plan.id, plan.measures, tapes[plan.keys["file"]])
    return open_probe(plan.id, plan.measures, plan.driver, plan.keys)


def make_carrier(station: Station, folder: Path, environ: Mapping[str, str]) -> Carrier:
    """The station's way of sending: SMTP where `[post]` names a server, else files."""
    server = station.post.server
    return FolderCarrier(folder) if server is None else SmtpCarrier(server, read_password(environ))


def run_station(station: Station, station_text: str, state: Path) -> None:
    """Run until SIGTERM or SIGINT. Raises NaupliadError when something that is needed is missing."""
    clock, wake = WallClock(), threading.Event()
    probes = open_probes(station, clock.now_s())
    with ExitStack() as ending:
        bench = PatientBench(probes, min(_PATIENCE_SHARE * station.sample_every_s, _PATIENCE_MOST_S))
        ending.callback(bench.close)
        carrier = make_carrier(station, state, os.environ)
        store = WritingStore(_made(state))
        ending.callback(store.close)
        inbox = Inbox(state / INBOX, wake)
        ending.callback(inbox.close)
        backroom = ThreadBackroom(wake)
        ending.callback(backroom.close, patience_s=1.0)
        around = Surroundings(bench, clock, backroom, carrier, state, wake, played=False, inbox=inbox)
        house = House(station, station_text, store, around)
        ending.callback(house.close)
        notices = ServiceNotices(os.environ)
        notices.expect_every(station.sample_every_s)
        ending.callback(notices.stopping)
        _beat_until_stopped(house, clock, station, wake, notices)


def _made(state: Path) -> Path:
    try:
        state.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        found = error.strerror
        raise InputError(f"{state}: found {found}; allowed: a folder this user can write to") from error
    return state


def _beat_until_stopped(
    house: House, clock: WallClock, station: Station, wake: threading.Event, notices: ServiceNotices
) -> None:
    beats = 0

    def after_beat(_at: int) -> None:
        nonlocal beats
        beats += 1
        if beats == 1:
            notices.ready()
            log.info("%s: the first readings are in the store", station.name)
        notices.alive()

    loop = Loop(house, clock, station.sample_every_s, wake, after_beat=after_beat)
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda _number, _frame: loop.stop())
    loop.run()
