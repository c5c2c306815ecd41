"""Ten thousand hostile requests to the local page: `python -m tests.bench.hostile`.

Every address and form, with what nobody sends, to a real page process with a real store and desks that
listen; the same for the same seed. Prints what came of them and, a line each, what was wrong: nothing may be.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

from tests.kit.hostile.asks import asks
from tests.kit.hostile.trial import try_all


def main() -> None:
    """Put them, and print; exit code 1 where something was wrong."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    told = parser.parse_args()

    def note(count: int) -> None:
        if count % 1000 == 0:
            print(f"{count} requests", file=sys.stderr, flush=True)

    with tempfile.TemporaryDirectory() as folder:
        came = try_all(iter(asks(told.seed, told.requests, int(time.time()))), Path(folder), note)
    counted = ", ".join(f"{status}: {count}" for status, count in sorted(came.statuses.items()))
    print(f"seed {told.seed}, {told.requests} requests; {counted}; without an answer: {came.unanswered}")
    print(f"entries noted: {came.noted}; resident, MiB: {', '.join(f'{mib:.1f}' for mib in came.resident)}")
    print("\n".join(came.faults) or "nothing was wrong")
    sys.exit(1 if came.faults else 0)


if __name__ == "__main__":
    main()
