"""Labels that look like a person's name: they are asked about, since what bears them goes out in letters.

No list of people's names is kept. What is listed is what a label may well say: our creatures, colours,
vessels, things on a shelf, places in a room.
"""

import re
from collections.abc import Iterable
from functools import cache

from reports.page.paper.creatures import in_every_language

_PARTS = re.compile(r"[^\W\d_]+")
# English and German, in small letters.
_OF_A_SHELF = (
    "cup cups jar jars cone cones tray trays vessel vessels tank",
    "tanks bottle bottles bowl glass basin bucket bath",
    "becher glas schale kegel flasche eimer wanne becken tablett",
    "water brine salt air light lamp heater probe sensor float",
    "level lid room warmth temperature humidity",
    "wasser sole salz luft licht lampe heizung fühler schwimmer deckel raum wärme temperatur feuchte",
    "shelf table desk window door wall sill corner cupboard",
    "board floor top bottom left right front back middle",
    "regal tisch fenster tür wand ecke schrank boden oben unten links rechts vorne hinten mitte",
    "north south east west outside inside nord süd ost west draussen drinnen",
    "red blue green yellow white black grey gray orange pink purple violet brown silver gold clear",
    "rot blau grün gelb weiss schwarz grau lila violett braun silber klar",
    "one two three four five six seven eight nine ten first",
    "second third last big small old new spare test control",
    "eins zwei drei vier fünf sechs sieben acht neun zehn erste",
    "zweite dritte letzte gross klein alt neu probe",
    "class group team school lab kitchen science hatch shrimp artemia batch lot",
    "klasse gruppe schule labor küche krebse ansatz charge",
    "hedgehog fox hare mouse bear deer owl frog toad snail bee ant beetle",
    "igel fuchs hase maus bär reh eule frosch kröte schnecke biene ameise käfer dachs",
    "monday tuesday wednesday thursday friday saturday sunday",
    "montag dienstag mittwoch donnerstag freitag samstag sonntag",
)
_WITHOUT_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


def looks_like_a_name(label: str) -> bool:
    """Whether a label should be asked about: a word in it begins with a capital, goes on in small letters, is
    two letters or more, and is none of a shelf's words and of our creatures, in English or German.

    Small letters and capitals alone say nothing: `emma` is not noticed, nor are initials.
    """
    return any(
        len(part) > 1 and part[0].isupper() and part[1:].islower() and _plain(part) not in _known()
        for part in _PARTS.findall(label)
    )


def to_ask_about(labels: Iterable[str], no_names: Iterable[str]) -> list[str]:
    """The labels that look like a person's name, each once, but for those that somebody said are none."""
    answered = set(no_names)
    return [one for one in dict.fromkeys(labels) if one not in answered and looks_like_a_name(one)]


@cache
def _known() -> frozenset[str]:
    words = {_plain(word) for line in _OF_A_SHELF for word in line.split()}
    words.update(_plain(part) for name in in_every_language() for part in _PARTS.findall(name))
    return frozenset(words)


def _plain(word: str) -> str:
    return word.lower().translate(_WITHOUT_UMLAUTS)
