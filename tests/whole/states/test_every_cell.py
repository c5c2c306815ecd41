"""Every cell of states × letter kinds: a letter that is true at its stage, or none, and why.

The letters are the scribe's, on a real store and real desks, each at a moment at which its reason stands
(`tests/kit/friday.py`). All of them were read once, by eye; what was learned from that is held here.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from daemon.letter_kinds import LETTER_KINDS, UNPLANNED
from daemon.stages import RUNNING, STAGES, Stage
from reports.letters.nightly import nightly_letter
from reports.records import LetterText
from reports.state import state_text
from reports.vessel_line import STAGES as STAGES_IN_A_LINE
from tests.kit.friday import reasons
from tests.kit.letter_text import flat
from tests.kit.plays import Plays
from tests.kit.vessel_at_stage import HEATED, KINDS, NAMES, Shelf

_OVER = {
    Stage.NOTHING_SET: "no batch runs, so no water and no hatch is believed",
    Stage.ENDED: "no batch runs any more, so no water and no hatch is believed",
}
_DRAWN = {
    Stage.BEING_HARVESTED: "who drew animals off knows that they hatched",
    Stage.HARVESTED: "who drew the animals off knows that they hatched",
}
_OF_THE_STATION = dict.fromkeys(Stage, "it is about the station, and the same whatever its vessels hold")
WHY_NOT: Mapping[str, Mapping[Stage, str]] = {
    "water": {**_OVER, Stage.HARVESTED: "what is left in it is not kept at the mark; is the batch over?"},
    "storage": _OF_THE_STATION,
    "clock": _OF_THE_STATION,
    "leave": _OVER,
    "return": _OVER,
    "hatch": {**_OVER, **_DRAWN},
    "harvest": {**_OVER, **_DRAWN},
    "feed": {
        **_OVER,
        Stage.SET: "nothing swims",
        Stage.HATCHING: "fresh from the egg they cannot eat",
        Stage.HATCHED: "they live on their yolk, as far as is sure",
        Stage.HARVESTED: "the animals were drawn off",
    },
    "digest": _OF_THE_STATION,
    "sample": _OF_THE_STATION,
}
# Who is told of a kind only where it says something new: a cone is harvested, swimmers were seen.
_ONLY_CONES = "harvest"
_SEEN = {("tray", Stage.GROWING)}


@dataclass
class Friday:
    """What was written that day: by kind, reason and vessel; and what `naupliad now` said at its nights."""

    letters: dict[tuple[str, str, str], LetterText | None] = field(default_factory=dict)
    states: list[tuple[str, str]] = field(default_factory=list)
    strayed: list[str] = field(default_factory=list)
    kinds: frozenset[str] = frozenset()

    def of(self, kind: str, vessel_kind: str, stage: Stage) -> list[LetterText | None]:
        """The letters of a kind about a vessel at a stage, a letter or None for each reason."""
        return [
            letter
            for (written, _, one), letter in self.letters.items()
            if written == kind and NAMES[one] == (vessel_kind, stage)
        ]

    def written(self) -> Iterator[tuple[str, str, Stage, LetterText]]:
        """Every letter about a vessel: its kind, and what kind of vessel at which stage."""
        for (kind, _, one), letter in self.letters.items():
            if letter is not None and kind not in ("storage", "clock"):
                yield kind, *NAMES[one], letter


@pytest.fixture(scope="session")
def friday(shared: Path) -> Friday:
    """The day, lived once in a run."""
    return Plays(shared / "friday", lived)["friday"]


def lived(_name: str, folder: Path) -> Friday:
    """The day, with its store in a folder."""
    shelf, day = Shelf(folder), Friday()
    day.kinds = shelf.scribe().kinds
    for kind, why in reasons(shelf):
        for one, (_, stage) in NAMES.items():
            if shelf.desks.beliefs.state(one, shelf.at).stage is not stage:
                day.strayed.append(f"{one}: {kind}, {why}")
            if kind == "nightly":
                known = shelf.record(one)
                day.letters[kind, why, one] = nightly_letter(*known, with_chart=False)
                day.states.append((one, state_text(*known, [])))
            else:
                day.letters[kind, why, one] = shelf.letter(kind, one)
    shelf.desks.store.close()
    return day


def test_every_vessel_is_at_its_stage_whenever_a_letter_is_asked_for(friday: Friday) -> None:
    assert friday.strayed == []
    assert {stage for _, stage in NAMES.values()} == set(Stage)


@pytest.mark.parametrize("stage", Stage, ids=lambda stage: stage.value.replace(" ", "-"))
@pytest.mark.parametrize("kind", LETTER_KINDS)
def test_a_cell_has_a_letter_or_a_reason_why_it_has_none(friday: Friday, kind: str, stage: Stage) -> None:
    why = WHY_NOT.get(kind, {}).get(stage)
    assert (stage in LETTER_KINDS[kind].stages) == (why is None), why
    for vessel_kind in KINDS:
        for letter in friday.of(kind, vessel_kind, stage):
            assert (letter is not None) == _has_one(kind, vessel_kind, stage), why


def _has_one(kind: str, vessel_kind: str, stage: Stage) -> bool:
    if kind in ("storage", "clock"):  # about the station: whatever vessel is asked about
        return True
    if stage in WHY_NOT.get(kind, {}):
        return False
    if kind == _ONLY_CONES:
        return vessel_kind == "cone"
    if kind == "hatch":
        return (vessel_kind, stage) not in _SEEN
    watched = stage in RUNNING or KINDS[vessel_kind].get("watch") != "batch"
    return watched or kind not in UNPLANNED


def test_each_kind_of_the_scribe_is_asked_for_and_the_others_are_about_no_vessel(friday: Friday) -> None:
    asked = {kind for kind, _, _ in friday.letters}
    assert asked == {*friday.kinds, "nightly"}
    assert {*LETTER_KINDS} - asked == {"digest", "sample"}


_AHEAD = re.compile(
    r"comes later\.|slows the hatch|slows what is still|Hatch later by|hatches later|hatch later|hatch goes "
    r"faster|suits the hatch|how fast a hatch goes|so far, of those that will|stop developing|hatch times"
)
_ANIMALS = re.compile(
    r"Animals that already swim|animals have less room|suits the animals|The animals (in|grow)|less oxygen"
)
_PLAIN = re.compile(
    r"[Pp]our plain water|fill \S+ to the mark with plain|of plain water into|plain water in\."
)
_FIGURES = re.compile(
    r"^- (Water in (each cup|the vessel)|Salt|Hatched[^:]*|Half[^:]*|Nine in ten|Loss|Low mark[^:]*|"
    r"Best (from|until)|Able to eat from):",
    re.MULTILINE,
)
_FEED = re.compile(r"\b(feed|food|fed)\b", re.IGNORECASE)


def test_a_hatch_to_come_is_spoken_of_only_where_one_is(friday: Friday) -> None:
    for kind, vessel_kind, stage, letter in friday.written():
        # The letters of the batch itself: what they know of its stage is their subject.
        if kind not in ("hatch", "harvest") and not STAGES[stage].hatch_ahead:
            assert not _AHEAD.search(flat(letter)), (kind, vessel_kind, stage, letter.text)


def test_animals_are_spoken_of_and_fed_only_where_there_are_some(friday: Friday) -> None:
    for kind, vessel_kind, stage, letter in friday.written():
        if not STAGES[stage].animals:
            assert not _ANIMALS.search(flat(letter)), (kind, vessel_kind, stage, letter.text)
        if kind != "hatch" and stage not in (Stage.GROWING, Stage.BEING_HARVESTED):
            assert not _FEED.search(flat(letter)), (kind, vessel_kind, stage, letter.text)


def test_who_recorded_no_animals_looks_for_some_before_anything_is_fed(friday: Friday) -> None:
    """Of the cone nobody recorded any before it was drawn off; of the tray somebody did."""
    asked = set()
    for kind, vessel_kind, stage, letter in friday.written():
        if kind in ("feed", "leave", "return") and re.search("pinch", letter.text):
            asked.add((kind, vessel_kind, stage))
            unseen = (vessel_kind, stage) == ("cone", Stage.GROWING)
            looked = re.search("ook first whether animals swim|if some swim|if animals swim", flat(letter))
            assert bool(looked) == unseen, (kind, vessel_kind, stage)
            assert f"care add {vessel_kind}-{stage.value.replace(' ', '-')} feed" in flat(letter)
    assert asked == {
        (kind, vessel_kind, stage)
        for kind in ("feed", "leave", "return")
        for vessel_kind in ("tray", "cone")
        for stage in (Stage.GROWING, Stage.BEING_HARVESTED)
    }


def test_a_harvest_leaves_the_choice_to_keep_animals_that_can_eat(friday: Friday) -> None:
    """Letters of the same day say that they can be fed."""
    for kind, _, stage, letter in friday.written():
        if kind == "harvest":
            assert ("or keep them here and feed them" in flat(letter)) == (stage is Stage.GROWING)
            assert f"care add cone-{stage.value} harvest 500" in flat(letter)


def test_plain_water_is_asked_for_and_figures_are_said_only_of_a_batch_that_keeps_it(friday: Friday) -> None:
    for kind, vessel_kind, stage, letter in friday.written():
        asked = flat(letter).replace("stirred into", "")
        if not STAGES[stage].keeps_water:
            assert not _PLAIN.search(asked), (kind, vessel_kind, stage, letter.text)
        if not STAGES[stage].runs:
            assert not _FIGURES.search(letter.text), (kind, vessel_kind, stage, letter.text)


def test_nobody_is_sent_to_look_for_swimmers_who_saw_or_drew_them(friday: Friday) -> None:
    for kind, vessel_kind, stage, letter in friday.written():
        if stage in _DRAWN or not STAGES[stage].runs or (vessel_kind, stage) in _SEEN:
            assert "look for swimmers" not in flat(letter), (kind, vessel_kind, stage)
        if stage in _DRAWN:
            assert "Half hatched:" not in flat(letter), (kind, vessel_kind, stage)


def test_a_vessel_is_called_what_it_is_in_every_letter(friday: Friday) -> None:
    called = {
        "tray": r"\b(each cup|the cups|one of the cups)\b",
        "cone": r"\bthe cone\b",
        "jar": r"\bthe jar\b",
    }
    for kind, vessel_kind, stage, letter in friday.written():
        said = flat(letter).replace("let the cone settle", "").replace("draw off a cone", "")
        wrong = [other for other in KINDS if other != vessel_kind and re.search(called[other], said)]
        assert wrong == [], (kind, vessel_kind, stage, letter.text)


def test_a_heated_cone_is_drawn_off_only_with_its_heater_cold(friday: Friday) -> None:
    drawn = [
        (stage, flat(letter))
        for kind, vessel_kind, stage, letter in friday.written()
        if kind == "harvest" and (vessel_kind, stage) in HEATED
    ]
    assert drawn
    for stage, said in drawn:
        assert "unplug the heater, and wait until it is cool. Then turn the air" in said, stage


_ASKS = re.compile(r"Do this: .*?(?=Take care:|Next letter:|No letter is planned)")
_POURS = re.compile(r"[Pp]our (plain|brine)|with plain water|strong brine|[Tt]ake .* of the water out")


def test_no_letter_moves_a_heated_cone_or_has_hands_at_a_live_heater(friday: Friday) -> None:
    poured = set()
    for kind, vessel_kind, stage, letter in friday.written():
        found = _ASKS.search(flat(letter))
        assert found, (kind, letter.text)
        asked, where = found[0], (kind, vessel_kind, stage, letter.text)
        if (vessel_kind, stage) not in HEATED:
            assert kind == "leave" or "heater" not in asked, where
            continue
        assert not re.search(r"\bmove (the cone|cone|it|what)\b|the room's heating", asked), where
        assert stage not in (Stage.HARVESTED, Stage.ENDED) or "plugged in, on and" not in asked, where
        if _POURS.search(asked):
            poured.add(kind)
            assert re.search(r"unplug the heater of cone|heater of cone-\w+ is unplugged", asked), where
        if "heater" in asked:
            assert "Dry hands; do not reach over the water" in flat(letter), where
    assert {"water", "leave", "return", "nightly"} & poured


def test_after_a_harvest_each_planned_letter_asks_whether_the_batch_is_over(friday: Friday) -> None:
    for kind in ("nightly", "leave", "return"):
        for vessel_kind in KINDS:
            for letter in friday.of(kind, vessel_kind, Stage.HARVESTED):
                assert letter is not None
                assert re.search(r"Is the batch over\?|whether the batch in .+? is over", flat(letter))
                assert f"care add {vessel_kind}-harvested end" in flat(letter)


def test_what_is_not_watched_is_said_not_to_be_and_what_runs_is_not_said_to_be_over(friday: Friday) -> None:
    for kind, vessel_kind, stage, letter in friday.written():
        if kind == "nightly":
            unwatched = vessel_kind == "jar" and stage not in RUNNING
            assert ("not watched" in flat(letter)) == unwatched, (vessel_kind, stage)
            assert ("no batch running" in flat(letter)) == (stage not in RUNNING), (vessel_kind, stage)
            assert not (unwatched and "all well" in letter.subject)


def test_now_says_how_far_each_vessel_is_and_no_figure_without_a_batch(friday: Friday) -> None:
    for one, said in friday.states:
        _, stage = NAMES[one]
        line = next(line for line in said.splitlines() if line.startswith(one))
        assert f": {STAGES_IN_A_LINE[stage.value]}" in line
        if stage not in RUNNING:
            assert not re.search(r"Salt:|Hatched|Half|Loss|mark", said), (one, said)


def test_a_letter_asks_for_one_thing_and_says_nothing_of_the_program(friday: Friday) -> None:
    for kind, vessel_kind, stage, letter in friday.written():
        assert letter.text.count("Do this:") == 1, (kind, vessel_kind, stage)
        assert not re.search(r"None|\{|\}|nan|inf\b|datetime|……", f"{letter.subject} {letter.text}"), (
            letter.text
        )
        assert len(letter.subject) <= 59
