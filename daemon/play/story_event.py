"""What can happen in a story: every doing with its keys, and the event itself."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from daemon.config.checks import (
    ABSENT,
    Check,
    Key,
    fault,
    identifier,
    number,
    one_of,
    read_table,
    text,
    yes_no,
)
from daemon.input.file import shown
from daemon.letter_kinds import LETTER_KINDS
from daemon.play.story_values import moment


@dataclass(frozen=True, slots=True)
class StoryEvent:
    """Something that happens: `do` with its own values, perhaps only after a letter of a kind.

    `vessels` are those it happens to (one for a person's deed, perhaps several for a lamp), `within_s`
    how old the letter may be. `written_at` is the wrong time that stands in the care log (None: the right
    one); what is not `written` is done and no entry made of it.
    """

    at: int
    do: str
    vessels: tuple[str, ...]
    probe: str | None
    if_letter: str | None
    within_s: int
    values: Mapping[str, float | bool | str]
    written_at: int | None = None
    written: bool = True


@dataclass(frozen=True, slots=True)
class Doing:
    """Something that can happen in a story: who it happens to, and its own keys."""

    of: str  # "vessel", "device" (of a vessel, or of all), "probe", "room" or "station"
    keys: Mapping[str, Key] = field(default_factory=dict)


def _ml(low: float = 0.5) -> Check:
    return number(low, 100_000, "mL")


_SALT = number(0, 300, "g/L")
_BY_S, _BY_H = number(-1e9, 1e9, "seconds"), number(-300_000, 300_000, "hours")

DOINGS: dict[str, Doing] = {
    "heating-off": Doing("room"),
    "heating-on": Doing("room"),
    "window-open": Doing("room"),
    "window-shut": Doing("room"),
    "fan-on": Doing("room"),
    "fan-off": Doing("room"),
    "sky-overcast": Doing("room"),
    "sky-clear": Doing("room"),
    "lamp-off": Doing("device"),
    "lamp-on": Doing("device"),
    "lamp-stays-on": Doing("device"),
    "heater-off": Doing("device"),
    "heater-on": Doing("device"),
    "probe-unplugged": Doing("probe"),
    "probe-stuck": Doing("probe"),
    "probe-in-air": Doing("probe"),
    "probe-back": Doing("probe"),
    "station-off": Doing("station"),
    "station-on": Doing("station"),
    "clock-wrong": Doing("station", {"by_s": Key(_BY_S, ABSENT), "by_h": Key(_BY_H, ABSENT)}),
    "clock-right": Doing("station"),
    "network-down": Doing("station"),
    "network-up": Doing("station"),
    "card-full": Doing("station"),
    "card-emptied": Doing("station"),
    "set": Doing(
        "vessel",
        {
            "grams": Key(number(0.0001, 1000, "g")),
            "salt_g_per_l": Key(_SALT),
            "lot": Key(text(60)),
            "light": Key(yes_no, True),
        },
    ),
    "top-up": Doing(
        "vessel",
        {
            "ml": Key(_ml(), ABSENT),
            "above_ml": Key(number(0, 10_000, "mL"), ABSENT),
            "as_letter_asks": Key(yes_no, False),
            "salt_g_per_l": Key(_SALT, 0.0),
        },
    ),
    "brine": Doing("vessel", {"ml": Key(_ml()), "salt_g_per_l": Key(_SALT)}),
    "remove": Doing("vessel", {"ml": Key(_ml())}),
    "harvest": Doing("vessel", {"ml": Key(_ml())}),
    "cover": Doing("vessel", {"on": Key(yes_no)}),
    "stir": Doing("vessel"),
    "feed": Doing(
        "vessel",
        {"grams": Key(number(0.0001, 100, "g")), "food": Key(one_of("yeast", "spirulina", "other"), "yeast")},
    ),
    "look": Doing("vessel"),
    "count": Doing("vessel", {"volume_ml": Key(number(0.01, 1000, "mL"))}),
    "salinity": Doing("vessel", {"with": Key(one_of("hydrometer", "refractometer"), "hydrometer")}),
    "note": Doing("vessel", {"text": Key(text(400))}),
    "end": Doing("vessel"),
}


def event_keys(doing: Doing) -> dict[str, Key]:
    """All keys an event of that doing may hold, `at` and `do` among them."""
    keys = {"at": Key(moment), "do": Key(one_of(*DOINGS))}
    if doing.of in ("vessel", "device"):
        keys["vessel"] = Key(identifier, ABSENT)
    if doing.of == "vessel":
        keys["written_at"] = Key(moment, ABSENT)
        keys["written"] = Key(yes_no, True)
    if doing.of == "probe":
        keys["probe"] = Key(identifier)
    if doing.of != "station":  # when the station or the network fails does not hang on its letters
        keys["if_letter"] = Key(one_of(*LETTER_KINDS), ABSENT)
        keys["within_h"] = Key(number(0.1, 1000, "hours"), 48.0)
    return keys | dict(doing.keys)


@dataclass(frozen=True, slots=True)
class EventReading:
    """Reads events of a station's vessels and probes (None: unknown) inside a story's times."""

    vessels: tuple[str, ...] | None
    probes: tuple[str, ...] | None
    times: tuple[int, int] | None
    faults: list[str]

    def event(self, raw: object, path: str) -> StoryEvent | None:
        """The event of one table, or None where it has faults."""
        before = len(self.faults)
        do = raw.get("do") if isinstance(raw, dict) else None
        doing = DOINGS.get(do) if isinstance(do, str) else None
        if doing is None:
            read_table(raw, {"do": Key(one_of(*DOINGS))} if isinstance(raw, dict) else {}, path, self.faults)
            return None
        values = read_table(raw, event_keys(doing), path, self.faults)
        vessels = self._vessels(doing, values.get("vessel"), path)
        self._check(values, path)
        if len(self.faults) > before:
            return None
        own = {key: value for key, value in values.items() if key in doing.keys}
        within_s = round(values.get("within_h", 0) * 3600)
        return StoryEvent(
            values["at"],
            values["do"],
            vessels,
            values.get("probe"),
            values.get("if_letter"),
            within_s,
            own,
            values.get("written_at"),
            values.get("written", True),
        )

    def _vessels(self, doing: Doing, given: str | None, path: str) -> tuple[str, ...]:
        if doing.of not in ("vessel", "device") or self.vessels is None:
            return ()
        if given is None and (doing.of == "device" or len(self.vessels) == 1):
            return self.vessels
        if given in self.vessels:
            return (given,)
        self.faults.append(
            fault(f"{path}.vessel", shown(given) if given else "nothing", ", ".join(self.vessels))
        )
        return ()

    def _check(self, values: dict[str, Any], path: str) -> None:
        probe, at = values.get("probe"), values.get("at")
        if probe is not None and self.probes is not None and probe not in self.probes:
            self.faults.append(fault(f"{path}.probe", shown(probe), ", ".join(self.probes)))
        if at is not None and self.times is not None and not self.times[0] <= at <= self.times[1]:
            self.faults.append(
                fault(f"{path}.at", "a time outside the story", "from story.begins to story.ends")
            )
        if values.get("do") == "clock-wrong" and ("by_s" in values) is ("by_h" in values):
            found = "both by_s and by_h" if "by_s" in values else "neither by_s nor by_h"
            self.faults.append(fault(path, found, "one of them: by how much the clock is ahead"))
        if at is not None and values.get("written_at", at) > at:
            self.faults.append(fault(f"{path}.written_at", "a time after at", "at, or earlier"))
        if values.get("as_letter_asks") and "if_letter" not in values:
            self.faults.append(fault(f"{path}.as_letter_asks", "true without if_letter", "both, or neither"))
        if "ml" in values and ("above_ml" in values or values.get("as_letter_asks")):
            self.faults.append(fault(f"{path}.ml", "ml beside above_ml or as_letter_asks", "one of them"))
