"""The documentation's pages as tests read them: what is fenced, what stands in a table, what is typed."""

import re
import shlex
from pathlib import Path

import click

from daemon.cli import naupliad
from tests.kit.checkout import DOCS, ROOT

PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *DOCS.rglob("*.md")])
FENCE = re.compile(r"^( *)```([\w{}]*)\n(.*?)^\1```", re.MULTILINE | re.DOTALL)


def named(page: Path) -> str:
    return str(page.relative_to(ROOT))


def fenced(page: Path, language: str) -> list[str]:
    return [body for _, name, body in FENCE.findall(page.read_text("utf-8")) if name == language]


def prose(page: Path) -> str:
    return FENCE.sub("", page.read_text("utf-8"))


def section(page: Path, heading: str) -> str:
    """What stands under a heading, up to the next of its rank or a higher one."""
    text = page.read_text("utf-8")
    found = re.search(rf"^(#+) {re.escape(heading)}\n", text, re.MULTILINE)
    assert found, f"{named(page)}: no heading {heading!r}"
    rest = text[found.end() :]
    end = re.search(rf"^#{{1,{len(found[1])}}} ", rest, re.MULTILINE)
    return rest[: end.start()] if end else rest


def rows(text: str) -> list[list[str]]:
    """The cells of every table row that begins with a word in code quotes."""
    lines = [line for line in text.splitlines() if line.startswith("| `")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]


def words(cell: str) -> list[str]:
    return re.findall(r"`([^`]+)`", cell)


def _is_whole(group: click.Group, rest: list[str]) -> bool:
    """Whether a group that does something by itself is asked for just that."""
    return group.invoke_without_command and (not rest or rest[0].startswith("-"))


def parse(line: str) -> None:
    """Have click take a command line without running it. Raises UsageError where click would."""
    command: click.Command = naupliad
    rest, context = shlex.split(line)[1:], click.Context(naupliad, info_name="naupliad")
    while isinstance(command, click.Group) and rest != ["--version"] and not _is_whole(command, rest):
        name, found, rest = command.resolve_command(context, rest)
        assert name is not None
        assert found is not None
        command, context = found, click.Context(found, info_name=name, parent=context)
    if rest != ["--version"]:
        command.make_context(command.name, rest, parent=context.parent)
