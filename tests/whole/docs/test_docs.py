"""What the documentation says is what the program does: commands, options, tables, quantities, delays."""

import json
import re
import shlex
import sqlite3
import tomllib
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from daemon.alarms import conditions
from daemon.alarms.lifecycle import State
from daemon.care.deed import Deed
from daemon.care.past_moment import past_moment
from daemon.care.spoken_deed import fields_of
from daemon.cli import naupliad
from daemon.config import parse_station
from daemon.estimates.horizons import OF_THE_ABSENCE
from daemon.estimates.vessel import VesselBelief
from daemon.letter_kinds import LETTER_KINDS
from daemon.play.story_file import read_story, story_names
from daemon.store.file import WritingStore
from sensors.reading import Measure, Quality
from tests.kit.checkout import DOCS, REFERENCE, ROOT, UNHEATED_ROOM
from tests.kit.pages import PAGES, fenced, named, parse, prose, rows, section, words

LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")


# Commands -----------------------------------------------------------------------------------------------


def commands(group: click.Group, path: str) -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        yield f"{path} {name}", command
        if isinstance(command, click.Group):
            yield from commands(command, f"{path} {name}")


COMMANDS = dict(commands(naupliad, "naupliad"))


def options(command: click.Command) -> set[str]:
    return {name for option in command.params if isinstance(option, click.Option) for name in option.opts}


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_has_its_section_with_exactly_its_options(path: str) -> None:
    text = section(REFERENCE / "commands.md", path)
    told = {word.split()[0] for cells in rows(text) for word in words(cells[0])}
    assert told == options(COMMANDS[path])


@pytest.mark.parametrize("path", COMMANDS)
def test_every_argument_of_a_command_stands_in_its_section(path: str) -> None:
    text = section(REFERENCE / "commands.md", path)
    for argument in COMMANDS[path].params:
        if isinstance(argument, click.Argument):
            assert re.search(
                rf"\b{argument.make_metavar(click.Context(COMMANDS[path])).strip('[].')}\b", text
            )


def test_no_section_tells_of_a_command_that_is_not_there() -> None:
    text = (REFERENCE / "commands.md").read_text("utf-8")
    assert set(re.findall(r"^## (naupliad .*)$", text, re.MULTILINE)) == set(COMMANDS)


def test_the_stories_named_come_with_the_program() -> None:
    text = section(REFERENCE / "commands.md", "naupliad rehearse")
    named = set(re.findall(r"`([a-z]+(?:-[a-z]+)+)`", text.split("or the path of")[0]))
    assert {"long-weekend", "plain-weekend"} <= named <= set(story_names())


def shell_commands(page: Path) -> list[str]:
    """The naupliad commands in a page's shell blocks, without what stands before them."""
    found = []
    for line in "\n".join(fenced(page, "sh")).splitlines():
        for part in line.split("&&"):
            told = re.match(
                r"(?:sudo (?:-u naupliad )?|[A-Z_]+=\S+ )*(?:\S*/bin/)?(naupliad .*)", part.strip()
            )
            if told:
                found.append(told[1])
    return found


TYPED = [(named(page), line) for page in PAGES for line in shell_commands(page)]


def test_the_pages_hold_commands_to_type() -> None:
    pages = {page for page, _ in TYPED}
    assert {"README.md", "docs/install.md", "docs/how-to/record.md", "docs/how-to/rehearse.md"} <= pages


@pytest.mark.parametrize(("page", "line"), TYPED)
def test_a_command_that_a_page_tells_to_type_is_one(page: str, line: str) -> None:
    parse(line)


@pytest.mark.parametrize(
    "line", ["naupliad watch", "naupliad care add cup", "naupliad now --colour", "naupliad replay t.csv"]
)
def test_a_command_that_is_none_would_be_noticed(line: str) -> None:
    with pytest.raises(click.UsageError):
        parse(line)


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_a_command_named_in_a_sentence_is_there(page: Path) -> None:
    for told in re.findall(r"`(naupliad [a-z][^`]*)`", prose(page)):
        names = [word for word in told.split() if re.fullmatch(r"[a-z]+(?:-[a-z]+)*", word)]
        assert any(" ".join(names[:length]) in COMMANDS for length in (2, 3)), told
        known = set().union(*(options(c) for path, c in COMMANDS.items() if told.startswith(path)))
        assert set(re.findall(r"--[a-z]+", told)) <= known, told


# Files that people copy ---------------------------------------------------------------------------------


def whole_stations() -> list[tuple[str, str]]:
    found = []
    for page in PAGES:
        bodies = fenced(page, "toml")
        found += [
            (named(page), b) for b in bodies if "[station]" in b and "[[vessel]]" in b and "[story]" not in b
        ]
    return found


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_toml_on_a_page_is_toml(page: Path) -> None:
    for body in fenced(page, "toml"):
        tomllib.loads(body)


@pytest.mark.parametrize(("page", "text"), whole_stations())
def test_a_station_file_on_a_page_is_one(page: str, text: str) -> None:
    assert parse_station(text, page).vessels


def test_the_pages_hold_the_stations_they_tell_to_copy() -> None:
    assert {"docs/how-to/rehearse.md", "docs/how-to/set-up.md"} <= {page for page, _ in whole_stations()}


def test_the_post_table_of_the_mail_page_fits_a_station_file() -> None:
    (table,) = [b for b in fenced(DOCS / "how-to" / "mail.md", "toml") if "[post]" in b]
    (station,) = fenced(DOCS / "how-to" / "set-up.md", "toml")
    assert parse_station(f"{station}\n{table}", "mail.md").post.server is not None


@pytest.mark.parametrize(
    ("page", "table"), [("mail", "alive"), ("webhook", "webhook"), ("mqtt", "mqtt"), ("rooms", "mqtt")]
)
def test_each_table_of_a_page_about_ways_out_fits_a_station_file(page: str, table: str) -> None:
    told = [b for b in fenced(DOCS / "how-to" / f"{page}.md", "toml") if f"[{table}]" in b]
    (station,) = fenced(DOCS / "how-to" / "set-up.md", "toml")
    assert told
    for one in told:
        assert getattr(parse_station(f"{station}\n{one}", page), table) is not None


def test_the_story_to_copy_is_one(tmp_path: Path) -> None:
    (body,) = [b for b in fenced(REFERENCE / "story.md", "toml") if "[story]" in b]
    file = tmp_path / "cold-night.toml"
    file.write_text(body, "utf-8")
    assert read_story(str(file)).title


def test_the_deeds_to_type_fit_the_station_to_copy() -> None:
    """Each `care add` of the how-to pages goes through the care log's own checks."""
    for page, vessel in (("record.md", "set-up.md"), ("rehearse.md", "rehearse.md")):
        station = parse_station(fenced(DOCS / "how-to" / vessel, "toml")[0], vessel)
        lines = [line for line in shell_commands(DOCS / "how-to" / page) if " care add " in line]
        assert lines
        for line in lines:
            took = COMMANDS["naupliad care add"].make_context("add", shlex.split(line)[3:]).params
            said = (took[name] for name in ("vessel", "deed", "amount", "unit", "detail"))
            fields_of(station, *said)
            if took["moment"] is not None:
                past_moment("--at", took["moment"], 1_800_000_000, station.timezone)


# Tables of the reference --------------------------------------------------------------------------------


def test_every_table_and_column_of_the_store_is_explained_and_no_other(tmp_path: Path) -> None:
    with closing(WritingStore(tmp_path, durable=False)) as store:
        found = columns(store.connection)
    page = REFERENCE / "files.md"
    told = {
        heading: [words(cells[0])[0] for cells in rows(section(page, heading))]
        for heading in re.findall(r"^### (\w+)$", page.read_text("utf-8"), re.MULTILINE)
    }
    assert told == found


def columns(connection: sqlite3.Connection) -> dict[str, list[str]]:
    # sqlite-utils' own tables, and SQLite's.
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE '\\_%' ESCAPE '\\' "
        "AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'"
    )
    tables = [name for (name,) in connection.execute(query)]
    return {table: [row[1] for row in connection.execute(f"PRAGMA table_info({table})")] for table in tables}


def test_every_quantity_that_is_estimated_is_explained_and_no_other() -> None:
    station = parse_station(fenced(DOCS / "how-to" / "set-up.md", "toml")[0], "set-up.md")
    belief = VesselBelief(replace(station.vessels[0], kind="cone"), 60)
    belief.feed_deed(Deed(1_800_000_000, "tray-a", "set", 0.05, {}))
    told = [words(cells[0])[0] for cells in rows((REFERENCE / "estimates.md").read_text("utf-8"))]
    assert sorted(told) == sorted([*belief.estimates(1_800_003_600), *OF_THE_ABSENCE])


def test_every_alarm_condition_is_explained_with_its_delays() -> None:
    table = {words(cells[0])[0]: cells for cells in rows((REFERENCE / "alarms.md").read_text("utf-8"))}
    assert set(conditions.CONDITIONS) <= set(table)
    for condition, told in conditions.CONDITIONS.items():
        minutes = tuple(int(cell.removesuffix(" min")) for cell in table[condition][2:4])
        assert minutes == (told.on_min, told.off_min), condition


def test_every_state_of_an_alarm_is_explained() -> None:
    told = {words(cells[0])[0] for cells in rows(section(REFERENCE / "alarms.md", "States"))}
    assert told == {state.value for state in State}


def test_the_deadband_told_is_the_programs() -> None:
    text = (REFERENCE / "alarms.md").read_text("utf-8")
    assert f"`cold_c` + {conditions.DEADBAND_K}" in text
    assert f"`hot_c` − {conditions.DEADBAND_K}" in text


def test_every_letter_kind_is_explained_and_no_other() -> None:
    told = [words(cells[0])[0] for cells in rows((REFERENCE / "letters.md").read_text("utf-8"))]
    assert sorted(told) == sorted(LETTER_KINDS)


def test_every_measure_and_quality_is_explained() -> None:
    measures = [words(cells[0])[0] for cells in rows((REFERENCE / "words.md").read_text("utf-8"))]
    assert {measure.value for measure in Measure} <= set(measures)
    reading = section(REFERENCE / "files.md", "reading")
    assert {quality.value for quality in Quality} <= set(words(reading))


# Links and commands of the whole ------------------------------------------------------------------------


@pytest.mark.parametrize("page", PAGES, ids=named)
def test_every_link_and_image_leads_to_a_file_of_ours(page: Path) -> None:
    for target in LINK.findall(prose(page)):
        path, _, anchor = target.partition("#")
        file = (page.parent / path).resolve() if path else page
        assert file.is_file(), target
        assert file.is_relative_to(ROOT), target
        if anchor:
            assert anchor in anchors(file), target


def anchors(page: Path) -> set[str]:
    """The anchors of a page's headings, made as code hosts and the site make them."""
    headings = re.findall(r"^#+ (.*)$", prose(page), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", heading.strip().lower()).replace(" ", "-") for heading in headings}


def test_the_readmes_test_command_is_what_the_gate_runs() -> None:
    (told,) = [line for line in fenced(ROOT / "README.md", "sh") if "pytest" in line]
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert told.strip() in script
    assert "\n.venv/bin/pytest -m long\n" in script  # what that command leaves out


def test_the_readme_begins_with_the_job_then_two_commands_then_the_chart() -> None:
    title, job, see, first, run, second, *rest = (ROOT / "README.md").read_text("utf-8").split("\n\n")
    assert title.startswith("# ")
    assert len(job) > 200
    assert first.startswith("```sh") and "naupliad rehearse" in first  # noqa: PT018 - one block, said in one
    assert second.startswith("```sh") and "pytest" in second  # noqa: PT018
    assert see.endswith(":")
    assert run.endswith(":")
    assert any("docs/images/night-chart.png" in part for part in rest[:2])


def test_the_summary_told_is_the_summary_written(tmp_path: Path) -> None:
    """`summary.json` of a short play has the keys that the page explains."""
    data = UNHEATED_ROOM
    tape = (data / "tape.csv").read_text("utf-8").splitlines()[:40]
    (tmp_path / "tape.csv").write_text("\n".join(tape) + "\n", "utf-8")
    config, out = str(data / "station.toml"), tmp_path / "out"
    line = ["replay", str(tmp_path / "tape.csv"), "--config", config, "--out", str(out)]
    assert CliRunner().invoke(naupliad, line).exit_code == 0
    written = json.loads((out / "summary.json").read_text("utf-8"))
    told = {
        word.partition(".")[0].removesuffix("[]")
        for cells in rows(section(REFERENCE / "files.md", "summary.json"))
        for word in words(cells[0])
    }
    assert told == set(written)
