"""Lines for the care log as letters give them to copy, read as the command would."""

import re
import shlex

from daemon.care.log import deed_from_fields
from daemon.care.spoken_deed import fields_of
from daemon.cli.care import add
from daemon.station import Station

COMMAND = "naupliad care "


def command_in(line: str) -> str | None:
    """The command at the end of a line of facts or a paragraph; None where it gives none to copy."""
    found = re.search(rf"{COMMAND}\S.*", line)
    return None if found is None else found.group()


def taken(command: str, station: Station, at: int) -> str:
    """The deed that the command would keep at `at` (Unix s).

    Raises ClickException or InputError where it would refuse it.
    """
    words = shlex.split(command)
    assert words[:3] == ["naupliad", "care", "add"]
    said = add.make_context("add", words[3:]).params
    spoken = (said["vessel"], said["deed"], said["amount"], said["unit"], said["detail"])
    fields = fields_of(station, *spoken)
    return deed_from_fields(
        at,
        fields["vessel"] or "",
        fields["deed"] or "",
        fields["amount"],
        fields["unit"] or "",
        fields["detail"] or "",
        station,
    ).deed
