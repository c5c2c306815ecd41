"""The station file: read, checked, every fault said at once."""

from daemon.config.station_file import parse_station, read_station

__all__ = ["parse_station", "read_station"]
