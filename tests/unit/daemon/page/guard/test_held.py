"""What was filled into a form on its way through the form for the PIN."""

from hypothesis import given
from hypothesis import strategies as st

from daemon.page.guard.held import MOST_CHARACTERS, packed, unpacked

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
NAMES = TEXT.filter(lambda name: name != "form_token" and not name.endswith(("pin", "password")))


@given(st.lists(st.tuples(NAMES, TEXT), min_size=1, max_size=30))
def test_what_was_filled_in_comes_back_as_it_was(fields: list[tuple[str, str]]) -> None:
    text = packed(fields, "form_token")
    assert len(text) <= MOST_CHARACTERS
    if text:
        assert sorted(unpacked(text).items(multi=True)) == sorted(fields)


def test_the_sessions_token_and_secrets_stay_behind() -> None:
    fields = [("form_token", "x"), ("pin", "735164"), ("smtp_password", "y"), ("amount", "18")]
    assert packed(fields, "form_token") == "amount=18"


def test_what_is_too_much_is_left_behind_whole() -> None:
    assert packed([("text", "x" * MOST_CHARACTERS)], "form_token") == ""
    assert not unpacked("text=" + "x" * MOST_CHARACTERS)
    assert not unpacked("&".join(f"f{n}=x" for n in range(201)))


@given(st.text(max_size=300))
def test_whatever_comes_in_its_place_is_read_or_passed_over(text: str) -> None:
    unpacked(text)
