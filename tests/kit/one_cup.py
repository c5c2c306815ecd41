"""One cup as a station file has it: 250 mL to the mark, 40 cm² of water, the rim a centimetre above it."""

from tests.kit.station import probe, station, vessel

CUP = station(probe("water"), vessel("tray", "water", surface_cm2=40.0)).vessels[0]
