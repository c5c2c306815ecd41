"""`naupliad` on a tree that looks like a machine: `python -m tests.kit.on_machine ROOT FASTER WORDS`.

What waits for a probe in ice or light waits FASTER times less; nothing else is changed.
"""

import sys
import time
from functools import partial
from pathlib import Path

from daemon import station_probes
from daemon.cli import main
from daemon.commissioning import machine
from sensors.probe_opening import Roots

if __name__ == "__main__":
    root, faster = Path(sys.argv.pop(1)), float(sys.argv.pop(1))
    machine.Machine = partial(  # type: ignore[misc, assignment]
        machine.Machine,
        root=root,
        monotonic=lambda: time.monotonic() * faster,
        sleep=lambda wait_s: time.sleep(wait_s / faster),
        patience_s=20.0 * faster,
    )
    roots: Roots = machine.Machine().roots
    station_probes.openers = partial(station_probes.openers, roots=roots)
    main()
