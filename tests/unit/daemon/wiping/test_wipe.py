"""Wiping class data: what goes, what stays, that it is gone, and what a power cut at any step leaves."""

import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from daemon.errors import NaupliadError
from daemon.letters.said_last import said_last
from daemon.store.backup import BACKUPS, fault_of
from daemon.store.file import StoreInUse, WritingStore, open_for_reading
from daemon.stored_station import open_station
from daemon.watching.beliefs import Beliefs
from daemon.wiping.class_data import CLASS_TEXTS, MARK, QUOTING
from daemon.wiping.copies import REMOVED, files_in
from daemon.wiping.proof import prove
from daemon.wiping.wipe import UNDER_WAY, wipe, wipe_plan
from reports.batch.wiped import FILES, ROWS, STEPS
from tests.kit.class_records import BEGAN, HOUR, copies, counted, furnish
from tests.kit.command_line import surroundings

NOTES = ["Milky, smells of eggs", 'says "ouch", twice', "Größe: 3 µm, 卤虫 🦐", "x" * 900 + " the end of it"]
NAMES = ["margarete.k", "somebody-else"]


@pytest.fixture
def state(tmp_path: Path) -> Path:
    furnish(tmp_path / "state", NOTES, NAMES)
    copies(tmp_path / "state", NOTES)
    return tmp_path / "state"


def bytes_of(state: Path) -> bytes:
    """All there is, as it lies on the disk, with letters unpacked: what anybody could find."""
    found = [path.read_bytes() for path in files_in([state])]
    for path in state.rglob("*.db"):
        with closing(sqlite3.connect(path)) as connection:
            letters = connection.execute("SELECT message FROM letter WHERE message IS NOT NULL").fetchall()
        parts = [message_from_bytes(one, policy=policy.default) for (one,) in letters]
        found += [str(part.get_content()).encode() for whole in parts for part in whole.iter_parts()]
    return b"\n".join(found)


def told_by(text: str) -> list[bytes]:
    """Pieces by which a text would be known, also where it lies on two pages."""
    whole = text.encode()
    return [whole[n : n + 16] for n in range(0, max(len(whole) - 15, 1), 16)]


def test_class_data_is_there_before_and_in_no_byte_afterwards(state: Path) -> None:
    before = bytes_of(state)
    assert all(any(piece in before for piece in told_by(text)) for text in (*NOTES, *NAMES))
    proof = wipe(state, None)
    after = bytes_of(state)
    assert (proof.texts, proof.left) == (len(NOTES) + len(NAMES), ())
    assert not any(piece in after for text in (*NOTES, *NAMES) for piece in told_by(text))
    assert not (state / "station.db-wal").exists()
    assert fault_of(state / "station.db") is None


def test_readings_deeds_and_letters_rows_stay_and_notes_keep_their_place(state: Path) -> None:
    before = counted(state)
    wipe(state, None)
    assert counted(state) == before
    with closing(sqlite3.connect(state / "station.db")) as connection:
        notes = connection.execute("SELECT json_extract(detail, '$.text') FROM deed WHERE deed = 'note'")
        assert {text for (text,) in notes} == {MARK}


def test_what_was_learned_is_the_same_afterwards(state: Path) -> None:
    def believed() -> object:
        station, connection = open_station(state)
        with closing(connection):
            at = BEGAN + 40 * HOUR
            beliefs = Beliefs(station, connection, at)
            return beliefs.estimates("cup", at), beliefs.of("cup").grounds(at)

    before = believed()
    wipe(state, None)
    assert believed() == before


def test_wiping_twice_is_wiping_once(state: Path) -> None:
    wipe(state, None)
    once = counted(state)
    assert wipe_plan(state, None).empty
    assert wipe(state, None).left == ()
    assert counted(state) == once


def test_the_next_letter_of_a_kind_is_written_all_the_same_and_explains_once_more(state: Path) -> None:
    def explained() -> frozenset[str]:
        with closing(open_for_reading(state)) as connection:
            return said_last(connection, "nightly", BEGAN + HOUR)

    assert explained()
    wipe(state, None)
    assert explained() == frozenset()


def test_a_plan_changes_nothing(state: Path) -> None:
    before = {path: path.read_bytes() for path in files_in([state])}
    plan = wipe_plan(state, None)
    assert plan.rows == {"notes": len(NOTES), "silencers": len(NAMES), "letters": len(NOTES)}
    assert [path.name for path in plan.backups] == ["station-2027-01-15.db"]
    assert {path: path.read_bytes() for path in files_in([state])} == before


def test_backups_elsewhere_are_wiped_where_they_are_named(state: Path, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    shutil.copytree(state / BACKUPS, stick)
    proof = wipe(state, stick)
    assert proof.left == ()
    assert not any(piece in bytes_of(stick) for text in NOTES for piece in told_by(text))


def test_while_a_daemon_runs_nothing_is_wiped(state: Path) -> None:
    with closing(WritingStore(state)):
        before = bytes_of(state / BACKUPS)
        with pytest.raises(StoreInUse):
            wipe(state, None)
        assert bytes_of(state / BACKUPS) == before


def test_who_reads_meanwhile_holds_it_up_and_the_next_wipe_ends_it(state: Path) -> None:
    with closing(open_for_reading(state)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM reading").fetchone()
        with pytest.raises(NaupliadError, match="found somebody reading it"):
            wipe(state, None, patience_s=0.05)
    assert wipe_plan(state, None).broken_off
    proof = wipe(state, None)
    assert (proof.texts, proof.left) == (len(NOTES) + len(NAMES), ())
    assert not any(piece in bytes_of(state) for text in NOTES for piece in told_by(text))


def test_a_backup_of_an_earlier_version_is_wiped_as_far_as_it_has_the_tables(state: Path) -> None:
    old = state / BACKUPS / "station-2026-12-31.db"
    shutil.copy(state / BACKUPS / "station-2027-01-15.db", old)
    with closing(sqlite3.connect(old)) as connection:
        for table in ("experiment", "shelf", "row_set_aside"):
            connection.execute(f"DROP TABLE {table}")
    assert wipe(state, None).left == ()
    assert fault_of(old) is None


def test_the_idea_of_an_experiment_goes_and_its_seats_and_counts_stay(state: Path) -> None:
    with closing(WritingStore(state)) as store:
        store.connection.execute(
            "INSERT INTO experiment (at, idea, factor, levels, cups, cysts, near, seed) "
            "VALUES (?, 'does it like Gretas song', 'other', '[\"yes\", \"no\"]', 4, 50, 'door', 7)",
            (BEGAN,),
        )
        store.connection.execute(
            "INSERT INTO experiment_count (at, experiment, code, hatched, cysts) VALUES (?, 1, 'A', 31, 50)",
            (BEGAN,),
        )
    assert wipe_plan(state, None).rows["ideas"] == 1
    assert wipe(state, None).left == ()
    with closing(open_for_reading(state)) as connection:
        assert connection.execute("SELECT idea, factor FROM experiment").fetchall() == [("", "other")]
        assert connection.execute("SELECT hatched, cysts FROM experiment_count").fetchall() == [(31, 50)]


def test_a_letter_that_still_waits_is_kept_and_what_it_quotes_is_named(tmp_path: Path) -> None:
    furnish(tmp_path / "state", NOTES, NAMES, waiting=1)
    proof = wipe(tmp_path / "state", None)
    assert {(one.text, one.path.name) for one in proof.left} == {(NOTES[-1], "station.db")}


def test_a_damaged_backup_is_removed_for_nobody_can_wipe_it(state: Path) -> None:
    bad = state / BACKUPS / "station-2027-01-01.db"
    bad.write_bytes(b"no store " + NOTES[0].encode())
    assert wipe(state, None).left == ()
    assert not bad.exists()


def test_a_text_that_is_kept_elsewhere_is_named_with_its_place(state: Path) -> None:
    with closing(WritingStore(state)) as store:
        store.connection.execute("UPDATE station_file SET text = text || '# by margarete.k'")
    (left,) = {(one.text, one.column) for one in wipe(state, None).left if one.path.parent == state}
    assert left == ("margarete.k", "station_file.text")


def test_a_text_too_short_to_prove_is_blanked_and_counted(tmp_path: Path) -> None:
    furnish(tmp_path / "state", ["ok"], [])
    proof = wipe(tmp_path / "state", None)
    assert (proof.texts, proof.short) == (0, 1)
    assert wipe_plan(tmp_path / "state", None).empty


def test_the_search_finds_what_lies_on_two_pages_and_what_a_letter_packs(state: Path, tmp_path: Path) -> None:
    for text in NOTES:
        places = {one.path.name for one in prove([text], list(files_in([state]))).left}
        assert {"station.db", "station-2027-01-15.db"} <= places
        assert any(name.endswith(".eml") for name in places)
    (tmp_path / "half").write_bytes(b"ab" + NOTES[3].encode()[100:200])  # a page that was not written anew
    assert prove([NOTES[3]], [tmp_path / "half"]).left


def test_every_sort_of_class_data_has_its_words() -> None:
    assert {one.what for one in (*CLASS_TEXTS, *QUOTING)} == set(ROWS)
    assert {one.what for one in REMOVED} == set(FILES)


CUT = """
import os, signal, sys
from pathlib import Path
from daemon.wiping.wipe import wipe
state, at = Path(sys.argv[1]), sys.argv[2]
def said(key, folder=""):
    if key == at:
        os.kill(os.getpid(), signal.SIGKILL)
wipe(state, None, said)
"""


@pytest.mark.parametrize("step", STEPS)
def test_cut_off_at_any_step_it_is_old_or_new_and_the_next_wipe_ends_it(state: Path, step: str) -> None:
    before = counted(state)
    done = subprocess.run([sys.executable, "-c", CUT, str(state), step], env=surroundings(), check=False)
    assert done.returncode == -signal.SIGKILL
    assert fault_of(state / "station.db") is None
    assert fault_of(state / BACKUPS / "station-2027-01-15.db") is None
    assert counted(state) == before
    proof = wipe(state, None)
    assert proof.left == ()
    if step != "note":  # also what the broken-off one had blanked already is searched for
        assert proof.texts == len(NOTES) + len(NAMES)
    after = bytes_of(state)
    assert not any(piece in after for text in (*NOTES, *NAMES) for piece in told_by(text))
    assert not (state / UNDER_WAY).exists()


# Nothing else in a store is made of such signs.
SIGNS = st.characters(min_codepoint=0xA1, exclude_categories=("C", "Z"))
TEXTS = st.lists(st.text(SIGNS, min_size=4, max_size=200), max_size=5, unique=True)


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(notes=TEXTS, names=TEXTS)
def test_of_any_history_no_reading_or_deed_goes_and_no_text_stays(
    tmp_path_factory: pytest.TempPathFactory, notes: list[str], names: list[str]
) -> None:
    state = tmp_path_factory.mktemp("class") / "state"
    furnish(state, notes, names)
    copies(state, notes)
    before = counted(state)
    proof = wipe(state, None)
    assert counted(state) == before
    after = bytes_of(state)
    assert proof.left == ()
    assert not any(text.encode() in after for text in (*notes, *names))
    assert wipe_plan(state, None).empty
    wipe(state, None)
    assert counted(state) == before
