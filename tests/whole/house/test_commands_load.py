"""A command loads the modules it needs and few besides: on a Raspberry Pi Zero each costs time and memory.

A budget is a little above what was measured (`pytest -rP` prints that). A command that passes its own imports
what it has no use for, or does more than it did: raise a budget for a reason, not for an import.
"""

import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from urllib.request import urlopen

import click
import pytest

from daemon import cli
from daemon.errors import NaupliadError
from daemon.inbox.asking import ask
from daemon.inbox.line import INBOX
from daemon.inbox.listening import Inbox
from tests.kit.busy_shelf import BEGAN, Shelf, Tree
from tests.kit.command_line import PATIENCE_S, naupliad, surroundings, until
from tests.kit.gatherers import gather_file
from tests.kit.recordings import STORY, good, stamp, tape_rows, write_care, write_tape
from tests.kit.station import station_text, zone_where_it_is

# Runs the command that follows the file's name, and writes there which modules it has loaded. 1-Wire probes
# are looked for beside that file.
CHILD = """
import sys
from pathlib import Path
file = Path(sys.argv.pop(1))
if sys.argv[1] == "run":
    from functools import partial
    from daemon import station_probes
    from sensors.probe_opening import Roots
    station_probes.openers = partial(station_probes.openers, roots=Roots(w1=file.parent / "w1"))
try:
    from daemon.cli import main
    main()
finally:
    file.with_suffix(".new").write_text("\\n".join(sorted(sys.modules)))
    file.with_suffix(".new").rename(file)
"""

# How many modules of ours a command may load, packages counted too.
BUDGETS = {
    "--help": 5,
    "plan --help": 7,
    "plan cone": 112,
    "plan dose": 101,
    "care add stirred": 150,
    "care list": 50,
    "gather --prepare": 38,
    "lot list": 90,
    "lot test": 90,
    "now": 113,
    "now --explain": 166,
    "post list": 43,
    "post sample": 79,
    "quiet": 53,
    "quiet tomorrow": 152,
    "alarms list": 53,
    "plan start": 96,
    "probes": 61,
    "checkup": 78,
    "report": 119,
    "backup": 19,
    "export --out": 56,
    "export --zip": 104,
    "export --calendar": 118,
    "replay": 307,
    "rehearse": 307,
    "rooms": 49,
    "experiment --help": 7,
    "experiment list": 83,
    "experiment new": 191,
    "experiment result": 53,
    "wrap-up": 90,
    "next-class --out next.toml": 190,
    "wrap-up --report batch.html": 190,
}
# While a daemon runs, it has what a request needs.
ASKING_BUDGETS = {"care add stirred": 50, "quiet tomorrow": 53, "post try": 43}
RUN_BUDGET = 333
PAGE_BUDGET = 318

# What a daemon has no use for from its start on, and what each costs it for years (MiB, by import alone).
HEAVY = {
    "importlib.metadata": 3.0,  # with csv, zipfile and all packers: asked for by --version
    "sqlite_utils": 3.0,
    "asyncio": 2.0,
    "statistics": 0.9,  # with fractions and decimal
    "ssl": 1.2,  # by the ways out that encrypt
    "shutil": 0.5,  # with bz2 and lzma
    "html.entities": 0.5,
    "difflib": 0.2,  # by what says "did you mean"
    "http.client": 0.2,
    "tempfile": 0.2,
    "numpy": 12.0,
    "matplotlib": 70.0,
}
# The page likewise: what Flask and Werkzeug bring along for others, and what only some views need.
HEAVY_FOR_THE_PAGE = {
    "_hashlib": 3.4,  # OpenSSL: a PIN is looked at by a child
    "_ssl": 1.2,
    "werkzeug.serving": 1.6,  # with http.server and werkzeug.test
    "importlib.metadata": 0.6,
    "zipfile": 0.5,  # with bz2 and lzma: by what takes a copy away
    "email.headerregistry": 0.6,  # by what reads a letter
    "html.parser": 0.4,
    "difflib": 0.2,
    "subprocess": 0.2,
    "numpy": 12.0,
    "matplotlib": 70.0,
}


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A station file, a tape, a story, and what a station left that watched one cup for five hours."""
    place = tmp_path_factory.mktemp("place")
    now = int(time.time()) // 600 * 600
    zone = zone_where_it_is(12, now)
    text = station_text(every_s=600, zone=zone, attended=[])
    (place / "station.toml").write_text(text, encoding="utf-8")
    write_tape(place / "tape.csv", tape_rows(now - 5 * 3600, 30, good(24.0), 600))
    write_care(place / "care.csv", f"{stamp(now - 4 * 3600)},cup,set,0.05,g,salt_g_per_l=25;lot=spring-tin")
    story = STORY.format(station=station_text(driver="rehearsal"))
    (place / "story.toml").write_text(story, encoding="utf-8")
    rows = "level,cup,of,hatched\n10,1,50,31\n10,2,50,36\n30,1,50,12\n30,2,50,20\n"
    gather_file(place, 1883, f"host={place} dbname=none").rename(place / "gather.toml")
    (place / "counts.csv").write_text(rows, encoding="utf-8")
    said = naupliad(*words_of("replay", place), "--care", place / "care.csv", "--out", place / "state")
    assert (said.code, said.err) == (0, "")
    return place


@pytest.fixture
def state(place: Path, tmp_path: Path) -> Path:
    folder = shutil.copytree(place / "state", tmp_path / "state")
    (folder / "summary.json").unlink()
    return folder


def words_of(command: str, place: Path) -> list[str | Path]:
    match command:
        case "care add stirred":
            return ["care", "add", "cup", "stir"]
        case "replay":
            return ["replay", place / "tape.csv", "--config", place / "station.toml"]
        case "rehearse":
            return ["rehearse", place / "story.toml"]
        case "plan cone":
            return ["plan", "cone", *("--volume-ml", "900", "--cysts-g", "2", "--water-c", "27")]
        case "plan dose":
            return ["plan", "dose", "--config", place / "station.toml"]
        case "lot test":
            return ["lot", "test", "--put", "50", "--hatched", "38"]
        case "plan start":
            ahead = stamp(int(time.time()) + 3 * 86400)
            return ["plan", "start", "--for", ahead, "--water-c", "22", "--config", place / "station.toml"]
        case "experiment new":
            levels = ("--levels", "10;25", "--cups", "4", "--of", "50")
            return ["experiment", "new", "--factor", "salt", *levels]
        case "experiment result":
            return ["experiment", "result", "--csv", place / "counts.csv"]
        case "probes" | "checkup" | "post sample" | "run":
            return [*command.split(), "--config", place / "station.toml"]
        case "gather --prepare" | "rooms":
            return [*command.split(), "--config", place / "gather.toml"]
        case _:
            return [*command.split()]


def where(command: str, state: Path, out: Path) -> list[str | Path]:
    match command:
        case "--help" | "plan --help" | "plan cone" | "plan dose" | "plan start":
            return []
        case "experiment --help" | "experiment result" | "gather --prepare" | "rooms":
            return []
        case "replay" | "rehearse":
            return ["--out", out]
        case "export --out" | "export --zip" | "export --calendar":
            return [out, "--state", state]
        case "report":
            return ["--state", state, "--out", out]
        case _:
            return ["--state", state]


def begun(command: str, place: Path, state: Path, folder: Path) -> "subprocess.Popen[str]":
    words = [*words_of(command, place), *where(command, state, folder / "out")]
    return subprocess.Popen(
        [sys.executable, "-c", CHILD, str(folder / "loaded"), *map(str, words)],
        cwd=folder,
        env=surroundings(),
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )


def loaded(process: "subprocess.Popen[str]", folder: Path) -> list[str]:
    """The modules of ours that a command has loaded when it ends."""
    return [name for name in all_loaded(process, folder) if ours(name)]


def ours(name: str) -> bool:
    return name.split(".")[0] in ("daemon", "sensors", "reports")


def all_loaded(process: "subprocess.Popen[str]", folder: Path) -> list[str]:
    _, err = process.communicate(timeout=PATIENCE_S)
    assert process.returncode in (0, 1), err  # 2 is wrong use: then it loaded only what refuses
    return (folder / "loaded").read_text(encoding="utf-8").splitlines()


def within(modules: list[str], budget: int) -> None:
    print(f"{len(modules)} of {budget}")  # noqa: T201 - with -rP
    assert len(modules) <= budget, "\n".join(modules)


def test_every_command_has_a_budget() -> None:
    budgets = {words.split()[0] for words in (*BUDGETS, "run", "page")}
    assert set(cli.naupliad.list_commands(click.Context(cli.naupliad))) <= budgets


@pytest.mark.parametrize("command", BUDGETS)
def test_a_command_loads_no_more_modules_than_its_budget(
    command: str, place: Path, state: Path, tmp_path: Path
) -> None:
    within(loaded(begun(command, place, state, tmp_path), tmp_path), BUDGETS[command])


@contextmanager
def a_daemon_that_answers(state: Path) -> Iterator[None]:
    """A daemon's inbox, and somebody who answers each request."""
    wake, over = threading.Event(), threading.Event()
    inbox = Inbox(state / INBOX, wake)

    def attend() -> None:
        while not over.is_set():
            wake.wait()
            wake.clear()
            for request in inbox.requests():
                request.answer({"id": 7, "letters": 0})

    thread = threading.Thread(target=attend)
    thread.start()
    try:
        yield
    finally:
        over.set()
        wake.set()
        thread.join()
        inbox.close()


@pytest.mark.parametrize("command", ASKING_BUDGETS)
def test_what_a_running_daemon_does_is_not_loaded_by_who_asks_for_it(
    command: str, place: Path, state: Path, tmp_path: Path
) -> None:
    with a_daemon_that_answers(state):
        modules = loaded(begun(command, place, state, tmp_path), tmp_path)
    within(modules, ASKING_BUDGETS[command])
    assert not [
        name for name in modules if name.startswith(("daemon.watching", "daemon.letters", "daemon.estimates"))
    ]


def loaded_by_the_daemon(folder: Path, text: str) -> list[str]:
    (folder / "station.toml").write_text(text, encoding="utf-8")
    process = begun("run", folder, folder / "state", folder)
    try:
        until("the daemon answers", lambda: process.poll() is not None or answers(folder / "state"))
        process.terminate()
        return all_loaded(process, folder)
    finally:
        if process.poll() is None:
            process.kill()


def test_the_daemon_itself_loads_no_more_modules_than_its_budget(tmp_path: Path) -> None:
    modules = loaded_by_the_daemon(tmp_path, station_text(driver="rehearsal"))
    within([name for name in modules if ours(name)], RUN_BUDGET)
    of_a_record = ("daemon.record", "daemon.outside.record", "daemon.post.box_line", "daemon.store.outbox")
    assert [name for name in modules if name.startswith((*of_a_record, "paho"))] == []


def test_the_daemon_of_a_real_probe_loads_nothing_heavy(tmp_path: Path) -> None:
    shelf = Shelf(1)
    Tree(tmp_path / "w1", shelf).show(BEGAN)
    modules = loaded_by_the_daemon(tmp_path, shelf.station_text())
    assert "w1thermsensor" in modules
    assert {name: HEAVY[name] for name in modules if name in HEAVY} == {}


def loaded_by_the_page(state: Path, folder: Path, *paths: str) -> list[str]:
    process = begun("page --port 0", folder, state, folder)
    try:
        assert process.stdout is not None
        address = process.stdout.readline().split()[-1]
        for path in paths:
            with urlopen(address + path, timeout=PATIENCE_S) as answer:
                assert answer.status == 200
        process.terminate()
        return all_loaded(process, folder)
    finally:
        if process.poll() is None:
            process.kill()


def test_the_page_that_has_shown_its_views_loads_no_more_modules_than_its_budget(
    state: Path, tmp_path: Path
) -> None:
    paths = ("/", "/today", "/class", "/vessel/cup", "/nights", "/station", "/paper/labels")
    modules = loaded_by_the_page(state, tmp_path, *paths)
    within([name for name in modules if ours(name)], PAGE_BUDGET)
    assert not [name for name in modules if name.startswith("daemon.watching")]
    assert {name: HEAVY_FOR_THE_PAGE[name] for name in modules if name in HEAVY_FOR_THE_PAGE} == {}


def test_the_page_that_has_planned_an_experiment_loads_nothing_heavy(state: Path, tmp_path: Path) -> None:
    plan = "/plan/experiment?factor=salt&levels=10;25&cups=4&of=50&near=lamp&seed=7"
    modules = loaded_by_the_page(state, tmp_path, "/plan/experiment", plan, "/paper/experiment")
    assert "daemon.planning.experiment.design" in modules
    assert {name: HEAVY_FOR_THE_PAGE[name] for name in modules if name in HEAVY_FOR_THE_PAGE} == {}


def answers(state: Path) -> bool:
    with suppress(NaupliadError):
        return ask(state / INBOX, {"ask": "nothing"}) is not None
    return False
