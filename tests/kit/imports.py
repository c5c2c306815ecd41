"""Who imports whom: the modules of the house and of its tests, read without running any."""

import ast
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from tests.kit.command_line import ROOT

ROOMS = ("daemon", "sensors", "reports", "tests")


@cache
def modules() -> dict[str, Path]:
    """Every module by its dotted name."""
    return {name(path): path for room in ROOMS for path in sorted((ROOT / room).rglob("*.py"))}


def name(path: Path) -> str:
    """A file's dotted name."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def imports(path: Path) -> frozenset[str]:
    """The modules of ours that a file names in its imports, wherever in it they stand."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inside = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= (inside & modules().keys()) or {node.module}
    return frozenset(found & modules().keys())


def steps(from_here: Iterable[str], through: tuple[str, ...] = ROOMS) -> dict[str, int]:
    """How many imports away from some modules each other one is, on ways through packages of these names."""
    reached = dict.fromkeys(from_here, 0)
    edge, distance = set(reached), 0
    while edge:
        distance += 1
        on = (module for module in edge if distance == 1 or module.startswith(through))
        edge = {further for module in on for further in imports(modules()[module])} - reached.keys()
        reached |= dict.fromkeys(edge, distance)
    return reached
