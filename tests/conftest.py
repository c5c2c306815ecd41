"""What all tests share: a machine with nothing on it, and property tests that neither hurry nor remember."""

import gc
import os
import tempfile
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import settings

from tests.kit.bare_machine import bare_machine, untold
from tests.kit.compiled import TOLD, kept_below, one_at_a_time
from tests.kit.undrawn import undrawn

if TYPE_CHECKING:
    from gpiozero.pins.mock import MockFactory

    from tests.kit.postgres import Cluster

# No deadline: nothing may depend on how fast the machine is. Derandomized: a run says the same as the last.
settings.register_profile("naupliad", deadline=None, derandomize=True, database=None)
settings.load_profile("naupliad")

_numbers = count()
_COMPILED = pytest.StashKey[Path]()


def pytest_xdist_auto_num_workers() -> int:
    """One process more than cores: a test that waits for a daemon's next beat leaves its core to another."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return cores + 1


def pytest_xdist_setupnodes(config: pytest.Config) -> None:
    """In the process that begins the others: where they keep what they compile."""
    folder = tempfile.TemporaryDirectory(prefix="naupliad-compiled-", ignore_cleanup_errors=True)
    config.add_cleanup(folder.cleanup)
    config.stash[_COMPILED] = Path(folder.name)
    os.environ.update(kept_below(Path(folder.name)) or {})


def pytest_configure_node(node: Any) -> None:
    """In the same, for each that it begins."""
    node.workerinput[TOLD] = str(node.config.stash[_COMPILED])


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Iterator[Any]:
    """What is collected stays to the end: Python need not look through it for garbage, again and again."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Iterator[Any]:
    """In each of those."""
    told = getattr(collector.config, "workerinput", {}).get(TOLD)
    if told is None or not isinstance(collector, pytest.Module):
        return (yield)
    with one_at_a_time(collector, Path(told)):
        return (yield)


@pytest.fixture(name="undrawn")
def without_charts() -> Iterator[None]:
    """Nights are not drawn in this process: see tests/kit/undrawn.py."""
    with undrawn():
        yield


@pytest.fixture(scope="session")
def shared(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Path:
    """A folder that all processes of this run share."""
    base = tmp_path_factory.getbasetemp()
    return base if worker_id == "master" else base.parent


@pytest.fixture(scope="session", autouse=True)
def _nothing_told(shared: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """For fixtures that outlive a test, too."""
    with untold(shared / "kept"), bare_machine(tmp_path_factory.getbasetemp() / "bare"):
        yield


@pytest.fixture(autouse=True)
def _machine_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    # Named, not made: a command that wants to write there finds it missing, as it does on a bare machine.
    with bare_machine(tmp_path_factory.getbasetemp() / "bare" / str(next(_numbers))):
        yield


@pytest.fixture
def pins(monkeypatch: pytest.MonkeyPatch) -> "Iterator[MockFactory]":
    """gpiozero's own mock pins, as the default for all that opens one."""
    import gpiozero
    from gpiozero.pins.mock import MockFactory

    # A bus that an earlier test left behind takes its like, of this test, along when it is collected:
    # gpiozero keeps shared buses by their pins, whatever factory they are of.
    gc.collect()
    factory = MockFactory()
    # gpiozero's bit-banged bus asks for the default factory, whatever it was given.
    monkeypatch.setattr(gpiozero.Device, "pin_factory", factory)
    yield factory
    factory.reset()


@pytest.fixture(scope="session")
def cluster() -> "Iterator[Cluster]":
    """PostgreSQL, begun by the first test that asks; skipped where none is installed."""
    from tests.kit.postgres import cluster_running

    with cluster_running() as running:
        yield running
