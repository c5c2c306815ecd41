"""Over played days nothing grows: the short form of tests/bench/week.py. No figure of time or speed."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.week import played
from tests.kit.counted_writes import BLOCK_BYTES, Counted, built

_DAYS = 1.375
_SETTLED = 0.6  # after the first night's letter all that works has been at work
# 2000 pages of 512 bytes with their heads, 1072 kB: when so much is in the log, it is folded in. What passes
# that is written whole before: a letter with its chart, 70 kB, where it falls there.
_LOG_KB = 1200
# Caches fill for some days. 600 objects a day are 25 an hour of four cups: fewer than one a beat.
_OBJECTS_A_DAY = 600


@pytest.mark.long
def test_over_played_days_handles_threads_objects_and_log_do_not_grow() -> None:
    week = played(_DAYS, every_s=3 * 3600)
    settled = [look for look in week.looks if look.day >= _SETTLED]
    assert len({look.handles for look in settled}) == 1, settled
    assert len({look.threads for look in settled}) == 1, settled
    assert max(look.log_kb for look in week.looks) < _LOG_KB
    assert week.growth_a_day("objects", _SETTLED) < _OBJECTS_A_DAY, settled
    assert week.letters >= 3


@pytest.mark.long
def test_a_planted_leak_of_handles_threads_and_objects_is_found() -> None:
    week = played(_DAYS, every_s=3 * 3600, module="tests.kit.leaking_life")
    settled = [look for look in week.looks if look.day >= _SETTLED]
    assert settled[-1].handles > settled[0].handles
    assert settled[-1].threads > settled[0].threads
    assert week.growth_a_day("objects", _SETTLED) > _OBJECTS_A_DAY


def test_written_bytes_syncs_and_blocks_are_counted_as_they_were_done(tmp_path: Path) -> None:
    library = built(tmp_path)
    if library is None:
        pytest.skip("no C compiler here to build tests/data/counted_writes.c with")
    below = tmp_path / "state"
    below.mkdir()
    counted = Counted(library, tmp_path / "noted", below)
    code = (
        "import os\n"
        f"fd = os.open({str(below / 'station.db-wal')!r}, os.O_RDWR | os.O_CREAT)\n"
        "os.write(fd, b'a' * 5000); os.pwrite(fd, b'b' * 10, 4090); os.fsync(fd)\n"
        "os.pwrite(fd, b'c', 4090); os.fdatasync(fd)\n"
        f"open({str(tmp_path / 'elsewhere')!r}, 'w').write('not below the folder')\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, env={**os.environ, **counted.env})
    found = counted.taken()
    assert dict(found.bytes) == {"log": 5011}
    assert dict(found.syncs) == {"log": 2}
    assert found.blocks["log"] * BLOCK_BYTES == 3 * 4096  # two, then one once more
    assert not counted.taken().bytes
