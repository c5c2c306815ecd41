"""The words of a wipe: what would go, what is kept, what no wipe can reach, and what was proven."""

from collections.abc import Sequence
from dataclasses import dataclass

from reports import words
from reports.language import in_its_language, say, say_many, to_say
from reports.records import Setting

# By the names that daemon/wiping gives them.
ROWS = {
    "notes": to_say("Would blank notes in the care log: {count}"),
    "ideas": to_say("Would blank ideas of experiments: {count}"),
    "silencers": to_say("Would blank names of who silenced alarms: {count}"),
    "spoiled rows": to_say("Would blank rows that a memory card had spoiled: {count}"),
    "letters": to_say("Would drop the words of letters that went: {count}"),
}
FILES = {
    "charts": to_say("Would remove charts: {count}"),
    "letter files": to_say("Would remove letters that are kept as files: {count}"),
    "snapshot": to_say("Would remove what was believed, which is calculated anew: {count}"),
    "damaged": to_say("Would remove damaged records that were kept aside: {count}"),
}
_KEPT = (
    to_say("Kept: readings, alarms, deeds with their amounts, and so all that was learned."),
    to_say("Kept: names of the station, vessels, probes and tins, and the station file with its comments."),
)
_NOT_REACHED = (
    to_say("Not reached: letters that went out. Whoever got them has them."),
    to_say("Not reached: reports, exports and calendars that were made, and what was printed."),
    to_say("Not reached: a stick with backups, unless it is plugged in and --also names its folder."),
    to_say(
        "Not reached: the page's own folder. It keeps no notes, but the draft of a set-up that was begun."
    ),
    to_say("Not reached: what a memory card's cells still hold of deleted files."),
)
STEPS = {
    "note": to_say("Noting what is searched for at the end …"),
    "backups": to_say("Rewriting the backups in {folder} …"),
    "files": to_say("Removing files that quote it …"),
    "blank": to_say("Blanking the station's records …"),
    "rewrite": to_say("Rewriting the station's records …"),
    "search": to_say("Searching every file …"),
}
_LONGEST = 40


@dataclass(frozen=True, slots=True)
class ToWipe:
    """What a wipe would do: rows and files by what they are, the backups by name, labels that may be names of
    people; whether an earlier wipe was broken off."""

    rows: dict[str, int]
    files: dict[str, int]
    backups: tuple[str, ...]
    labels: tuple[str, ...]
    broken_off: bool


@dataclass(frozen=True, slots=True)
class StillThere:
    """A text that a wipe left: where it stands, and of a table "table.column", else empty."""

    text: str
    path: str
    column: str


@in_its_language
def to_wipe_lines(_setting: Setting, plan: ToWipe) -> tuple[str, ...]:
    """What a wipe would do as things stand, what it keeps, what it does not reach."""
    lines = [say(ROWS[key], count=count) for key, count in plan.rows.items()]
    lines += [say(FILES[key], count=count) for key, count in plan.files.items()]
    if plan.backups:
        lines.append(say("Would rewrite backups: {names}", names=", ".join(plan.backups)))
    if plan.broken_off:
        lines.append(say("A wipe was broken off: run it again."))
    if not lines:
        lines.append(say("Nothing to wipe: no class data is there."))
    if plan.labels:
        names = words.joined([words.clean(one) for one in plan.labels])
        lines.append(say("May be a person's name, and is kept: {names}", names=names))
    return (*lines, *map(say, (*_KEPT, *_NOT_REACHED)))


@in_its_language
def bounds(_setting: Setting) -> tuple[str, ...]:
    """What a wipe keeps, and what it does not reach."""
    return tuple(map(say, (*_KEPT, *_NOT_REACHED)))


@in_its_language
def step_line(_setting: Setting, key: str, folder: str = "") -> str:
    """A step of a wipe, before it is done."""
    return say(STEPS[key], folder=folder)


@in_its_language
def proof_lines(
    _setting: Setting, texts: int, files: int, short: int, left: Sequence[StillThere]
) -> tuple[str, ...]:
    """What was searched for, and what was found."""
    lines = [
        say(
            "Still found in {place}: {text}",
            place=f"{one.path} ({one.column})" if one.column else one.path,
            text=words.shortened(one.text, _LONGEST),
        )
        for one in left
    ]
    searched = {
        "texts": say_many("{count} text", "{count} texts", texts),
        "files": say_many("{count} file", "{count} files", files),
    }
    if left:
        lines.append(say("Not all is gone. Searched: {texts} in {files}.", **searched))
    else:
        lines.append(say("Proven gone: {texts} searched in {files}.", **searched))
    if short:
        lines.append(
            say_many(
                "{count} text is too short to be searched for; it was blanked in the records.",
                "{count} texts are too short to be searched for; they were blanked in the records.",
                short,
            )
        )
    return (*lines, *map(say, _NOT_REACHED))
