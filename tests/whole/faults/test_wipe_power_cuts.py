"""The power goes at any write of a wipe: of what was not synced any part is there, or nothing.

The writes of a whole wipe are noted, and the records are put as a cut after so many of them leaves them.
"""

import shutil
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from daemon.store.backup import fault_of
from daemon.store.file import WritingStore
from daemon.wiping.copies import files_in
from daemon.wiping.wipe import wipe
from tests.kit.class_records import counted, furnish
from tests.kit.command_line import surroundings
from tests.kit.lost_writes import Disk, built_shim, records

NOTES = ["Milky, smells of eggs", "x" * 900 + " the end of it"]
NAMES = ["margarete.k"]
CUTS = 24
WIPE = (
    "import sys; from pathlib import Path; from daemon.wiping.wipe import wipe; wipe(Path(sys.argv[1]), None)"
)


@pytest.fixture
def shim(tmp_path: Path) -> Path:
    made = built_shim(tmp_path)
    if made is None:
        pytest.skip("no C compiler here to build tests/data/lost_writes.c with")
    return made


def test_at_any_write_the_records_are_old_or_new_and_the_next_wipe_leaves_nothing(
    tmp_path: Path, shim: Path
) -> None:
    before, played, log = tmp_path / "before", tmp_path / "played", tmp_path / "log"
    furnish(before, NOTES, NAMES)
    kept = counted(before)
    shutil.copytree(before, played)
    environ = {**surroundings(), "LD_PRELOAD": str(shim), "LOST_WRITES_LOG": str(log)}
    subprocess.run([sys.executable, "-c", WIPE, str(played)], env=environ, check=True)
    whole = list(records(log))
    ends = [sum(19 + len(one.path) + len(one.data) for one in whole[:count]) for count in range(len(whole))]
    assert len(whole) > CUTS
    chance, blanked = Random(7), 0
    for end in chance.sample(ends, CUTS):
        state, cut = tmp_path / f"cut-{end}", tmp_path / "cut"
        shutil.copytree(before, state)
        cut.write_bytes(log.read_bytes()[:end])
        Disk(state).cut_power(cut, chance)
        WritingStore(state).close()  # what a start does: the log is folded in, or dropped
        assert fault_of(state / "station.db") is None
        assert counted(state) == kept
        blanked += NOTES[0].encode() not in (state / "station.db").read_bytes()
        wipe(state, None)
        assert counted(state) == kept
        left = b"".join(path.read_bytes() for path in files_in([state]))
        assert not any(text[:20].encode() in left for text in (*NOTES, *NAMES))
    assert 0 < blanked < CUTS  # some cuts came before, some after
