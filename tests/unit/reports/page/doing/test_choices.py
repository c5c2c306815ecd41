"""The buttons of a vessel: all that can be noted is there once, what is likely at its stage first."""

from collections.abc import Iterator

import pytest

from daemon.care.deed import KINDS
from daemon.stages import Stage
from reports.page.doing import fields
from reports.page.doing.choices import CHOICES, OF_DEED, Buttons, buttons, meant
from tests.kit.vessel_at_stage import NAMES, Shelf, name


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    made = Shelf(tmp_path_factory.mktemp("shelf"))
    yield made
    made.desks.store.close()


def buttons_of(shelf: Shelf, one: str, **spoken: str) -> Buttons:
    setting, record = shelf.record(one, **spoken)
    return buttons(setting, record.vessels[0])


@pytest.mark.parametrize("one", NAMES)
def test_all_that_can_be_noted_has_one_button_at_every_stage(shelf: Shelf, one: str) -> None:
    shown = buttons_of(shelf, one)
    keys = [key for group in (shown.likely, shown.others, shown.rare) for key, _ in group]
    (night,) = shelf.record(one)[1].vessels
    # Brine to the mark stands in the place of water to the mark where it is due.
    assert sorted(keys) == sorted(key for key, choice in CHOICES.items() if meant(choice, night) is choice)
    assert 0 < len(shown.likely) <= 5
    assert len({words for group in (shown.likely, shown.others, shown.rare) for _, words in group}) == len(
        keys
    )


@pytest.mark.parametrize(
    ("stage", "first"),
    [
        (Stage.NOTHING_SET, "set"),
        (Stage.SET, "none-yet"),
        (Stage.HATCHED, "feed"),
        (Stage.GROWING, "feed"),
        (Stage.BEING_HARVESTED, "harvest"),
        (Stage.HARVESTED, "end"),
        (Stage.ENDED, "set"),
    ],
)
def test_what_is_likely_at_a_stage_stands_first(shelf: Shelf, stage: Stage, first: str) -> None:
    keys = [key for key, _ in buttons_of(shelf, name("tray", stage)).likely if key not in ("fill", "refill")]
    assert first in keys[:2]


def test_where_a_letter_would_ask_to_fill_that_is_the_first_button(shelf: Shelf) -> None:
    from reports.letters.pouring import is_to_fill

    asked = []
    for one in NAMES:
        setting, record = shelf.record(one)
        to_fill = is_to_fill(setting, record.vessels[0])
        asked.append(to_fill)
        fill = "fill" if record.vessels[0].brine is None else "refill"
        assert (buttons_of(shelf, one).likely[0][0] == fill) == to_fill
    assert {True, False} == set(asked)


def test_every_deed_and_every_detail_of_the_care_log_can_be_noted_and_changed() -> None:
    assert {choice.deed for choice in CHOICES.values()} == set(KINDS) == set(OF_DEED)
    for deed, kind in KINDS.items():
        asked = set(fields.names(OF_DEED[deed]))
        assert asked == {*kind.numbers, *kind.words, *(["amount"] if kind.amount else [])}


def test_one_tap_is_enough_for_what_the_task_names() -> None:
    taps = {key for key, choice in CHOICES.items() if not fields.names(choice)}
    assert taps == {
        "stir",
        "none-yet",
        "first-swimmer",
        "about-half",
        "nearly-all",
        "cover",
        "uncover",
        "end",
    }
