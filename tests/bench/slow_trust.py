"""How soon a dry probe in the air is known by the half hour, and how often one in the water is doubted.

    python -m tests.bench.slow_trust [WEEKS] [FALLS] [FIRST_SEED]

Weeks of each kind of vessel (tests/kit/air_and_water.py), a quarter each read every 1, 5, 10 and 30 minutes:
plain ones, and some in which the probe slips out, dry, and is put back without a warm hand. Nothing is
asserted.
"""

import sys
from concurrent.futures import ProcessPoolExecutor

from tests.kit.air_and_water import KINDS, Course
from tests.kit.trust_trials import Judged, judged, out_and_back, sampled_every


def row(kind: str, plain: list[Judged], fallen: list[Judged]) -> str:
    """A line of the table."""
    told = sorted(f.doubted_h - f.course.out_h[0] for f in fallen if f.course.out_h and f.doubted_h)
    sure = sorted(f.distrusted_h - f.course.out_h[0] for f in fallen if f.course.out_h and f.distrusted_h)
    back = sorted(f.believed_h - f.course.out_h[1] for f in fallen if f.course.out_h and f.believed_h)
    caught = [f for f in fallen if f.distrusted_h]
    early = [f.since_h - f.course.out_h[0] for f in caught if f.course.out_h and f.since_h]
    cells = (
        kind,
        f"{sum(1 for p in plain if p.false_h)} of {len(plain)}",
        f"{sum(1 for hours in told if hours <= 24)} of {len(fallen)}",
        _hours(told),
        f"{sum(1 for hours in sure if hours <= 24)}",
        _hours(sure),
        f"{sum(1 for hours in early if abs(hours) <= 1)} of {len(caught)}",
        f"{sum(1 for hours in back if hours <= 24)} of {len(back)}, {_hours(back)}",
        f"{sum(1 for f in fallen if f.false_h)}",
    )
    return f"| {' | '.join(cells)} |"


def _hours(hours: list[float]) -> str:
    return f"{hours[len(hours) // 2]:.0f} h" if hours else ""


def main() -> None:
    """Print the table."""
    weeks = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    falls = int(sys.argv[2]) if len(sys.argv) > 2 else 40
    first = int(sys.argv[3]) if len(sys.argv) > 3 else 0
    print(
        "| vessel | plain, told falsely | out, told in 24 h | median | distrusted in 24 h | median ", end=""
    )
    print("| back-dated within 1 h | put back, believed in 24 h | wrong in between |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    with ProcessPoolExecutor(2) as pool:
        for kind in KINDS:
            courses = [Course(kind, seed) for seed in range(first, first + weeks)]
            courses += [out_and_back(kind, seed) for seed in range(first, first + falls)]
            every = [sampled_every(course.seed) for course in courses]
            found = list(pool.map(judged, courses, every, chunksize=4))
            plain, fallen = found[:weeks], found[weeks:]
            print(row(kind, plain, fallen), flush=True)
            for trial in (*plain, *fallen):
                if trial.false_h:
                    spans = [f"{hours:.1f}" for hours in (trial.false_h[0], trial.false_h[-1])]
                    print(trial.course, trial.every_s, spans, len(trial.false_h), file=sys.stderr)


if __name__ == "__main__":
    main()
