"""What is asked about a deed: its fields, in words, with what is filled in and what is wrong with it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from reports.amounts import in_decimals
from reports.language import in_its_language, say, to_say
from reports.page.doing.choices import Choice
from reports.page.field import Field
from reports.records import Setting
from reports.words import clean


@dataclass(frozen=True, slots=True)
class Form:
    """What is filled in, what is wrong with it (by the field's name), and what is known of the vessel.

    `count` is how many like cups it stands for; `lots` are the tins that the station file names. `guessed`:
    nobody said the amount yet.
    """

    values: Mapping[str, str]
    faults: Mapping[str, str] = field(default_factory=dict)
    count: int = 1
    lots: Sequence[str] = ()
    guessed: bool = False


_YES_NO = (("", to_say("not noted")), ("yes", to_say("yes")), ("no", to_say("no")))
_FOODS = (
    ("", to_say("not noted")),
    ("yeast", to_say("yeast")),
    ("spirulina", to_say("spirulina")),
    ("other", to_say("other food")),
)
_INSTRUMENTS = (
    ("", to_say("not noted")),
    ("hydrometer", to_say("a hydrometer")),
    ("refractometer", to_say("a refractometer")),
)
_COVER = (("1", to_say("put on")), ("0", to_say("taken off")))
_LEVEL = (("", to_say("not noted")), ("mark", to_say("at the mark")))
_AMOUNT = {
    "set": (to_say("Cysts, in g"), to_say("Such as 0.05, or 0.2 g/L.")),
    "top-up": (to_say("Water poured in, in mL"), to_say("Such as 18, or 1/2 tsp.")),
    "brine": (to_say("Brine poured in, in mL"), to_say("Such as 18, or 1/2 tsp.")),
    "remove": (to_say("Taken out, in mL"), to_say("Such as 50, or 0.2 l.")),
    "harvest": (to_say("Drawn off, in mL"), to_say("Such as 50, or 0.2 l.")),
    "feed": (to_say("Food, in g"), to_say("Such as 0.05, or 50 mg.")),
    "hatched": (to_say("Share that has hatched"), to_say("Such as 1/3, 0.3 or 30%.")),
    "count": (to_say("Animals counted"), ""),
    "salinity": (
        to_say("Salt, in g in a kg of brine"),
        to_say("Such as 28; as a hydrometer shows it, 1.021 sg."),
    ),
}
_OF_ONE_CUP = to_say("Of one cup.")
_GUESSED = to_say("It is filled in as a guess: write what it was.")
_PER_CUP = frozenset(_AMOUNT) - {"hatched", "salinity"}
# What else each deed may hold; from "" on the fields stand aside.
_DETAILS: Mapping[str, Sequence[str]] = {
    "set": ("salt_g_per_l", "lot", "", "volume_ml", "light"),
    "top-up": ("to", "above_ml"),
    "brine": ("salt_g_per_l",),
    "feed": ("", "food"),
    "count": ("", "volume_ml", "of_cysts"),
    "salinity": ("with", "water_c", "scale_c", "", "reference_c"),
    "note": ("text",),
}
_TEXT_LONGEST, _LOT_LONGEST = 1000, 80
_OF_LEVEL = ("to", "above_ml")


def names(choice: Choice) -> tuple[str, ...]:
    """The fields that are asked about a choice; none where one tap says all."""
    if choice.amount is not None:
        return ()
    amount = ("amount",) if choice.deed in (*_AMOUNT, "cover") else ()
    # A level that a choice stands for is not asked in another way.
    told = _OF_LEVEL if choice.detail else ()
    return (*amount, *(name for name in _DETAILS.get(choice.deed, ()) if name and name not in told))


@in_its_language
def fields(setting: Setting, choice: Choice, form: Form) -> list[Field]:
    """The fields of a choice, filled in."""
    details = _DETAILS.get(choice.deed, ())
    aside = details[details.index("") :] if "" in details else ()
    return [_field(setting, choice.deed, name, form, aside=name in aside) for name in names(choice)]


def _field(setting: Setting, deed: str, name: str, form: Form, *, aside: bool) -> Field:
    label, hint, options, longest = _words(setting, deed, name, form)
    value, fault = form.values.get(name, ""), form.faults.get(name, "")
    if form.guessed and name == "amount":
        value = in_decimals(value)
    shown = tuple((key, say(word)) for key, word in options)
    lots = tuple(form.lots) if name == "lot" else ()
    return Field(name, label, hint, value, fault, longest, shown, lots, aside=aside and not (value or fault))


def _words(
    setting: Setting, deed: str, name: str, form: Form
) -> tuple[str, str, Sequence[tuple[str, str]], int]:
    """Label, hint, options and how long it may be."""
    if name == "amount" and deed == "cover":
        return say("The cover was"), "", _COVER, 40
    if name == "amount":
        label, hint = _AMOUNT[deed]
        guessed = form.guessed and form.values.get("amount")
        hints = (
            _OF_ONE_CUP if form.count > 1 and deed in _PER_CUP else "",
            _GUESSED if guessed else hint,
        )
        return say(label), " ".join(say(one) for one in hints if one), (), 40
    return label_of(setting, deed, name), _hint(deed, name), _options(name), _longest(name)


def _longest(name: str) -> int:
    return {"text": _TEXT_LONGEST, "lot": _LOT_LONGEST}.get(name, 40)


def _options(name: str) -> Sequence[tuple[str, str]]:
    return {"light": _YES_NO, "food": _FOODS, "with": _INSTRUMENTS, "to": _LEVEL}.get(name, ())


def _hint(deed: str, name: str) -> str:
    if name == "salt_g_per_l":
        return say("Such as 25. Leave it empty where you do not know.") if deed == "set" else ""
    if name == "volume_ml" and deed == "count":
        return say("Empty where you counted all.")
    if name == "of_cysts":
        return say("Only where you counted the cysts before.")
    if name == "text":
        return say("A line. No names of people.")
    if name == "above_ml":
        return say("Only where it stands above the mark now.")
    return ""


def label_of(setting: Setting, deed: str, name: str) -> str:
    """What a detail of the care log is called, with its unit."""
    match name:
        case "salt_g_per_l":
            return say("Salt, in g in a litre of water")
        case "lot":
            return say("Tin of cysts")
        case "volume_ml":
            return say("Counted in, in mL") if deed == "count" else say("Water they were set in, in mL")
        case "light":
            return say("In the light")
        case "to":
            return say("The water stood after it")
        case "above_ml":
            return say("Above the mark, in mL")
        case "food":
            return say("Which food")
        case "of_cysts":
            return say("Of how many cysts")
        case "with":
            return say("Measured with")
        case "water_c":
            return say("The water's temperature, in °{unit}", unit=setting.unit)
        case "scale_c":
            return say("Temperature printed on the scale, in °{unit}", unit=setting.unit)
        case "reference_c":
            return say("Its 1.000 is water of, in °{unit}", unit=setting.unit)
    return say("What was done")


def choice_words(name: str, value: str) -> str:
    """A detail's word as it stands in the list it is chosen from; what somebody wrote as it is."""
    return next((say(word) for key, word in _options(name) if key == value), clean(value))
