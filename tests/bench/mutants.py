"""How many small faults the tests notice: `python -m tests.bench.mutants`. Nothing is judged.

    python -m tests.bench.mutants --count 25 --seed 11
    python -m tests.bench.mutants sensors/trust --count 60
    python -m tests.bench.mutants --map

Cosmic Ray (the extra `mutants`) makes the faults: a comparison, an operator, a number, an `and` for an `or`.
Each is put into a copy of the tree, never into the tree itself, and only the tests nearest to its module are
run (`--map` tells which). A fault that a test notices is killed; so is one with which the tests never end.
What lives on is printed, with the reason where we know one (`mutants_left.toml`).
"""

import argparse
import ast
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import cache
from pathlib import Path
from queue import SimpleQueue

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator
from parso.tree import NodeOrLeaf

from tests.bench.measuring import machine, table
from tests.kit import imports
from tests.kit.command_line import ROOT

FOLDERS = ("daemon/science", "daemon/alarms", "sensors/trust", "daemon/estimates")
_MIRROR = ROOT / "tests" / "unit"
_LEFT = Path(__file__).with_name("mutants_left.toml")
_COPIED_NOT = shutil.ignore_patterns(
    ".git", ".venv*", "venv", "wheel", "__pycache__", ".*_cache", ".hypothesis"
)
# Passed; a test failed; tests could not be imported; and how a failing test of hypothesis ends where one of
# the imports with which it writes its report warns.
_ENDS = (0, 1, 2, 3)
# A fault may eat memory without end: past this its tests fail, or pytest itself does.
_BOUNDED = (
    "import resource, sys, pytest; resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30)); "
    "sys.exit(pytest.main(sys.argv[1:]))"
)
_FILES_MOST = 7  # a file that plays for minutes would be waited for at every fault that lives

# What could have been meant instead: not every pair of operators, for most of those nobody would ever write.
_SWAPS = {
    "Comparison": {
        "Lt": ("LtE", "Gt"),
        "LtE": ("Lt", "GtE"),
        "Gt": ("GtE", "Lt"),
        "GtE": ("Gt", "LtE"),
        "Eq": ("NotEq",),
        "NotEq": ("Eq",),
        "Is": ("IsNot",),
        "IsNot": ("Is",),
    },
    "Binary": {
        "Add": ("Sub", "Mul"),
        "Sub": ("Add", "Mul"),
        "Mul": ("Div", "Add"),
        "Div": ("Mul", "Sub"),
        "FloorDiv": ("Mul",),
        "Mod": ("Mul",),
        "Pow": ("Mul",),
    },
}
KINDS = {
    "comparison": [
        f"core/ReplaceComparisonOperator_{old}_{new}"
        for old, others in _SWAPS["Comparison"].items()
        for new in others
    ],
    "operator": [
        f"core/ReplaceBinaryOperator_{old}_{new}"
        for old, others in _SWAPS["Binary"].items()
        for new in others
    ],
    "number": ["core/NumberReplacer"],
    "and/or": ["core/ReplaceAndWithOr", "core/ReplaceOrWithAnd"],
}


@dataclass(frozen=True)
class Mutant:
    """One fault: the whole module with it, and how its line reads before and after."""

    path: Path  # below the root of the tree
    text: str
    line: int
    before: str
    after: str


# Which faults ---------------------------------------------------------------------------------------


def sample(folder: str, count: int, seed: int) -> list[Mutant]:
    """So many faults of a folder, the same for the same seed: a kind by lot, then one of its kind."""
    chance = random.Random(f"{seed} {folder}")
    pools = {kind: _all_of(folder, kind) for kind in KINDS}
    for pool in pools.values():
        chance.shuffle(pool)
    drawn: list[Mutant] = []
    while len(drawn) < count and (kinds := [kind for kind, pool in pools.items() if pool]):
        mutant = mutated(*pools[chance.choice(kinds)].pop())
        if mutant is not None:
            drawn.append(mutant)
    return sorted(drawn, key=lambda mutant: (mutant.path, mutant.line, mutant.after))


def _all_of(folder: str, kind: str) -> list[tuple[Path, str, int]]:
    return [
        (path.relative_to(ROOT), operator, occurrence)
        for path in _below(folder)
        for operator in KINDS[kind]
        for occurrence in range(_occurrences(path, operator))
    ]


def _below(folder: str) -> list[Path]:
    return sorted((ROOT / folder).rglob("*.py"))


def _occurrences(path: Path, operator: str) -> int:
    found = get_operator(operator)()
    return sum(sum(1 for _ in found.mutation_positions(node)) for node in ast_nodes(_tree(path)))


@cache
def _tree(path: Path) -> NodeOrLeaf:
    return get_ast(path.read_text())


def mutated(path: Path, operator: str, occurrence: int) -> Mutant | None:
    """A module with one occurrence of an operator's fault; None where it is none: no Python, the same as
    before, or another mark in a list of parameters, where a lone `*` is no operator."""
    old = (ROOT / path).read_text()
    new = mutate_code(old, get_operator(operator)(), occurrence)
    try:
        if ast.dump(ast.parse(old)) == ast.dump(ast.parse(new)) or old.count("*,") != new.count("*,"):
            return None
    except SyntaxError:
        return None
    before, after = old.splitlines(), new.splitlines()
    pieces = SequenceMatcher(None, before, after, autojunk=False).get_opcodes()
    _, first, last, new_first, new_last = next(piece for piece in pieces if piece[0] != "equal")
    return Mutant(path, new, first + 1, _line(before[first:last]), _line(after[new_first:new_last]))


def _line(lines: Sequence[str]) -> str:
    return " ".join(" ".join(lines).split())


# Which tests ----------------------------------------------------------------------------------------


@cache
def nearest_tests(path: Path, folder: str) -> list[Path]:
    """The files of tests that come to a module by imports through nothing but its folder and the tests' kit:
    those in its place of the mirror first, then those that import it, and of these and the others the ones
    with most of its folders in their path, the fewest steps away, that import least besides."""
    module = imports.name(ROOT / path)
    through = (folder.replace("/", "."), "tests.kit")
    folders = set(path.parent.parts) - set(imports.ROOMS)
    near = []
    for name, test in imports.modules().items():
        steps = imports.steps([name], through).get(module) if test.name.startswith("test_") else None
        if steps is not None:
            shared = folders & set(test.parent.parts)
            besides = len(imports.imports(test))
            near.append((not _mirrors(test, path), steps > 1, -len(shared), steps, besides, test))
    return [test.relative_to(ROOT) for *_, test in sorted(near)][:_FILES_MOST]


def _mirrors(test: Path, path: Path) -> bool:
    """Whether it is the module's own file of tests, or one of several (`test_judge_property`)."""
    return test.parent == _MIRROR / path.parent and f"{test.stem}_".startswith(f"test_{path.stem}_")


# Whether they notice --------------------------------------------------------------------------------


class Copies:
    """Copies of the tree, one for each run at a time."""

    def __init__(self, below: Path, copies: int, patience_s: float) -> None:
        """`patience_s` is how long tests may run on before they count as never coming to an end."""
        self._patience_s = patience_s
        self._free: SimpleQueue[Path] = SimpleQueue()
        for number in range(copies):
            copy = below / f"copy-{number}"
            shutil.copytree(ROOT, copy, ignore=_COPIED_NOT)
            self._free.put(copy)

    def notices(self, tests: Sequence[Path], mutant: Mutant | None) -> bool:
        """Whether the tests fail with this fault (None: with none). Raises where they cannot be run."""
        copy = self._free.get()
        try:
            if mutant is None:
                return self._fails(copy, tests)
            place = copy / mutant.path
            plain = place.read_text()
            place.write_text(mutant.text)
            try:
                return self._fails(copy, tests)
            finally:
                place.write_text(plain)
        finally:
            self._free.put(copy)

    def _fails(self, copy: Path, tests: Sequence[Path]) -> bool:
        # A compiled file is believed by its source's second and size, and a fault may change neither.
        here = os.environ | {"PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
        command = [sys.executable, "-c", _BOUNDED, "-n0", "-x", "-q", "--hypothesis-seed=0", *map(str, tests)]
        with subprocess.Popen(
            command,
            cwd=copy,
            env=here,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        ) as running:
            try:
                ended = running.wait(self._patience_s)
            except subprocess.TimeoutExpired:
                os.killpg(running.pid, signal.SIGKILL)
                return True
        if ended >= 0 and ended not in _ENDS:
            raise RuntimeError(f"{' '.join(command)} ended with {ended}")
        return ended != 0


def _left() -> dict[tuple[str, str], str]:
    """Why a fault may live on, by file and by how its line reads then."""
    told = tomllib.loads(_LEFT.read_text())["mutant"] if _LEFT.exists() else []
    return {(one["file"], one["after"]): one["why"] for one in told}


def _tried(folder: str, copies: Copies, jobs: int, count: int, seed: int) -> list[tuple[Mutant, bool]]:
    mutants = sample(folder, count, seed)
    tests = {mutant.path: nearest_tests(mutant.path, folder) for mutant in mutants}
    for path, files in tests.items():
        if not files:
            print(f"{path}: no test imports it, nor what imports it", flush=True)
    for files in {tuple(found) for found in tests.values() if found}:
        if copies.notices(files, None):
            raise SystemExit(f"these fail without any fault: {' '.join(map(str, files))}")
    with ThreadPoolExecutor(jobs) as pool:
        killed = pool.map(lambda one: bool(tests[one.path]) and copies.notices(tests[one.path], one), mutants)
        return list(zip(mutants, killed, strict=True))


def _row(folder: str, tried: Sequence[tuple[Mutant, bool]]) -> list[str]:
    """Tells what lived on; a row of the table."""
    why = _left()
    lived = [(mutant, why.get((str(mutant.path), mutant.after))) for mutant, killed in tried if not killed]
    print(f"{folder}: lived on")
    for mutant, reason in lived:
        print(f"  {mutant.path}:{mutant.line}\n    {mutant.before}\n    {mutant.after}")
        print(f"    ({reason or 'no reason known'})")
    print(flush=True)
    named, killed = sum(reason is not None for _, reason in lived), len(tried) - len(lived)
    share = f"{100 * killed / max(1, len(tried)):.0f} %"
    return [folder, *map(str, (len(tried), killed, named, len(lived) - named)), share]


def main() -> None:
    """Draw, try, tell."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("folders", nargs="*", default=FOLDERS, help=f"default: {' '.join(FOLDERS)}")
    asked.add_argument("--count", type=int, default=25, help="faults a folder")
    asked.add_argument("--seed", type=int, default=11)
    asked.add_argument("--jobs", type=int, default=1, help="how many at a time")
    asked.add_argument("--patience", type=float, default=600.0, help="seconds for the tests of one fault")
    asked.add_argument("--map", action="store_true", help="only tell which tests are run for which module")
    told = asked.parse_args()
    if told.map:
        for folder in told.folders:
            for path in _below(folder):
                module = path.relative_to(ROOT)
                print(f"{module}: {' '.join(map(str, nearest_tests(module, folder)))}")
        return
    rows = []
    with tempfile.TemporaryDirectory(prefix="naupliad-mutants-") as name:
        copies = Copies(Path(name), told.jobs, told.patience)
        for folder in told.folders:
            began = time.monotonic()
            rows.append(_row(folder, _tried(folder, copies, told.jobs, told.count, told.seed)))
            print(f"({time.monotonic() - began:.0f} s)\n", flush=True)
    print(f"\n{machine()}, seed {told.seed}\n")
    print(table(["folder", "faults", "killed", "lived, named", "lived", "killed of all"], rows))


if __name__ == "__main__":
    main()
