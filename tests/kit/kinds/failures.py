"""What goes wrong at a station, each once: when, where it can, and how and when it must be told."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from tests.kit.kinds import windows
from tests.kit.kinds.calendar import FRI, MON, SPRING, THU, TUE, WED, WINTER, Calendar
from tests.kit.kinds.routines import Event
from tests.kit.kinds.stations import Kind
from tests.kit.kinds.windows import HOUR_S, MINUTE_S, Scene, Window

_NEXT = MON + 7  # the second Monday
_Events = Callable[[Kind, Calendar], list[Event]]


@dataclass(frozen=True, slots=True)
class Failure:
    """A failure: `began` is its day and hour, `kinds` the letters that tell it, at most `most` in a day.

    `keeps` says which of the teacher's deeds are done all the same, `follows` which other letters are true
    because of it, `in_night` the words by which a nightly letter
    tells it in its headline. With `sun` (which of the kind's `sill_k`) it happens on a sunny sill in May.
    """

    name: str
    tell: str
    began: tuple[int, str]  # a cone, which holds no batch over the weekend: on Tuesday instead of Friday
    days: int
    kinds: tuple[str, ...]
    window: Callable[[Scene], Window]
    events: _Events
    applies: Callable[[Kind], bool] = lambda _kind: True
    keeps: Callable[[Kind, Event, int], bool] = lambda _kind, _event, _began: True
    most: int = 1
    sun: int | None = None
    in_subject: str = ""
    in_night: str = ""
    beat_s: int = 600
    follows: tuple[str, ...] = ()

    def began_on(self, kind: Kind) -> tuple[int, str]:
        """The day and hour on which it begins there."""
        day, clock = self.began
        return (TUE, clock) if day == FRI and not kind.weekend else (day, clock)

    @property
    def monday(self) -> date:
        """The Monday on which its story begins."""
        return WINTER if self.sun is None else SPRING

    @property
    def opens(self) -> str:
        """When its story begins: on the sill after the morning's sun, in which an empty cup grows hot."""
        return "08:00" if self.sun is None else "13:50"


def _of_room(*doings: tuple[int, str, str]) -> _Events:
    return lambda _kind, days: [{"at": days.moment(day, clock), "do": do} for day, clock, do in doings]


def _no_heating(kind: Kind, days: Calendar) -> list[Event]:
    off, on = ((FRI, "16:30"), (FRI + 3, "06:00")) if kind.weekend else ((TUE, "16:30"), (THU, "06:00"))
    return [{"at": days.moment(*off), "do": "heating-off"}, {"at": days.moment(*on), "do": "heating-on"}]


def _of_probe(*doings: tuple[int, str, str]) -> _Events:
    return lambda kind, days: [
        {"at": days.moment(day, clock), "do": do, "probe": kind.probe} for day, clock, do in doings
    ]


def _brine(kind: Kind, days: Calendar) -> list[Event]:
    """A sixth is poured out and filled up with brine of 100 g/L; the salt is measured thrice afterwards."""
    out_ml = {"cone": 400.0, "jar": 320.0}.get(kind.name, 45.0)
    return [
        {"at": days.moment(TUE, "10:00"), "do": "remove", "ml": out_ml, "vessel": kind.vessel},
        {"at": days.moment(TUE, "10:10"), "do": "top-up", "salt_g_per_l": 100.0, "vessel": kind.vessel},
        *(
            {"at": days.moment(*at), "do": "salinity", "with": "refractometer", "vessel": kind.vessel}
            for at in ((TUE, "12:00"), (TUE, "12:20"), (WED, "09:00"))
        ),
    ]


def _brine_recorded(kind: Kind, days: Calendar) -> list[Event]:
    poured = _brine(kind, days)[:2]
    filled: Event = {**poured[1], "do": "brine", "ml": poured[0]["ml"]}
    return [poured[0], filled]


def _six(kind: Kind) -> list[str]:
    return [f"cup-{number}" for number in range(1, 7)]


def _sunny(kind: Kind, days: Calendar) -> list[Event]:
    """Set after the morning's sun has gone, so that the first day's heat is nobody's fault."""
    vessels = _six(kind) if kind.name == "six cups" else [kind.vessel]
    poured = {"do": "set", "grams": 0.05 if kind.lamp and not kind.heated else 1.0, "salt_g_per_l": 25.0}
    return [
        {**poured, "at": days.moment(MON, "14:00"), "lot": "shelf", "vessel": v, "written": kind.recorded}
        for v in vessels
    ]


def _nothing(_kind: Kind, _event: Event, _began: int) -> bool:
    return False


def _no_fill(_kind: Kind, event: Event, began: int) -> bool:
    return event["do"] != "top-up" or int(event["at"].timestamp()) < began


def _recorded(kind: Kind) -> bool:
    return kind.recorded


def _lit(kind: Kind) -> bool:
    return kind.lamp


_ALL = (
    Failure(
        "heating off",
        "the boiler stops on Friday at 16:30, and runs again on Monday at six",
        (FRI, "16:30"),
        8,
        ("cold",),
        windows.cold,
        _no_heating,
        follows=("swing",),
    ),
    Failure(
        "heater fails",
        "the cone's own heater fails on Tuesday at 16:30",
        (TUE, "16:30"),
        4,
        ("cold",),
        windows.cold,
        _of_room((TUE, "16:30", "heater-off"), (THU, "08:20", "heater-on")),
        applies=lambda kind: kind.heated,
    ),
    Failure(
        "lamp fails",
        "its plug is pulled on Tuesday at ten, and put in on Thursday at 08:20",
        (TUE, "10:00"),
        4,
        ("lamp",),
        windows.lamp_dark,
        _of_room((TUE, "10:00", "lamp-off"), (THU, "08:20", "lamp-on")),
        applies=_lit,
    ),
    Failure(
        "lamp stays on",
        "its timer sticks on Tuesday evening, and is freed on Thursday at 10:40",
        (WED, "07:00"),
        4,
        ("lamp",),
        windows.within(0, 4 * HOUR_S),
        _of_room((TUE, "20:00", "lamp-stays-on"), (THU, "10:40", "lamp-on")),
        applies=_lit,
    ),
    Failure(
        "probe unplugged",
        "on Tuesday at 16:00, and plugged in on Thursday at 08:20",
        (TUE, "16:00"),
        4,
        ("probe",),
        windows.probe_gone,
        _of_probe((TUE, "16:00", "probe-unplugged"), (THU, "08:20", "probe-back")),
    ),
    Failure(
        "probe in the air",
        "it slips out of the water on Tuesday at 16:00, and nobody puts it back",
        (TUE, "16:00"),
        3,
        ("probe",),
        windows.within(0, 24 * HOUR_S),
        _of_probe((TUE, "16:00", "probe-in-air")),
        beat_s=60,  # read seldom, a change has no shape
    ),
    Failure(
        "station off",
        "from Tuesday 20:30 to Wednesday 05:30",
        (WED, "05:30"),
        4,
        ("outage",),
        windows.within(0, HOUR_S),
        _of_room((TUE, "20:30", "station-off"), (WED, "05:30", "station-on")),
    ),
    Failure(
        "water forgotten",
        "in the second week nobody fills up",
        (_NEXT, "08:40"),
        12,
        ("water",),
        windows.low_water,
        _of_room(),
        in_night="water to fill up",
        applies=lambda kind: kind.recorded and kind.weekend,
        keeps=_no_fill,
    ),
    Failure(
        "brine, recorded",
        "a sixth is replaced by brine of 100 g/L on Tuesday at 10:10, and that is what is written down",
        (TUE, "10:10"),
        4,
        ("water",),
        windows.within(30 * MINUTE_S, 100 * MINUTE_S),
        _brine_recorded,
        applies=_recorded,
    ),
    Failure(
        "brine, not recorded",
        "the same written down as plain water; the salt is measured at noon, twice, and on Wednesday at nine",
        (TUE, "12:00"),
        4,
        ("water",),
        windows.within(30 * MINUTE_S, 23 * HOUR_S),
        _brine,
        applies=_recorded,
    ),
    Failure(
        "clock wrong",
        "the power fails on Tuesday at ten, and until Wednesday 10:30 the clock is 9.5 hours behind",
        (WED, "10:30"),
        4,
        ("outage", "clock"),
        windows.within(-MINUTE_S, 15 * MINUTE_S),
        lambda _kind, days: [
            {"at": days.moment(TUE, "21:40"), "do": "network-down"},
            {"at": days.moment(TUE, "22:00"), "do": "station-off"},
            {"at": days.moment(WED, "07:30"), "do": "station-on"},
            {"at": days.moment(WED, "07:30"), "do": "clock-wrong", "by_h": -9.48},
            {"at": days.moment(WED, "10:30"), "do": "network-up"},
            {"at": days.moment(WED, "10:30"), "do": "clock-right"},
        ],
    ),
    Failure(
        "card full",
        "from Tuesday 23:30 to Wednesday 11:00",
        (TUE, "23:30"),
        4,
        ("storage",),
        windows.morning,
        _of_room((TUE, "23:30", "card-full"), (WED, "11:00", "card-emptied")),
    ),
    Failure(
        "heat",
        "cups on a sill that the sun reaches in the morning; warmer than 30 °C, not than 33",
        (MON, "20:00"),
        2,
        ("hot",),
        windows.hot,
        _sunny,
        keeps=_nothing,
        follows=("swing", "water"),
        sun=0,
        beat_s=60,
    ),
    Failure(
        "heat over 33 °C",
        "the same with more sun",
        (MON, "20:00"),
        2,
        ("hot",),
        windows.urgent,
        _sunny,
        keeps=_nothing,
        most=2,
        follows=("swing", "water"),
        sun=1,
        beat_s=60,
        in_subject="Hot: 3",
    ),
)
FAILURES = {failure.name: failure for failure in _ALL}
