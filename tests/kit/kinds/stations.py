"""The kinds of stations that people build, each with its room, its true physics and its teacher's weeks."""

from dataclasses import dataclass

from daemon.play.world.cup import CupPhysics
from tests.kit.kinds.calendar import FRI, MON
from tests.kit.kinds.routines import Batch, Routine, drawn_off, kept, unrecorded

SIX = tuple(f"cup-{number}" for number in range(1, 7))
_THIRD, _FOURTH = 14, 21  # weeks, by their Monday


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of station. `vessel` is the one that something happens to, `probe` its water probe; `lamp`,
    `heated` and `recorded` say what there is to fail."""

    name: str
    title: str
    vessels: str
    probes: tuple[tuple[str, str], ...]
    cup: CupPhysics
    routine: Routine
    vessel: str
    probe: str
    weekend: bool = True  # whether a batch runs over it
    lamp: bool = True
    heated: bool = False
    recorded: bool = True
    sill_k: tuple[float, float] = (2.6, 4.0)  # K per 100 W/m² of sun that take it over 30 °C, and over 33

    def station_text(self, beat_s: int) -> str:
        """The station file."""
        probes = "".join(
            f'[[probe]]\nid = "{name}"\nmeasures = "{measures}"\ndriver = "rehearsal"\n\n'
            for name, measures in self.probes
        )
        return (
            f'[station]\nname = "Room 40"\ntimezone = "Europe/Lisbon"\nattended = ["Mon-Fri 08:00-15:30"]\n'
            f"sample_every_s = {beat_s}\n\n{probes}{self.vessels}"
        )


def _vessel(name: str, probes: tuple[str, ...], *lines: str) -> str:
    hung = ", ".join(f'"{probe}"' for probe in probes)
    return "\n".join([f'[[vessel]]\nid = "{name}"', *lines, f"probes = [{hung}]", "", ""])


_SHAPE = ("mark_ml = 250.0", "surface_cm2 = 38.5", "brim_ml = 30.0", "cold_c = 16.0")
_CUP = (*_SHAPE, "low_ml = 30.0")
# Of six, one is believed low a day early sooner or later: there is room for that.
_ROOMY_CUP = (*_SHAPE, "low_ml = 35.0")
_LIT = ('lamp = ["18:00-07:00"]',)
_SALT = ("salinity_high_g_per_kg = 34.0",)
_TRAY_PROBES = (("tray-water", "water_c"), ("tray-light", "light_lux"), ("room", "room_c"))

TRAY = Kind(
    name="tray",
    title="A tray of 24 cups with a lamp and a probe for the room",
    vessels=_vessel("tray", tuple(n for n, _ in _TRAY_PROBES), "count = 24", *_CUP, *_LIT, *_SALT),
    probes=_TRAY_PROBES,
    cup=CupPhysics(lamp_w=0.8),
    routine=kept([Batch("tray", MON, _THIRD + FRI), Batch("tray", _FOURTH)], 0.05, 0.0025),
    vessel="tray",
    probe="tray-water",
    sill_k=(3.0, 4.5),
)
JAR = Kind(
    name="jar",
    title="A jar of 1.8 L without a lamp, with nothing but its water probe",
    vessels=_vessel(
        "jar",
        ("jar-water",),
        'kind = "jar"',
        "mark_ml = 1800.0",
        "surface_cm2 = 113.0",
        "low_ml = 55.0",
        "brim_ml = 100.0",
        "cold_c = 16.0",
        *_SALT,
    ),
    probes=(("jar-water", "water_c"),),
    cup=CupPhysics(sides_w_per_k=0.45, glass_j_per_k=500, tap_c=19),
    routine=kept([Batch("jar", MON)], 0.4, 0.02),
    vessel="jar",
    probe="jar-water",
    lamp=False,
    sill_k=(6.7, 10.0),
)
CONE = Kind(
    name="cone",
    title="A cone of 2 L with heater and air, drawn off and set anew",
    vessels=_vessel(
        "cone",
        ("cone-water", "cone-light"),
        'kind = "cone"',
        "mark_ml = 2000.0",
        "surface_cm2 = 150.0",
        "low_ml = 200.0",
        "brim_ml = 150.0",
        "cold_c = 20.0",
        'watch = "batch"',
        "heater_c = 27.0",
        "air_l_per_min = 1.0",
        *_LIT,
        *_SALT,
    ),
    probes=(("cone-water", "water_c"), ("cone-light", "light_lux")),
    cup=CupPhysics(
        sides_w_per_k=0.5,
        glass_j_per_k=450,
        lamp_w=1.5,
        tap_c=21,
        heater_w=50,
        heater_c=27,
        heater_band_k=0.4,
        air_l_per_min=1.0,
    ),
    routine=drawn_off("cone", 2.0, 1800),
    vessel="cone",
    probe="cone-water",
    weekend=False,
    heated=True,
    sill_k=(4.7, 7.0),
)
NO_BATCH = Kind(
    name="no batch",
    title="The tray again, of which nothing is ever recorded",
    vessels=TRAY.vessels,
    probes=_TRAY_PROBES,
    cup=TRAY.cup,
    routine=unrecorded("tray"),
    vessel="tray",
    probe="tray-water",
    recorded=False,
)
SIX_CUPS = Kind(
    name="six cups",
    title="Six cups, each with its water probe, that share the probes for light and room",
    vessels="".join(
        _vessel(
            cup,
            (f"{cup}-water", "light", "room"),
            *_ROOMY_CUP,
            *_LIT,
            *_SALT,
        )
        for cup in SIX
    ),
    probes=(*((f"{cup}-water", "water_c") for cup in SIX), ("light", "light_lux"), ("room", "room_c")),
    cup=CupPhysics(lamp_w=0.8),
    routine=kept(
        [Batch(cup, MON, _THIRD + FRI if cup in SIX[:2] else None) for cup in SIX]
        + [Batch(cup, _FOURTH) for cup in SIX[:2]],
        0.05,
        0.0025,
    ),
    vessel=SIX[2],
    probe=f"{SIX[2]}-water",
)
KINDS = {kind.name: kind for kind in (TRAY, JAR, CONE, NO_BATCH, SIX_CUPS)}
