"""A gatherer as a process: put together from its file, ended by a signal."""

import ssl
import threading
from collections.abc import Mapping
from functools import partial

from daemon.gathering.database import connect
from daemon.gathering.gatherer import Gatherer
from daemon.gathering.keeping import BoxKeeping
from daemon.gathering.line import GatherLine
from daemon.gathering.plan import GatherPlan
from daemon.post.secrets import MQTT_PASSWORD, read_secret
from daemon.running.process import stopped_by_signals
from daemon.running.service_notices import ServiceNotices


def gather(plan: GatherPlan, environ: Mapping[str, str], *, context: ssl.SSLContext | None = None) -> None:
    """Keep what stations tell until SIGTERM or SIGINT. Raises InputError: the database is not prepared."""
    stop = threading.Event()
    password = read_secret(MQTT_PASSWORD, environ)
    with stopped_by_signals(stop.set):
        keeping = BoxKeeping(partial(connect, plan, environ))
        line = GatherLine(plan, password, context=context)
        try:
            Gatherer(line, keeping, stop, ServiceNotices(environ)).run()
        finally:
            line.close()
            keeping.close()
