"""All invariants by their letter in the list of what every letter keeps."""

import inspect
from collections.abc import Iterator

from tests.kit.invariants import (
    all_well,
    beliefs,
    budget,
    days,
    form,
    lamps,
    looks,
    now,
    past,
    pours,
    promises,
    references,
    warmth,
    whom,
)
from tests.kit.invariants.finding import Finding, Invariant
from tests.kit.invariants.record import Record


def _of(module: object) -> Iterator[tuple[str, Invariant]]:
    """The functions of a module that take a record and give findings."""
    for name, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == getattr(module, "__name__", "") and not name.startswith("_"):
            signature = inspect.signature(function)
            if list(signature.parameters) == ["record"]:
                yield name, function


_MODULES = (
    *(all_well, pours, warmth, lamps, days, promises, past),
    *(budget, whom, references, looks, form, beliefs, now),
)
INVARIANTS: dict[str, Invariant] = {name: check for module in _MODULES for name, check in _of(module)}


def findings(record: Record) -> dict[str, list[Finding]]:
    """What each invariant finds; those that find nothing are left out."""
    found = {name: list(check(record)) for name, check in INVARIANTS.items()}
    return {name: of for name, of in found.items() if of}
