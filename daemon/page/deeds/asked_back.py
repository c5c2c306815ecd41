"""What is asked back about an entry, in the page's language.

The care log asks in English, as the command line does. English readers get that as it is. For others it is
taken apart here and said anew, as `daemon.page.deeds.checked` does it with a refusal.
"""

import re
from datetime import datetime

from daemon.page.glance import Glance
from reports.page.doing.asked_back import question
from reports.page.doing.checked import is_said_anew

_WHEN = r"(?P<when>[A-Z][a-z]{2} [0-9]{2} [A-Z][a-z]{2} at [0-9]{2}:[0-9]{2})"
_VESSEL = r"(?P<vessel>\S+)"
_OF_ONE = rf"(?P<one_of>one cup of )?{_VESSEL}"


def _number(name: str) -> str:
    return rf"(?P<{name}>[0-9.]+(?:e[+-]?[0-9]+)?)"


_GRAMS_IN = rf"{_number('grams')} g of cysts in {_number('volume')} mL is "
_AMOUNT = _number("amount")
_SO_FAR = "By the entries so far "
# As daemon/care asks it (plausibility, vessel_limits), by the name that its words have.
_ASKED = {
    "day": rf"The cysts are in the water since {_WHEN}, {_number('hours')} hours ago\. .*",
    "second-set": rf"A batch runs in {_VESSEL} already, set {_WHEN}, and it was not ended\. .*",
    "too-soon": rf"The batch in {_VESSEL} was set {_WHEN}; nothing swims .*",
    "no-batch-seen": rf"No batch ran in {_VESSEL} on {_WHEN}, so the look says nothing\. .*",
    "no-batch": rf"No batch ran in {_VESSEL} on {_WHEN}, so nothing is reckoned from it\. .*",
    "gravity": rf"{_number('salt')} g of salt in a kg of brine is next to none\. .*",
    "measured": rf"{_SO_FAR}{_VESSEL} has {_number('low')} to {_number('high')} g of salt in a kg of brine, "
    r"and (?P<measured>.+) was measured\. .*",
    "scale": r"A hydrometer's reading says more with (?P<keys>.+): the temperature .*",
    "air": rf"{_GRAMS_IN}more than they have air for; up to {_number('most')} g is usual\. "
    r"The amount is in grams(?P<one_of>, of one cup)?\. .*",
    "times-usual": rf"{_GRAMS_IN}{_number('times')} times the {_number('usual')} g that are usual there\. "
    r"(?:Is it right\?|The amount is of one cup\. Is that for all "
    rf"{_number('all')}\? Then one cup got {_number('each')} g\.)",
    "more-than-holds": rf"{_AMOUNT} mL is more than {_OF_ONE} holds, {_number('mark')} mL\. .*",
    "no-room": rf"{_SO_FAR}there was room for at most {_number('room')} mL in {_OF_ONE}, and "
    rf"{_AMOUNT} mL were poured in\. .*",
    "taken-out": rf"{_SO_FAR}{_OF_ONE} held at most {_number('held')} mL, and {_AMOUNT} mL were "
    r"taken out\. .*",
    "brine": rf"{_number('drawn')} mL of brine were drawn off: was it brine\? Plain water leaves about "
    rf"{_number('salt')} g of salt in a kg of brine\.",
    "most-of-it": rf"{_AMOUNT} mL is most of what {_OF_ONE} held\. .*",
}


def asked_back(glance: Glance, line: str) -> str:
    """One question about an entry; what is none of those known stays as it is."""
    if not is_said_anew(glance.language):
        return line
    for name, pattern in _ASKED.items():
        match = re.fullmatch(pattern, line, re.DOTALL)
        if match is not None:
            parts = {key: value for key, value in match.groupdict().items() if value is not None}
            at = _moment(glance, parts.pop("when")) if "when" in parts else None
            return question(glance.language, name, parts, at, glance.local(glance.at))
    return line


def _moment(glance: Glance, text: str) -> datetime:
    """A moment that the care log writes without its year: the last such one."""
    now = glance.local(glance.at)
    for year in (now.year, now.year - 1):
        at = datetime.strptime(f"{text} {year}", "%a %d %b at %H:%M %Y").replace(tzinfo=now.tzinfo)
        if at <= now:
            return at
    return at
