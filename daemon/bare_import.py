"""Importing a library without what it brings along and nobody here calls.

A process that runs for years carries whatever it once imported. These are the ways to import less that the
language itself documents: a name in `sys.modules` is taken as it stands there, None there makes an import
fail, and a module's `__getattr__` is called for what is not in it.
"""

import importlib
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.util import find_spec, module_from_spec
from types import ModuleType


@contextmanager
def instead(stand_ins: Mapping[str, ModuleType | None]) -> Iterator[None]:
    """For so long these modules stand in for those of their names; None for one that cannot be imported.

    Then whatever was loaded before is back.
    """
    kept = {name: sys.modules.get(name) for name in stand_ins}
    sys.modules.update(stand_ins)  # type: ignore[arg-type]  # None makes an import fail, as documented
    try:
        yield
    finally:
        for name, module in kept.items():
            sys.modules.pop(name, None)
            if module is not None:
                sys.modules[name] = module


def without_its_package(name: str) -> ModuleType | None:
    """A package made and not run, for its modules alone; as it is where it ran before. None for none."""
    if name in sys.modules:
        return sys.modules[name]
    found = find_spec(name)
    if found is None:
        return None
    made = sys.modules[name] = module_from_spec(found)
    return made


def put_off(name: str) -> ModuleType:
    """A stand-in for a module, which imports it when something of it is first asked for: for most never.

    (`importlib.util.LazyLoader` reads a module already when it is imported a second time.)
    """
    stand_in = ModuleType(name)

    def asked_for(attribute: str) -> object:
        if attribute.startswith("__"):
            raise AttributeError(attribute)
        if sys.modules.get(name) is stand_in:
            del sys.modules[name]
        return getattr(importlib.import_module(name), attribute)

    vars(stand_in)["__getattr__"] = asked_for
    package, _, own = name.rpartition(".")
    if package and name not in sys.modules:
        setattr(importlib.import_module(package), own, stand_in)
    return stand_in
