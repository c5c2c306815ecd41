"""A hydrometer by what is printed on it."""

import pytest

from daemon.planning.printed_scale import printed_scale
from daemon.science.hydrometer import Scale


@pytest.mark.parametrize(
    ("printed", "scale"),
    [
        ("25/20", Scale("specific-gravity", 25.0, 20.0)),
        (" 15,5 / 15.5 °C ", Scale("specific-gravity", 15.5, 15.5)),
        ("60/60", Scale("specific-gravity", (60.0 - 32.0) / 1.8, (60.0 - 32.0) / 1.8)),
        ("68 / 68°f", Scale("specific-gravity", 20.0, 20.0)),
        ("77/77", Scale("specific-gravity", 25.0, 25.0)),
        ("g/mL 20", Scale("density-g-per-ml", 20.0, 20.0)),
        ("G/KG@25 c", Scale("salinity-g-per-kg", 25.0, 25.0)),
    ],
)
def test_what_is_printed_is_understood(printed: str, scale: Scale) -> None:
    assert printed_scale(printed) == scale


@pytest.mark.parametrize(
    "printed", ["", "25", "25/", "60/20", "120/60", "g/kg", "1.025", "25/20/15", "٢٥/٢٠"]
)
def test_what_is_none_is_refused(printed: str) -> None:
    with pytest.raises(ValueError, match=r"allowed|25/20"):
        printed_scale(printed)
