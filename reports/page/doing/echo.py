"""What was noted, said back: what was understood, what it changed, what is asked back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from reports import amounts, times, words
from reports.language import in_its_language, say
from reports.page.doing.fields import choice_words, label_of
from reports.records import Setting


@dataclass(frozen=True, slots=True)
class Noted:
    """An entry of the care log: its id, its vessel, the deed in a few words, its details as they are kept.

    `corrected`: it stands in the place of another; `withdrawn_at` is when it was taken back; `changed` what
    it changed in what is believed, in a line (empty: nothing, or not known any more); `doubts` what is asked.
    """

    id: int
    vessel: str
    count: int
    deed: str
    text: str
    detail: Mapping[str, float | str]
    at: datetime
    corrected: bool = False
    withdrawn_at: datetime | None = None
    changed: str = ""
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Echo:
    """What is said of an entry by its id: a line, its details, what it changed, what is asked back."""

    id: int
    line: str
    details: tuple[str, ...]
    changed: str
    doubts: tuple[str, ...]


@in_its_language
def echo(setting: Setting, noted: Noted, *, among_others: bool) -> Echo:
    """What is said of it, under its heading; `among_others`: the heading is of several."""
    line = say(
        "{name}: {what}, {when}.",
        name=words.vessel_name(noted.vessel, noted.count),
        what=words.clean(noted.text),
        when=times.moment(noted.at, setting.written_at),
    )
    if noted.withdrawn_at is not None and among_others:
        line = say("{line} This was taken back.", line=line)
    return Echo(noted.id, line, _details(setting, noted), noted.changed, noted.doubts)


@in_its_language
def heading(_setting: Setting, noted: Sequence[Noted]) -> str:
    """Above them."""
    if all(one.withdrawn_at is not None for one in noted):
        return say("Taken back")
    return say("Changed") if noted[0].corrected else say("Noted")


def _details(setting: Setting, noted: Noted) -> tuple[str, ...]:
    if noted.deed == "note":
        return ()
    return tuple(
        say(
            "{what}: {value}",
            what=label_of(setting, noted.deed, name),
            value=_value(setting, name, value),
        )
        for name, value in noted.detail.items()
    )


def _value(setting: Setting, name: str, value: float | str) -> str:
    if isinstance(value, str):
        return choice_words(name, value)
    if name.endswith("_c"):
        value = amounts.in_unit(value, setting.unit)
    return amounts.in_decimals(f"{value:.6g}")
