"""Words of a shelf, a class and its experiments, English and German in small letters: none is a name.

No list of people's names is kept; these are what labels, levels and ideas may well say.
"""

# What labels say.
OF_A_SHELF = (
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
OF_EXPERIMENTS = (
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
# What a sentence begins with or has between its nouns.
OF_SENTENCES = (
    "then also each once",
    "a all an any are at can could do does every for has have how if in is it may might must on only or our",
    "should some than that the their there these they this those to too under we what when where whether",
    "which while who why will with would and but because does did was were be am i you he she",
    "als am an auch auf aus bei beim bis brauchen braucht bleiben bleibt da dann darf das dass dem den der",
    "des die dies diese dieser dieses dürfen ein eine einem einen einer eines entstehen erst es für geben",
    "geht gehen gibt haben hat helfen hilft ich ihr im in ins ist jede jeder jedes kann können",
    "kommen kommt leben lebt macht machen mag man mögen muss müssen nach nicht noch nur ob oder schadet",
    "schaden schlüpft schlüpfen schwimmen schwimmt sie sind so soll sollen sterben stirbt stört stören über",
    "um und unser unsere unter verändert vertragen verträgt vom von vor wachsen wächst wann war warum was",
    "welche welchem welchen welcher welches wenn wer werden wie wieso wir wird wirkt wirken wo wollen will",
    "wodurch womit woran zum zur zwischen überleben überlebt reicht reichen verdunstet lohnt dauert dauern",
    "schneller langsamer besser schlechter früher später alle viele einige manche wieviel wieviele je seit",
)
# What a German compound may end in, whatever stands before it.
HEADS = (
    *("wasser", "becher", "schrank", "temperatur", "feuchte", "lampe", "licht", "salz", "stufe", "klasse"),
    *("gruppe", "schule", "probe", "fenster", "flasche", "schale", "gehalt", "menge", "sorte", "folie"),
    *("papier", "farbe", "zeit", "versuch", "dose", "wärme", "stärke", "zucker", "pulver", "körper"),
    *("krebse", "krebsen", "tiere", "tieren", "larven", "eier", "eiern"),
)
# Endings of nouns, and of no first name.
NOUN_ENDINGS = ("ung", "ungen", "heit", "keit", "schaft", "tion", "tät", "ness")
# Behind these German has a noun.
DETERMINERS = (
    "der die das den dem des ein eine einem einen einer eines kein keine keinen mein meine dein deine unser",
    "unsere unserem unseren ihr ihre jede jeder jedes diese dieser dieses welche welcher welches welchem",
    "welchen viel viele mehr weniger wenig wenige genug im am beim zum zur vom ins ans alle manche einige",
)
# Seen in one language only: they tell in which one a sentence is.
GERMAN_ALONE = (
    "als auch auf aus bei das dass dem den der die ein eine einem einen er es für gern gerne hat im ist",
    "kann mag mehr mit nicht ob oder ohne schlüpfen schlüpft sie sind und viel viele von wann welche wenn",
    "wer weniger werden wie wir wird zu zum zur besser schneller bei beim am wo warum wieviel",
)
ENGLISH_ALONE = (
    "a an and are at best better by can do does fewer for from hatch hatches how if is it its like likes",
    "many more of on or our than the their them they to what when where which who why with without",
)
