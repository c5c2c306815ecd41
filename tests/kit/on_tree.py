"""`naupliad` with its 1-Wire bus in another folder, no more: `python -m tests.kit.on_tree W1 WORDS`."""

import sys
from functools import partial
from pathlib import Path

from daemon import station_probes
from daemon.cli import main
from sensors.probe_opening import Roots

if __name__ == "__main__":
    station_probes.openers = partial(station_probes.openers, roots=Roots(w1=Path(sys.argv.pop(1))))
    main()
