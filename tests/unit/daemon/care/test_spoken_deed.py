"""A deed as a person says it to the command, in the words of the care log, or refused with a line a fault."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.deed import KINDS
from daemon.care.log import deed_from_fields
from daemon.care.spoken_deed import fields_of
from daemon.errors import InputError
from tests.kit.station import station

ROOM = station()


def said(deed: str, *amount: str, unit: str | None = None, detail: str = "") -> dict[str, str | None]:
    return fields_of(ROOM, "cup", deed, amount, unit, detail)


def refused(deed: str, *amount: str, detail: str = "") -> tuple[str, ...]:
    with pytest.raises(InputError) as refusal:
        said(deed, *amount, detail=detail)
    return tuple(refusal.value.faults)


def test_grams_a_litre_are_of_the_volume_that_is_given_or_else_of_the_mark() -> None:
    assert said("set", "0,2", "g/L")["amount"] == "0.05"
    assert said("set", "0.2 g/L", detail="volume_ml=200")["amount"] == "0.04"
    assert said("set", "0.2 g/L", detail="salt_g_per_l=25; volume_ml = 200,0 ")["amount"] == "0.04"


@pytest.mark.parametrize("volume", ["inf", "nan", "1e400", "much", ""])
def test_a_volume_that_is_none_is_refused_as_such(volume: str) -> None:
    (line,) = refused("set", "0.2 g/L", detail=f"volume_ml={volume}")
    assert line.startswith("detail volume_ml: found ")


def test_a_comma_is_a_decimal_in_numbers_and_stays_in_words() -> None:
    assert said("set", "0.05", detail="salt_g_per_l=25,5;lot=1,5")["detail"] == "salt_g_per_l=25.5;lot=1,5"
    assert said("note", detail="text=1,5 is odd; volume_ml=1,5")["detail"] == "text=1,5 is odd; volume_ml=1,5"


def test_a_fault_shows_what_was_said_and_all_faults_are_told_together() -> None:
    assert refused("top-up", "3", "l", detail="to=brim") == (
        "amount: found '3 l'; allowed: 0 to 500 ml (of one cup: twice its mark at most)",
        "detail to: found 'brim'; allowed: mark",
    )


@given(
    st.sampled_from(sorted(KINDS)),
    st.lists(
        st.one_of(st.text(max_size=8), st.sampled_from(["1", "½", "tsp", "1,5", "%", "sg"])), max_size=3
    ),
    st.one_of(st.none(), st.sampled_from(["ml", "tsp", "g", "%", "sg", ""])),
    st.one_of(
        st.text(max_size=20), st.sampled_from(["to=mark", "volume_ml=1e99", "water_c=24,5;with=hydrometer"])
    ),
)
def test_whatever_is_said_is_a_deed_of_the_log_or_a_line_a_fault(
    deed: str, amount: list[str], unit: str | None, detail: str
) -> None:
    try:
        fields = fields_of(ROOM, "cup", deed, amount, unit, detail)
    except InputError as refusal:
        for line in refusal.faults:
            assert "; allowed" in line
            assert "\n" not in line
    else:
        kept = (fields["deed"] or "", fields["amount"], fields["unit"] or "", fields["detail"] or "")
        assert deed_from_fields(0, "cup", *kept, ROOM).deed == deed
