"""What a weekend costs the beliefs: `python tests/bench/beliefs.py`. Nothing is asserted."""

import time

from daemon.care.deed import Deed
from daemon.estimates.vessel import VesselBelief
from tests.kit.station import probe, station, vessel

HOURS = 72
(CUP,) = station(probe("water"), vessel("cup", "water"), zone="UTC").vessels


def main() -> None:
    """Feed minutes of four probes, ask for every quantity each hour, print both costs."""
    belief = VesselBelief(CUP, 60)
    belief.feed_deed(Deed(0, "cup", "set", 0.05, {"salt_g_per_l": 25.0}))
    feeding = asking = 0.0
    for at in range(0, HOURS * 3600, 60):
        began = time.process_time()
        belief.feed_reading(at, "water_c", 24.0 + at % 7 / 10)
        belief.feed_reading(at, "room_c", 21.0)
        belief.feed_reading(at, "room_rh_pct", 45.0)
        belief.feed_reading(at, "float_low", 0.0)
        fed = time.process_time()
        if at % 3600 == 0:
            belief.estimates(at)
        feeding, asking = feeding + fed - began, asking + time.process_time() - fed
    beats = HOURS * 60
    print(f"beliefs of one vessel over {HOURS} h, four probes a minute, in processor time:")
    print(
        f"  {1e3 * feeding / beats:.3f} ms a beat, {1e3 * asking / HOURS:.1f} ms an hour for all quantities"
    )


if __name__ == "__main__":
    main()
