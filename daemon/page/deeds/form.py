"""A form as it was sent: its fields as the words of a request, each fault beside its field."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from daemon.care.deed import KINDS
from daemon.care.spoken_amount import decimal_point
from daemon.care.spoken_deed import fields_of
from daemon.errors import InputError
from daemon.input.csv import read_number
from daemon.input.file import shown
from daemon.page.deeds.alone import here_and_now
from daemon.page.glance import Glance
from reports.page.doing.choices import Choice
from reports.page.doing.fields import names
from reports.page.doing.refusals import semicolon, temperature_range

WHOLE = ""  # the place of a fault that is of no one field


@dataclass
class FormFaults:
    """What is wrong, by the form's field; `WHOLE` is all of it."""

    by_field: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, line: str) -> None:
        """The first line of each field counts: what follows is mostly its consequence."""
        self.by_field.setdefault(name, line[:1].upper() + line[1:])

    def take(self, lines: tuple[str, ...], known: tuple[str, ...]) -> None:
        """The lines of a check, each beside the field that it is about where the form has one."""
        for line in lines:
            name, said = _placed(line)
            if name in known:
                self.add(name, said)
            else:
                self.add(WHOLE, line)


@dataclass(frozen=True, slots=True)
class FilledForm:
    """A form for one choice: its key, what is in its fields, what else was sent, and what is wrong.

    `also` are the other vessels it is for; `entry` and `was` the id and the moment (Unix s) of an entry that
    is changed. `why` is a reason of `reports.page.doing.refusals`; `guessed` says that nobody
    filled it in yet.
    """

    choice: Choice
    vessel: str
    key: str
    values: Mapping[str, str]
    sent: Mapping[str, str] = field(default_factory=dict)
    also: tuple[str, ...] = ()
    faults: FormFaults = field(default_factory=FormFaults)
    why: str = ""
    guessed: bool = False
    entry: int | None = None
    was: int | None = None


def values_of(sent: Mapping[str, str], choice: Choice) -> dict[str, str]:
    """What was filled into the fields of a choice."""
    return {name: sent.get(name, "").strip() for name in names(choice)}


def words_of(
    glance: Glance, vessel: str, choice: Choice, values: Mapping[str, str], faults: FormFaults
) -> dict[str, str | None]:
    """Vessel, deed, amount, unit and detail as a request has them; what is wrong goes to `faults`."""
    detail = dict(choice.detail)
    for name, value in values.items():
        if name == "amount" or not value:
            continue
        kept = _in_celsius(glance, choice.deed, name, value, faults) if name.endswith("_c") else value
        if ";" in kept and name != "text":
            faults.add(name, semicolon(here_and_now(glance)))
        else:
            detail[name] = kept
    # An empty amount is said to be none, where one is asked for.
    amount = values.get("amount", "") if choice.amount is None else choice.amount
    try:
        joined = ";".join(f"{name}={value}" for name, value in detail.items())
        return fields_of(glance.station, vessel, choice.deed, amount.split(), None, joined)
    except InputError as error:
        faults.take(error.faults, tuple(values))
        return {}


def _placed(line: str) -> tuple[str, str]:
    """Which field a line of a check is about, and the line without it."""
    where, _, said = line.partition(": ")
    if where == "unit":
        return "amount", said
    if where == "detail" and said.startswith("found no "):
        return said.removeprefix("found no ").partition(";")[0], said
    return where.removeprefix("detail "), said


def _in_celsius(glance: Glance, deed: str, name: str, value: str, faults: FormFaults) -> str:
    """A temperature in the station's unit as the care log keeps it; what is no number stays for the check."""
    if glance.station.temperature_unit != "F":
        return value
    try:
        given = read_number(decimal_point(value))
    except ValueError:
        return value
    low, high = (end * 1.8 + 32.0 for end in KINDS[deed].numbers[name])
    if not low <= given <= high:
        faults.add(name, temperature_range(here_and_now(glance), shown(value), (low, high)))
    return f"{(given - 32.0) / 1.8:.4f}"
