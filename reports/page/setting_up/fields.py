"""What is asked about a station, a vessel and its letters: keys of the station file as fields, in words."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from reports.language import say, spoken, to_say
from reports.page.field import Field


@dataclass(frozen=True, slots=True)
class Asked:
    """A key as it is asked for; `label` and `hint` are sentences for `say`, with a place for the unit of
    temperatures, C or F."""

    label: str
    hint: str = ""
    options: tuple[tuple[str, str], ...] = ()
    type: str = "text"
    longest: int = 40
    aside: bool = False


_LANGUAGES = (("en", "English"), ("de", "Deutsch"))
_UNITS = (("C", "°C"), ("F", "°F"))
ROOM: Mapping[str, Asked] = {
    "name": Asked(
        to_say("What is this place called?"), to_say("Such as Room 12. No names of people."), longest=80
    ),
    "language": Asked(to_say("Language of letters, charts and this page"), options=_LANGUAGES),
    "temperature_unit": Asked(to_say("Temperatures in"), options=_UNITS),
    "timezone": Asked(
        to_say("Time zone"), to_say("Such as Europe/Lisbon. It decides what “at seven in the morning” means.")
    ),
}
VESSEL: Mapping[str, Asked] = {
    "id": Asked(
        to_say("What is it called?"),
        to_say("A number or a creature, such as otter-2: letters, digits and hyphens. No names of people."),
    ),
    "kind": Asked(
        to_say("What is it?"),
        options=(("cup", to_say("a cup")), ("jar", to_say("a jar")), ("cone", to_say("a hatching cone"))),
    ),
    "count": Asked(
        to_say("How many alike are there, this one counted?"),
        to_say("One with the probe stands for all that are alike. All volumes below are of one."),
    ),
    "mark_ml": Asked(
        to_say("Water up to the mark, in mL"), to_say("Pour it in with a measuring cup, then draw the mark.")
    ),
    "across_cm": Asked(
        to_say("Inner width across at the mark, in cm"),
        to_say("Of a round vessel: the surface is worked out from it. Else give the surface below."),
    ),
    "surface_cm2": Asked(
        to_say("Water surface at the mark, in cm²"), to_say("A cup 7 cm wide has 38.5 cm².")
    ),
    "low_ml": Asked(
        to_say("How far below the mark may the water fall, in mL?"),
        to_say("Of 250 mL, 40 is a usual choice."),
    ),
    "brim_ml": Asked(
        to_say("How far above the mark can it be filled, in mL?"),
        to_say("So that nothing spills. Empty: not at all."),
    ),
    "cold_c": Asked(to_say("Too cold below, in °{unit}"), to_say("Empty: the usual limit.")),
    "hot_c": Asked(to_say("Too warm above, in °{unit}"), to_say("Empty: the usual limit.")),
    "heater_c": Asked(
        to_say("Held by a thermostat at, in °{unit}"),
        to_say("Only where a heater of its own holds it."),
        aside=True,
    ),
    "air_l_per_min": Asked(to_say("Air bubbled through, in litres a minute"), aside=True),
    "rim_above_water_cm": Asked(to_say("From the mark up to the rim, in cm"), aside=True),
    "float_ml": Asked(
        to_say("How far below the mark does the float drop, in mL?"),
        to_say("Only with a float switch."),
        aside=True,
    ),
    "low_light_lux": Asked(
        to_say("The lamp is off below, in lux"), to_say("The light check finds it."), aside=True
    ),
    "watch": Asked(
        to_say("Watched"),
        options=(("always", to_say("always")), ("batch", to_say("only while cysts are set"))),
        aside=True,
    ),
}
SERVER: Mapping[str, Asked] = {
    "smtp_host": Asked(
        to_say("Mail server"),
        to_say("Such as mail.school.example; your mail provider names it."),
        longest=253,
    ),
    "security": Asked(
        to_say("Secured by"),
        options=(
            ("tls", to_say("TLS (usual)")),
            ("starttls", to_say("STARTTLS")),
            ("plain-on-loopback", to_say("nothing: a server on this very machine")),
        ),
    ),
    "smtp_port": Asked(to_say("Port"), to_say("Empty: the usual one.")),
    "user": Asked(to_say("User name"), to_say("Empty: the address that letters come from."), longest=254),
    "from": Asked(
        to_say("Letters come from"), to_say("A mail address, such as cups@school.example."), longest=254
    ),
    "to": Asked(
        to_say("Letters go to"), to_say("Mail addresses, each on its line."), type="lines", longest=2000
    ),
    "backup_to": Asked(
        to_say("When nobody has acted, also to"),
        to_say("Mail addresses, each on its line. Empty: nobody."),
        type="lines",
        longest=2000,
        aside=True,
    ),
}
WHEN: Mapping[str, Asked] = {
    "nightly": Asked(to_say("A letter every night, with a chart"), type="tick"),
    "nightly_at": Asked(to_say("It goes at"), type="time"),
    "morning_at": Asked(to_say("Letters of the morning go at"), type="time", aside=True),
}
PAGE: Mapping[str, Asked] = {
    "listen": Asked(
        to_say("From where can this page be asked for?"),
        to_say("Whoever is in the same network can look, or try a PIN."),
        options=(
            ("loopback", to_say("only on this machine")),
            ("lan", to_say("from phones and computers in this network")),
        ),
    ),
    "reading": Asked(
        to_say("Who may look?"),
        to_say("Whoever notes something always gives the PIN."),
        options=(("all", to_say("everybody there")), ("pin", to_say("who knows the PIN"))),
    ),
    "address": Asked(
        to_say("Address for links in letters"),
        to_say("Such as http://naupliad.local:8077. Empty: no links."),
        longest=300,
    ),
}


def fields(
    language: str,
    asked: Mapping[str, Asked],
    values: Mapping[str, str],
    faults: Mapping[str, str],
    *,
    unit: str = "C",
    suggested: Mapping[str, tuple[str, ...]] | None = None,
    usual: Mapping[str, str] | None = None,
) -> list[Field]:
    """The fields, filled in; what is wrong stands beside its field.

    One that is aside stands with the others once it says something else than is `usual`.
    """
    with spoken(language):
        return [
            replace(
                _field(name, one, values.get(name, ""), faults.get(name, ""), unit),
                suggested=(suggested or {}).get(name, ()),
                aside=one.aside
                and not faults.get(name)
                and values.get(name, "") in ("", (usual or {}).get(name)),
            )
            for name, one in asked.items()
        ]


def _field(name: str, asked: Asked, value: str, fault: str, unit: str) -> Field:
    options = tuple((key, say(words)) for key, words in asked.options)
    if options and value not in dict(asked.options):
        options = (*options, (value, value))  # what somebody wrote by hand is not lost by opening the form
    label, hint = say(asked.label, unit=unit), say(asked.hint) if asked.hint else ""
    fault_in = "en" if fault else ""  # in the words of the file's own check
    if fault and not value:
        fault, fault_in = say("Please fill this in."), ""
    return Field(
        name,
        label,
        hint,
        value,
        fault,
        asked.longest,
        options,
        type=asked.type,
        fault_in=fault_in,
    )
