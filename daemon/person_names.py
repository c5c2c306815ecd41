"""Labels that look like a person's name: they are asked about, since what bears them goes out in letters.

No list of people's names is kept. What is listed is what a label may well say: our creatures, colours,
vessels, things on a shelf, places in a room, and what experiments change.
"""

import re
from collections.abc import Iterable
from functools import cache

from reports.page.paper.creatures import in_every_language

_PARTS = re.compile(r"[^\W\d_]+")
# English and German, in small letters.
# What labels say.
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
# What else levels, factors and ideas say.
_OF_EXPERIMENTS = (
    "tap rain sea spring pond river mineral bottled distilled fresh stale boiled filtered",
    "leitung regen meer quelle teich fluss mineral frisch abgestanden gekocht gefiltert destilliert",
    "sugar soda flour yeast algae powder vinegar food dose amount kind brand share number",
    "zucker soda mehl hefe alge algen pulver essig futter dosis menge art sorte marke anteil zahl anzahl",
    "dark bright dim shade shadow sun sunny covered uncovered open closed foil paper cloth cover",
    "dunkel hell schatten sonne bedeckt offen zu folie papier tuch abdeckung",
    "with without none no yes low high much little many few more less warm cold cool hot",
    "mit ohne kein keine nein ja niedrig hoch viel wenig mehr weniger warm kalt kühl heiss lauwarm",
    "day night morning evening noon hour hours week time minute minutes",
    "tag nacht morgen morgens abend abends mittag stunde stunden woche zeit minute minuten",
    "cyst cysts egg eggs animal animals nauplius nauplii larva larvae child children pupil pupils people",
    "zyste zysten ei eier tier tiere nauplien larve larven kind kinder schüler krebs krebschen",
    "tin dose dosen packung tüte rest stirring stirred still rühren gerührt ruhig bubbles air stone",
    "teacher teachers kids bio artemien lärm noise music musik lehrer lehrerin saline",
    "exercise practice lesson course project station shelf pi biology nature",
    "übung praxis stunde kurs projekt station versuch versuche biologie natur frage idee",
    "size colour color depth volume age salinity strength grösse farbe tiefe volumen alter gehalt stärke",
    "metal plastic wood stone sand clay metall plastik holz stein ton fensterbank heizkörper",
    "schlupf rate quote wachstum erfolg unterschied einfluss wirkung stufe seite bank",
)
# What a German compound may end in, whatever stands before it.
_HEADS = (
    *("wasser", "becher", "schrank", "temperatur", "feuchte", "lampe", "licht", "salz", "stufe", "klasse"),
    *("gruppe", "schule", "probe", "fenster", "flasche", "schale", "gehalt", "menge", "sorte", "folie"),
    *("papier", "farbe", "zeit", "versuch", "dose", "wärme", "stärke", "zucker", "pulver", "körper"),
    *("krebse", "krebsen", "tiere", "tieren", "larven", "eier", "eiern"),
)
# Endings of nouns, and of no first name.
_NOUN_ENDINGS = ("ung", "ungen", "heit", "keit", "schaft", "tion", "tät", "ness")
_WITHOUT_UMLAUTS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss"})


def looks_like_a_name(label: str) -> bool:
    """Whether a label should be asked about: a word in it begins with a capital, goes on in small letters, is
    two letters or more, and is no everyday word and none of our creatures, in English or German.

    Small letters and capitals alone say nothing: `emma` is not noticed, nor are initials.
    """
    return any(is_no_everyday_word(part) for part in _PARTS.findall(label))


def is_no_everyday_word(word: str) -> bool:
    """Whether one word of a label is written as a name is, and is nothing that we know."""
    if not (len(word) > 1 and word[0].isupper() and word[1:].islower()):
        return False
    plain = _plain(word)
    return not (plain in _known() or plain.endswith(_plain_endings()) or _is_compound(plain))


def to_ask_about(labels: Iterable[str], no_names: Iterable[str]) -> list[str]:
    """The labels that look like a person's name, each once, but for those that somebody said are none."""
    answered = set(no_names)
    return [one for one in dict.fromkeys(labels) if one not in answered and looks_like_a_name(one)]


def _is_compound(plain: str) -> bool:
    """Whether two known words make it, with a German -s-, -n- or -e- between them."""
    known = _known()
    for at in range(3, len(plain) - 1):
        first, second = plain[:at], plain[at:]
        if (
            second in known
            and len(second) > 2
            and any(first.removesuffix(link) in known for link in ("", "s", "n", "en", "es", "e"))
        ):
            return True
    return False


@cache
def _plain_endings() -> tuple[str, ...]:
    return tuple(map(_plain, (*_HEADS, *_NOUN_ENDINGS)))


@cache
def _known() -> frozenset[str]:
    words = {_plain(word) for line in (*_OF_A_SHELF, *_OF_EXPERIMENTS) for word in line.split()}
    words.update(_plain(part) for name in in_every_language() for part in _PARTS.findall(name))
    return frozenset(words)


def _plain(word: str) -> str:
    return word.lower().translate(_WITHOUT_UMLAUTS)
