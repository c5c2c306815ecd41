"""The stages of a vessel, as the documentation tells them and the letter kinds use them."""

import re

from daemon.letter_kinds import LETTER_KINDS
from daemon.stages import Stage
from tests.kit.checkout import ROOT

SAYING = (ROOT / "docs/explanation/saying.md").read_text(encoding="utf-8")
SECTION = SAYING.partition("## The states of a vessel")[2].partition("\n## ")[0]
_GROUPS: dict[str, set[Stage]] = {
    "all, where the vessel is watched": set(Stage),
    "they are about no vessel": set(),
}


def rows(width: int) -> list[list[str]]:
    lines = [line.strip("|").split("|") for line in SECTION.splitlines() if line.startswith("| ")]
    return [
        [cell.strip() for cell in cells] for cells in lines if len(cells) == width and "---" not in cells[0]
    ]


def test_every_stage_has_its_row_in_the_documentation_in_order() -> None:
    assert [row[0] for row in rows(5)[1:]] == [stage.value for stage in Stage]


def test_the_documentation_says_at_which_stages_each_kind_is_written() -> None:
    before: set[Stage] = set()
    said: dict[str, set[Stage]] = {}
    for kinds, where in rows(2)[1:]:
        if where == "those, and harvested":
            stages = {*before, Stage.HARVESTED}
        elif where in _GROUPS:
            stages = _GROUPS[where]
        else:
            stages = {Stage(name) for name in where.split(", ")}
        before = stages
        said |= dict.fromkeys(re.findall(r"`([a-z]+)`", kinds), stages)
    assert said == {name: set(kind.stages) for name, kind in LETTER_KINDS.items()}
