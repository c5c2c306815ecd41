"""How light the station is, in one table: `python -m tests.bench.station [--short]`. Nothing is judged.

Real processes: the daemon with its store, its inbox, w1thermsensor on a 1-Wire bus laid out on disk, mail to
a real SMTP server here, and the child that draws. Only its clock is played for the figures of a day; start-up
and rest are those of `naupliad run` in real time. Beside it the plain script a handy teacher would write.
"""

import argparse
import tempfile
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.bench.daemon_days import Days, Load, Rest, days, load, rest
from tests.bench.measuring import Memory, compile_all, machine, spread, table
from tests.bench.plain_days import PlainDays, plain
from tests.bench.recompute import costs
from tests.bench.replay import HOURS, record, replay
from tests.kit.counted_writes import BLOCK_BYTES, Written

_BEATS_A_DAY = 1440
_PROBES = 6
# A reading as small as it can be kept: 4 bytes of time and 2 of value, the probe told by its place.
_RAW_BYTES = 6
_TAPE_ROW = "2027-01-15T06:00:00+00:00,water-0,24.5625,\n"
_NOT = "not measured"
_Row = tuple[str, str, str, str]


@dataclass(frozen=True)
class Size:
    """How much is run."""

    rest_s: float
    first_h: int  # played before the days that count
    days: int
    load_hours: int
    minutes: int
    recompute_days: int  # 0 where replaying and computing anew are left out


LONG, SHORT = Size(120.0, 24, 3, 24, 60, 60), Size(12.0, 6, 1, 1, 10, 0)


def memory_rows(rest: Rest, day: Days, plain: PlainDays) -> list[_Row]:
    between = "0 (no process)"
    return [
        ("resident after the very first start (8 probes, mail)", _memory(rest.first), between, "36 MiB"),
        ("resident after any later start (8 probes, mail)", _memory(rest.later), between, "36 MiB"),
        ("resident at rest, a batch in each of 4 cups", _memory(rest.with_batches), between, ""),
        ("numpy loaded", "yes" if rest.numpy else "no", "at night", "no"),
        (f"resident after {day.days} more played days (6 probes)", _memory(day.after), between, ""),
        ("peak of a minute's process", "–", f"{plain.minute_peak_mib:.1f} MiB", ""),
        (
            "peak at night: daemon + drawing child",
            f"{day.after.resident:.0f} + {day.child_peak_mib:.0f} MiB",
            f"{plain.night_peak_mib:.0f} MiB",
            "",
        ),
    ]


def time_rows(rest: Rest, day: Days, load: Load, plain: PlainDays) -> list[_Row]:
    quiet = rest.cpu_a_beat_s * _BEATS_A_DAY
    whole = day.cpu_a_day_s + day.child_cpu_a_day_s
    return [
        (
            "start to the first reading in the store: first, later",
            f"{rest.first_start_s:.2f}, {rest.later_start_s:.2f} s",
            f"{plain.minute.wall_s:.2f} s, each minute",
            "",
        ),
        (
            "processor at rest, a beat a minute",
            f"{1e3 * rest.cpu_a_beat_s:.1f} ms a beat, {_share(quiet)}",
            f"{1e3 * plain.minute.cpu_s:.0f} ms a run, {_share(plain.minute.cpu_s * _BEATS_A_DAY)}",
            "< 0.5 % of a core",
        ),
        (
            "processor a day, the night's child with it",
            f"{whole:.1f} s, {_share(whole)}",
            f"{plain.cpu_a_day_s:.0f} s, {_share(plain.cpu_a_day_s)}",
            "",
        ),
        ("a beat: p50 / p99 / worst", spread(day.beats_s), _NOT, ""),
        (f"the same under load ({load.waiting} letters wait)", spread(load.beats_s), _NOT, ""),
        ("an answer at the inbox under load", spread(load.answers_s), "–", ""),
        ("readings kept of those due", f"{day.readings} of {day.expected}", _NOT, "all"),
        ("letters sent a day, the night's among them", f"{day.letters / day.days:.1f}", "1 a night", ""),
    ]


def writing_rows(rest: Rest, day: Days, plain: PlainDays) -> list[_Row]:
    raw = _PROBES * _BEATS_A_DAY * _RAW_BYTES
    rows = [
        ("raw size of a day's readings, packed", f"{raw / 1e3:.0f} kB", f"{raw / 1e3:.0f} kB", ""),
        ("the same as rows of a tape", *[f"{_PROBES * _BEATS_A_DAY * len(_TAPE_ROW) / 1e3:.0f} kB"] * 2, ""),
    ]
    if day.written is None or plain.written_by_minutes is None or plain.written_by_night is None:
        return [*rows, ("written a day", f"{_NOT} (no cc)", f"{_NOT} (no cc)", "< 15 MB")]
    by_minutes = _scaled(plain.written_by_minutes, _BEATS_A_DAY / plain.minutes)
    ours, theirs = _scaled(day.written, 1 / day.days), _sum(by_minutes, plain.written_by_night)
    kinds = sorted(set(ours.bytes) | set(theirs.bytes))
    dirtied = plain.minute.dirtied * _BEATS_A_DAY + plain.night.dirtied
    return [
        *rows,
        ("written a day, by calls (6 probes)", _mb(ours.bytes), _mb(theirs.bytes), "< 15 MB"),
        *((f"  of it {kind}", _mb(ours.bytes, kind), _mb(theirs.bytes, kind), "") for kind in kinds),
        ("  times the raw size", f"{_all(ours.bytes) / raw:.0f}", f"{_all(theirs.bytes) / raw:.0f}", ""),
        ("written a day, in blocks of 4 kB as synced", _blocks(ours), _blocks(theirs), ""),
        (
            "written a day, as the kernel accounts it",
            f"{day.dirtied_a_day / 1e6:.1f} MB",
            f"{dirtied / 1e6:.1f} MB",
            "",
        ),
        (
            "  the same in real time, by the beats of a rest (8 probes)",
            f"{rest.dirtied_a_beat * _BEATS_A_DAY / 1e6:.1f} MB",
            _NOT,
            "",
        ),
        ("fsyncs a day", f"{_all(ours.syncs):.0f}", f"{_all(theirs.syncs):.0f}", ""),
    ]


def speed_rows(size: Size) -> list[_Row]:
    if not size.recompute_days:
        return [("replaying and computing anew", f"{_NOT} here: replay.py, recompute.py", "–", "")]
    with tempfile.TemporaryDirectory(prefix="naupliad-replay-") as name:
        record(Path(name))
        wall_s, cpu_s, peak_mib = replay(Path(name))
    anew = costs(8, size.recompute_days)
    return [
        (
            f"replay of {HOURS} h, one vessel",
            f"{wall_s:.1f} s, {HOURS * 3600 / wall_s:.0f} × real time",
            "–",
            "about 6 s",
        ),
        ("  its processor time and peak", f"{cpu_s:.1f} s, {peak_mib:.0f} MiB", "–", ""),
        (f"computing {size.recompute_days} days of 8 vessels anew", f"{anew.anew_s:.1f} s", "–", ""),
        ("  a beat and an hour of a vessel", f"{anew.beat_ms:.2f} and {anew.hour_ms:.1f} ms", "–", ""),
        (
            "  a start with them, from a clean stop; by a snapshot a day old",
            f"{anew.start.stopped_s:.2f}; {anew.start.day_old_s:.2f} s",
            "–",
            "1 s",
        ),
    ]


def main() -> None:
    """Measure one after the other, so that nothing disturbs the others; then the table."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--short", action="store_true", help="less of everything")
    size = SHORT if asked.parse_args().short else LONG
    compile_all()
    at_rest, days_of = rest(size.rest_s), days(_PROBES, size.days, size.first_h)
    bothered, script = load(size.load_hours), plain(_PROBES, size.minutes)
    rows = [
        *memory_rows(at_rest, days_of, script),
        *time_rows(at_rest, days_of, bothered, script),
        *writing_rows(at_rest, days_of, script),
        *speed_rows(size),
    ]
    print(machine())
    print(
        f"{at_rest.beats} beats at rest of 5 s, {size.days} played days after {size.first_h} h, "
        f"{size.load_hours} h under load; {script.minutes} minutes of the plain script scaled to a day\n"
    )
    print(table(("", "naupliad", "plain script", "aim"), rows))


def _memory(found: Memory) -> str:
    return f"{found.resident:.1f} MiB (Pss {found.proportional:.1f}, own {found.own:.1f})"


def _share(seconds_a_day: float) -> str:
    return f"{100 * seconds_a_day / 86_400:.3f} % of a core"


def _all(counts: "Counter[str]") -> float:
    return float(sum(counts.values()))


def _mb(counts: "Counter[str]", kind: str | None = None) -> str:
    return f"{(_all(counts) if kind is None else counts[kind]) / 1e6:.2f} MB"


def _blocks(written: Written) -> str:
    return f"{_all(written.blocks) * BLOCK_BYTES / 1e6:.1f} MB"


def _scaled(written: Written, by: float) -> Written:
    return _each(
        lambda counts, _: Counter({kind: round(n * by) for kind, n in counts.items()}), written, written
    )


def _sum(one: Written, other: Written) -> Written:
    return _each(lambda a, b: a + b, one, other)


def _each(
    do: Callable[["Counter[str]", "Counter[str]"], "Counter[str]"], one: Written, other: Written
) -> Written:
    return Written(do(one.bytes, other.bytes), do(one.syncs, other.syncs), do(one.blocks, other.blocks))


if __name__ == "__main__":
    main()
