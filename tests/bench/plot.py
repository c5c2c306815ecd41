"""How large the page's charts are, and how long they take.

    python -m tests.bench.plot

Nothing is asserted. Times are of the processor, the least of several; compare them within one run only.
"""

import re
import time

from reports.page.plot.figure import vessel_plot
from tests.kit import plot_samples

_TIMES = 7


def main() -> None:
    """Print a line a chart."""
    print("chart        kB  of it paths  answers  table    ms")
    for name in ("a_day", "weekend", "two_months"):
        record = getattr(plot_samples, name)()
        lengths = []
        for _ in range(_TIMES):
            began = time.process_time()
            html = vessel_plot(record, "tray-a", "chart", now=True)
            lengths.append(time.process_time() - began)
        sizes = [sum(map(len, re.findall(part, html, re.DOTALL))) for part in _PARTS]
        told = " ".join(f"{size / 1000:8.1f}" for size in sizes)
        print(f"{name:10} {len(html.encode()) / 1000:4.1f}  {told}  {1000 * min(lengths):5.0f}")


_PARTS = (r"<path.*?/>", r"<script.*?</script>", r"<details>.*?</details>")

if __name__ == "__main__":
    main()
