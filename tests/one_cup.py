"""One cup as a station file tells it: 250 mL to the mark, 40 cm² of water, the rim a centimetre above it."""

from daemon.config import parse_station

CUP = parse_station(
    """
[station]
name = "Room 7"
timezone = "UTC"
[[probe]]
id = "water"
measures = "water_c"
driver = "rehearsal"
[[vessel]]
id = "tray"
mark_ml = 250.0
surface_cm2 = 40.0
low_ml = 40.0
probes = ["water"]
""",
    "station.toml",
).vessels[0]
