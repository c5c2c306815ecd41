"""The end of a class, step by step: what each would do and how it is done, before anything is done."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from shlex import quote

from reports import amounts, times, words
from reports.batch.account import LEFT_OVER
from reports.language import in_its_language, say
from reports.records import Setting


@dataclass(frozen=True, slots=True)
class VesselEnd:
    """How a vessel stands at the end: whether a batch was ever set, and whether it runs; `always` where its
    warmth is judged between batches too."""

    vessel: str
    ever: bool
    runs: bool
    always: bool


@dataclass(frozen=True, slots=True)
class EndStep:
    """One step: its name, what is so and what it would do, and the lines to type for it."""

    key: str
    title: str
    lines: tuple[str, ...]
    commands: tuple[str, ...]


@in_its_language
def steps(
    setting: Setting,
    ends: Sequence[VesselEnd],
    quiet_until: datetime | None,
    to_wipe: tuple[str, ...],
    state: str = "",
) -> tuple[EndStep, ...]:
    """All steps in their order; each may be left out. `to_wipe` are the lines of what a wipe would do.

    `state` is the folder that the commands are given, empty for the usual one.
    """
    made = (_silence(setting, ends, quiet_until), _report(ends), _left_over(), _class_data(to_wipe), _next())
    return tuple(
        replace(step, commands=tuple(_of_folder(command, state) for command in step.commands))
        for step in made
    )


def _of_folder(command: str, state: str) -> str:
    """The same for the records of a folder, where it is one of ours."""
    return f"{command} --state {quote(state)}" if state and "systemctl" not in command else command


def _silence(setting: Setting, ends: Sequence[VesselEnd], quiet_until: datetime | None) -> EndStep:
    running = [one.vessel for one in ends if one.runs]
    over = [one.vessel for one in ends if not one.runs and not one.always]
    still = [one.vessel for one in ends if one.always]
    lines = []
    if running:
        names = _names(running)
        lines.append(
            say("A batch runs in: {names}. Letters about it come until its end is noted.", names=names)
        )
    if over:
        lines.append(say("No batch runs in: {names}. No letters come about it any more.", names=_names(over)))
    if still:
        lines.append(
            say(
                "Watched between batches too, so cold or hot water still brings letters: {names}.",
                names=_names(still),
            )
        )
        lines.append(say('To end that, give the vessel watch = "batch" in the station file.'))
    if quiet_until is not None:
        until = times.moment(quiet_until, setting.written_at)
        lines.append(say("Letters are silenced until {until}.", until=until))
    hot = amounts.both_units(33.0, setting.unit)
    lines.append(say("Or have no letters until a day of your choice, but for water above {hot}.", hot=hot))
    commands = (*(f"naupliad care add {vessel} end" for vessel in running), "naupliad quiet YYYY-MM-DD")
    return EndStep("silence", say("Silence"), tuple(lines), commands)


def _report(ends: Sequence[VesselEnd]) -> EndStep:
    names = [one.vessel for one in ends if one.ever]
    if not names:
        return EndStep("report", say("A report of the batch"), (say("No batch was ever set here."),), ())
    lines = (
        say(
            "Of the last batch in: {names}. What was planned, what happened, what was learned.",
            names=_names(names),
        ),
        say("It quotes notes from the care log, as they were written. Write it before class data goes."),
    )
    commands = ("naupliad wrap-up --report batch.pdf", "naupliad wrap-up --report batch.html")
    return EndStep("report", say("A report of the batch"), lines, commands)


def _left_over() -> EndStep:
    return EndStep("left-over", say("What is left over"), tuple(say(line) for line in LEFT_OVER), ())


def _class_data(to_wipe: tuple[str, ...]) -> EndStep:
    lines = (
        say("Notes, who silenced alarms, the words of letters and the charts go, from the backups too."),
        say("The daemon is stopped meanwhile."),
        *to_wipe,
    )
    commands = (
        "sudo systemctl stop naupliad",
        "sudo -u naupliad naupliad wrap-up --wipe",
        "sudo systemctl start naupliad",
    )
    return EndStep("class-data", say("Class data"), lines, commands)


def _next() -> EndStep:
    lines = (say("The station file is copied, with what was learned beside it. No value is changed."),)
    return EndStep("next", say("The next class"), lines, ("naupliad next-class --out next.toml",))


def _names(vessels: Sequence[str]) -> str:
    return words.joined([words.clean(one) for one in vessels])
