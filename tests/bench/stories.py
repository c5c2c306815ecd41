"""Plays every shipped story, prints what was said in each, and writes it into the page about them.

    python -m tests.bench.stories [--jobs 2] [--write docs]

Nothing is asserted: tests/whole/stories/test_stories.py does that. The same program gives the same page, byte
for byte.
"""

import argparse
import time
from collections.abc import Sequence
from multiprocessing import Pool
from pathlib import Path

from daemon.play.story_file import story_names
from tests.kit.telling import Telling, over_budget, tell

BEGINS = "<!-- written by tests/bench/stories.py, up to the end mark -->"
ENDS = "<!-- end mark -->"
_HEADS = (
    "story",
    "what must be told came",
    "not asked for",
    "a week: planned, unplanned",
    "before it was too late",
    "what people did about it",
)
_HEAD = f"| {' | '.join(_HEADS)} |\n|{' --- |' * len(_HEADS)}"


def main() -> None:
    """Play, print, and write where asked."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--jobs", type=int, default=2)
    asked.add_argument("--write", type=Path, metavar="DOCS", help="folder of the documentation")
    told = asked.parse_args()
    began = time.monotonic()
    with Pool(told.jobs) as pool:
        tellings = pool.map(tell, story_names(), chunksize=1)
    page_part = told_page(tellings)
    print(page_part)
    cost_s = sum(one.cost_s for one in tellings)
    print(f"{len(tellings)} stories in {time.monotonic() - began:.0f} s, {cost_s:.0f} s of processor time")
    for one in tellings:
        for line in one.broken:
            print(f"BROKEN: {line}")
    if told.write:
        path = told.write / "explanation" / "stories.md"
        path.write_text(with_part(path.read_text("utf-8"), page_part), "utf-8")


def with_part(page: str, part: str) -> str:
    """The page with its generated part written anew; what people wrote around it stays."""
    before, rest = page.split(BEGINS)
    _, after = rest.split(ENDS)
    return f"{before}{BEGINS}\n\n{part}\n\n{ENDS}{after}"


def told_page(tellings: Sequence[Telling]) -> str:
    """The table, the sums under it, and what each story tells."""
    rows = "\n".join(row(one) for one in tellings)
    tells = "\n\n".join(f"**`{one.story.name}`** {one.story.title}. {one.story.tell}" for one in tellings)
    return f"{_HEAD}\n{rows}\n\n{_sums(tellings)}\n\n## What happens in each\n\n{tells}"


def row(told: Telling) -> str:
    """One story's row."""
    cells = (
        f"`{told.story.name}`",
        _came(told),
        ", ".join(f"`{letter.kind}`" for letter in told.false) or "none",
        f"{len(told.planned) / told.weeks:.1f}, {len(told.unplanned) / told.weeks:.1f}",
        _leads(told),
        _done(told),
    )
    return f"| {' | '.join(cells)} |"


def _came(told: Telling) -> str:
    """Calls with all their letters in the window, of those that want one."""
    broken = sum(1 for call in told.wanted if not told.holds(call))
    kept = len(told.wanted) - broken
    return f"{kept} of {len(told.wanted)}" if told.wanted else "nothing must"


def _leads(told: Telling) -> str:
    leads = [(call.kind, told.lead_s(call)) for call in told.wanted if call.too_late_at is not None]
    return ", ".join(f"`{kind}` {_hours(lead)}" for kind, lead in leads) or "–"


def _done(told: Telling) -> str:
    done = [
        f"{event.do}, {_hours(event.at - letter.at)} after `{letter.kind}`" for event, letter in told.answers
    ]
    return "; ".join(done) or "–"


def _hours(seconds: int | None) -> str:
    if seconds is None:
        return "not told"
    return f"{seconds / 3600:.0f} h" if abs(seconds) >= 10 * 3600 else f"{seconds / 3600:.1f} h"


def _sums(tellings: Sequence[Telling]) -> str:
    wanted = sum(len(one.wanted) for one in tellings)
    kept = sum(1 for one in tellings for call in one.wanted if one.holds(call))
    false = sum(len(one.false) for one in tellings)
    passed = [f"`{one.story.name}`: {line}" for one in tellings for line in over_budget(one)]
    budget = "; ".join(passed) or "in no story"
    return (
        f"{len(tellings)} stories: {kept} of {wanted} calls were kept, and {false} unplanned letters came "
        "that no story asks for. The budget (one unplanned letter a day, two over an absence, three planned "
        f"ones in any seven days, heat above 33 °C aside) was passed: {budget}."
    )


if __name__ == "__main__":
    main()
