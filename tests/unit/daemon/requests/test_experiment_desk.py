"""What is asked about experiments: begun once, counted once, corrected with the old entry kept."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.errors import InputError
from daemon.planning.experiment.counts import LostCup
from daemon.requests.experiment_desk import answer
from daemon.store import experiments
from daemon.store.experiments import Counted
from daemon.store.file import WritingStore

NOW = 1_800_000_000
BEGIN = {"ask": "experiment begin", "factor": "salt", "levels": "10, 25, 40", "cups": 4, "of": 50, "seed": 7}
# The codes of that seed's first row.
CODES = ("F3", "N3", "H7")

Ask = Callable[[Mapping[str, Any]], dict[str, Any]]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[WritingStore]:
    store = WritingStore(tmp_path, durable=False)
    yield store
    store.close()


@pytest.fixture
def ask(store: WritingStore) -> Ask:
    def asked(words: Mapping[str, Any]) -> dict[str, Any]:
        with store.transaction() as connection:
            return answer(connection, words, NOW)

    assert asked(BEGIN) == {"id": 1}
    return asked


def counted(*counts: list[Any], **more: Any) -> dict[str, Any]:
    return {"ask": "experiment count", "experiment": 1, "counts": [*counts], **more}


def standing(store: WritingStore) -> dict[str, int]:
    return {one.counted.code: one.counted.hatched for one in experiments.standing(store.connection, 1)}


def test_an_experiment_is_kept_as_it_was_asked_for(store: WritingStore, ask: Ask) -> None:
    kept = experiments.find(store.connection, 1)
    assert kept is not None
    assert (kept.at, kept.design.levels, kept.design.seed) == (NOW, ("10 g/L", "25 g/L", "40 g/L"), 7)
    assert [seat.code for seat in kept.seats][:3] == list(CODES)
    assert len(kept.seats) == 12


def test_a_form_sent_twice_begins_one_experiment_and_a_new_seed_another(
    store: WritingStore, ask: Ask
) -> None:
    assert ask(BEGIN) == {"id": 1}
    assert ask({**BEGIN, "seed": 8}) == {"id": 2}
    assert [one.id for one in experiments.every(store.connection)] == [1, 2]


def test_once_something_was_counted_the_same_words_begin_another(ask: Ask) -> None:
    ask(counted(["F3", 31, None, None]))
    assert ask(BEGIN) == {"id": 2}


def test_a_count_sent_once_more_stands_once(store: WritingStore, ask: Ask) -> None:
    first = ask(counted(["F3", 31, None, None]))
    assert ask(counted(["f3 ", 31, 50, None])) == first
    assert len(experiments.counts(store.connection, 1)) == 1


def test_another_count_of_a_cup_is_refused_unless_it_is_a_correction(store: WritingStore, ask: Ask) -> None:
    ask(counted(["F3", 31, None, None]))
    with pytest.raises(InputError) as refused:
        ask(counted(["N3", 20, None, None], ["F3", 13, None, None]))
    found = "F3: found a count that stands (31 of 50)"
    assert str(refused.value) == f"{found}; allowed: a correction (--correct), or another cup"
    assert standing(store) == {"F3": 31}
    (second,) = ask(counted(["F3", 13, None, None], correct=True))["ids"]
    assert standing(store) == {"F3": 13}
    old, new = experiments.counts(store.connection, 1)
    assert (old.counted.hatched, old.withdrawn_at) == (31, NOW)
    assert (new.id, new.replaces) == (second, old.id)


def test_a_count_taken_back_is_kept_and_taken_back_once(store: WritingStore, ask: Ask) -> None:
    ask(counted(["F3", 31, None, None]))
    words = {"ask": "experiment withdraw", "experiment": 1, "code": "F3"}
    assert (ask(words), ask(words)) == ({"withdrawn": True}, {"withdrawn": False})
    assert standing(store) == {}
    assert len(experiments.counts(store.connection, 1)) == 1


def test_counts_of_two_times_stand_beside_each_other(store: WritingStore, ask: Ask) -> None:
    ask(counted(["F3", 11, None, 24], ["F3", 31, None, 48.0]))
    what = [one.counted.what for one in experiments.standing(store.connection, 1)]
    assert what == [("F3", 24.0), ("F3", 48.0)]
    with pytest.raises(
        InputError, match="hours: found 2 counts with hours and 1 without, with those that stand"
    ):
        ask(counted(["N3", 11, None, None]))


def test_hours_are_added_to_counts_by_a_correction_of_all_of_them(store: WritingStore, ask: Ask) -> None:
    ask(counted(*([code, 31, None, None] for code in CODES)))
    later = [[code, 31, None, 48] for code in CODES]
    with pytest.raises(InputError, match="found 3 counts with hours and 3 without, with those that stand"):
        ask(counted(*later))
    with pytest.raises(InputError, match="found 2 counts with hours and 1 without"):
        ask(counted(*later[:2], correct=True))
    ask(counted(*later, [CODES[0], 33, None, 72], correct=True))
    stands = [(one.counted, one.replaces) for one in experiments.standing(store.connection, 1)]
    expected = [(Counted(code, 31, 50, 48.0), at) for at, code in enumerate(CODES, start=1)]
    assert stands == [*expected, (Counted(CODES[0], 33, 50, 72.0), None)]
    assert len(experiments.counts(store.connection, 1)) == 7, "what was written before is kept"


def test_hours_are_taken_from_counts_where_each_cup_has_one_only(store: WritingStore, ask: Ask) -> None:
    ask(counted(["F3", 31, None, 24]))
    ask(counted(["F3", 30, None, None], correct=True))
    assert [one.counted for one in experiments.standing(store.connection, 1)] == [Counted("F3", 30, 50)]
    ask(counted(["F3", 31, None, 24], ["F3", 31, None, 48], correct=True))
    with pytest.raises(InputError, match="found 2 counts with hours and 1 without"):
        ask(counted(["F3", 30, None, None], correct=True))


def test_how_warm_the_water_was_is_kept_with_a_count(store: WritingStore, ask: Ask) -> None:
    ask(counted(["F3", 31, None, 24, 22.5]))
    assert [one.counted for one in experiments.standing(store.connection, 1)] == [
        Counted("F3", 31, 50, 24.0, 22.5)
    ]
    for water_c in (61, -6, "warm", True, float("nan")):
        with pytest.raises(InputError, match=r"water_c: found .*; allowed: -5 to 60 °C"):
            ask(counted(["N3", 31, None, 24, water_c]))


def test_a_table_that_is_only_looked_at_is_checked_and_not_kept(store: WritingStore, ask: Ask) -> None:
    assert ask({**counted(["F3", 31, None, 24]), "try": True}) == {"ids": []}
    with pytest.raises(InputError, match="hatched: found 51"):
        ask({**counted(["F3", 51, None, 24]), "try": True})
    assert standing(store) == {}


def test_why_a_cup_is_lost_is_kept_where_it_is_said(store: WritingStore, ask: Ask) -> None:
    ask({"ask": "experiment lost", "experiment": 1, "code": "F3", "why": "spilled"})
    ask({"ask": "experiment lost", "experiment": 1, "code": "N3"})
    with pytest.raises(
        InputError, match="why: found 'eaten'; allowed: broken, spilled, dry, mixed-up, moved"
    ):
        ask({"ask": "experiment lost", "experiment": 1, "code": "A3", "why": "eaten"})
    one = experiments.find(store.connection, 1)
    assert one is not None
    level = {seat.code: seat.level for seat in one.seats}
    assert experiments.lost_cups(store.connection, one) == [
        LostCup(level["N3"], "N3", NOW),  # of 10 g/L, so the first
        LostCup(level["F3"], "F3", NOW, "spilled"),
    ]


def test_a_lost_cup_is_counted_no_more_until_that_is_taken_back(store: WritingStore, ask: Ask) -> None:
    words = {"ask": "experiment lost", "experiment": 1, "code": "f3"}
    ask(counted(["F3", 9, None, 24]))
    assert (ask(words), ask(words)) == ({"changed": True}, {"changed": False})
    assert experiments.lost(store.connection, 1) == ["F3"]
    with pytest.raises(InputError, match="F3: found a cup that is lost; allowed: another one, or first"):
        ask(counted(["F3", 31, None, 48], ["N3", 30, None, 48]))
    ask(counted(["F3", 10, None, 24], correct=True))  # what was counted before it broke may be corrected
    assert standing(store) == {"F3": 10}
    back = {**words, "back": True}
    assert (ask(back), ask(back)) == ({"changed": True}, {"changed": False})
    ask(counted(["F3", 31, None, 48]))
    kept = store.connection.execute("SELECT at, code, withdrawn_at FROM experiment_lost").fetchall()
    assert kept == [(NOW, "F3", NOW)]


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (
            counted(["A0", 1, None, None]),
            "cup: found 'A0'; allowed: a code of the seat map of experiment 1",
        ),
        (
            counted(["F3", 51, None, None]),
            "F3: hatched: found 51; allowed: a whole number from 0 to 50",
        ),
        (
            counted(["F3", -1, None, None]),
            "F3: hatched: found -1; allowed: a whole number from 0 to 50",
        ),
        (
            counted(["F3", True, None, None]),
            "F3: hatched: found true; allowed: a whole number from 0 to 50",
        ),
        (counted(["F3", 1, 0, None]), "F3: of: found 0; allowed: a whole number from 1 to 10000"),
        (counted(["F3", 1, None, 0]), "F3: hours: found 0; allowed: above 0, up to 720"),
        (
            counted(["F3", 1, None]),
            "request: counts: found a list of 3; allowed: lists of a code, hatched, cysts, hours, water_c",
        ),
        (counted([None, 1, None, None]), "cup: found None; allowed: a code of the seat map"),
        (counted(), "request: counts: found an empty list; allowed: a list of 1 to 400"),
        (counted(["F3", 1, None, None], ["f3", 2, None, None]), "F3: found it twice; allowed: once"),
        (
            {"ask": "experiment count", "experiment": 9, "counts": [["F3", 1, None, None]]},
            "experiment: found 9, which nobody began; allowed: one that 'naupliad experiment list' shows",
        ),
        (
            {"ask": "experiment end"},
            (
                "request: found 'experiment end'; allowed: experiment begin, experiment count, "
                "experiment withdraw, experiment lost, experiment discard"
            ),
        ),
    ],
)
def test_what_cannot_be_is_refused_in_a_line_and_nothing_is_kept(
    words: dict[str, Any], line: str, store: WritingStore, ask: Ask
) -> None:
    with pytest.raises(InputError) as refused:
        ask(words)
    assert refused.value.faults == (line,)
    assert experiments.counts(store.connection, 1) == []


def test_of_several_counts_one_of_which_is_wrong_none_is_kept(store: WritingStore, ask: Ask) -> None:
    with pytest.raises(InputError):
        ask(counted(["F3", 31, None, None], ["N3", 99, None, None]))
    assert standing(store) == {}


def test_one_in_which_nothing_was_counted_is_discarded_whole_and_once(store: WritingStore, ask: Ask) -> None:
    words = {"ask": "experiment discard", "experiment": 1}
    assert (ask(words), ask(words)) == ({"discarded": True}, {"discarded": False})
    assert experiments.every(store.connection) == []
    # What stays holds its number, and none of a class's words.
    assert store.connection.execute("SELECT experiment, level FROM experiment_seat").fetchall() == [(1, "")]


def test_a_number_of_a_discarded_one_is_never_given_again(store: WritingStore, ask: Ask) -> None:
    for number in (1, 2, 3):
        assert ask({"ask": "experiment discard", "experiment": number}) == {"discarded": True}
        assert ask(BEGIN) == {"id": number + 1}


def test_one_in_which_something_was_counted_is_kept_even_if_that_was_taken_back(
    store: WritingStore, ask: Ask
) -> None:
    ask(counted(["F3", 31, None, None]))
    ask({"ask": "experiment withdraw", "experiment": 1, "code": "F3"})
    with pytest.raises(InputError, match="found counts in 1; allowed: one in which nothing was counted"):
        ask({"ask": "experiment discard", "experiment": 1})
    assert len(experiments.every(store.connection)) == 1


def test_a_seat_that_the_card_has_lost_comes_back_by_the_seed(store: WritingStore, ask: Ask) -> None:
    ask({**BEGIN, "idea": "another"})
    before = experiments.every(store.connection)
    codes = [{seat.code for seat in one.seats} for one in before]
    assert not codes[0] & codes[1], "no code stands on two cups that are about"
    store.connection.execute("DELETE FROM experiment_seat WHERE block = 2")
    assert experiments.every(store.connection) == before


def test_a_code_comes_again_once_no_cup_that_bears_it_can_be_counted(store: WritingStore, ask: Ask) -> None:
    with store.transaction() as connection:
        answer(connection, {**BEGIN, "idea": "another"}, NOW + 31 * 86_400)
    first, second = experiments.every(store.connection)
    assert first.seats == second.seats


STEPS = st.lists(
    st.tuples(st.sampled_from(["count", "correct", "withdraw"]), st.sampled_from(CODES), st.integers(-1, 51)),
    max_size=30,
)


@given(STEPS)
def test_after_any_history_the_last_counts_stand_and_nothing_was_lost(
    tmp_path_factory: pytest.TempPathFactory, steps: list[tuple[str, str, int]]
) -> None:
    store = WritingStore(tmp_path_factory.mktemp("history"), durable=False)
    stands: dict[str, int] = {}
    written = 0
    try:
        with store.transaction() as connection:
            answer(connection, BEGIN, NOW)
        for at, (step, code, hatched) in enumerate(steps, start=NOW):
            fits = 0 <= hatched <= 50
            if step == "withdraw":
                words: dict[str, Any] = {"ask": "experiment withdraw", "experiment": 1, "code": code}
                stands.pop(code, None)
            else:
                words = counted([code, hatched, None, None], correct=step == "correct")
                free = step == "correct" or stands.get(code, hatched) == hatched
                if fits and free:
                    written += stands.get(code) != hatched
                    stands[code] = hatched
            try:
                with store.transaction() as connection:
                    answer(connection, words, at)
            except InputError:
                assert step != "withdraw"
                assert not fits or not free
        assert standing(store) == stands
        kept = experiments.counts(store.connection, 1)
        assert len(kept) == written
        replaced = [one.replaces for one in kept if one.replaces is not None]
        assert len(set(replaced)) == len(replaced)
        gone = {one.id for one in kept if one.withdrawn_at is not None}
        assert set(replaced) <= gone
    finally:
        store.close()


@given(
    st.dictionaries(
        st.sampled_from(["experiment", "counts", "correct", "code", "hours", "factor", "levels", "cups"]),
        st.recursive(
            st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=10),
            lambda inner: st.lists(inner, max_size=5),
            max_leaves=10,
        ),
    ),
    st.sampled_from(
        [
            "experiment begin",
            "experiment count",
            "experiment withdraw",
            "experiment lost",
            "experiment discard",
            "experiment ",
        ]
    ),
)
def test_whatever_a_program_sends_is_answered_or_refused_in_lines(
    tmp_path_factory: pytest.TempPathFactory, words: dict[str, Any], wanted: str
) -> None:
    store = WritingStore(tmp_path_factory.mktemp("hostile"), durable=False)
    refused: InputError | None = None
    with closing(store), store.transaction() as connection:
        answer(connection, BEGIN, NOW)
        try:
            answer(connection, {**words, "ask": wanted}, NOW)
        except InputError as error:
            refused = error
        assert refused is None or all("; allowed: " in line for line in refused.faults)
        assert refused is None or len(experiments.every(connection)) == 1
