"""A tin's name in another spelling."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from daemon.care.tin_name import tin_like, tin_question

KNOWN = ("tin C", "spring tin", "old <tin>")


@pytest.mark.parametrize(
    ("name", "like"),
    [
        ("tin c", "tin C"),
        ("TIN  C", "tin C"),
        ("tin CC", "tin C"),
        ("sprong tin", "spring tin"),
        ("TIN-c", "tin C"),
        ("tinc", "tin C"),
        ("tin B", None),
        ("tin 2", None),
        ("tin C", None),
        ("harbour", None),
        ("", None),
    ],
)
def test_another_spelling_is_asked_about_and_another_name_is_not(name: str, like: str | None) -> None:
    assert tin_like(name, KNOWN) == like
    question = None if like is None else f"No tin was called {name} before: did you mean {like}?"
    assert tin_question(name, KNOWN) == question


@given(st.text(max_size=80), st.lists(st.text(max_size=80), max_size=5))
def test_any_names_are_compared_and_a_known_one_is_never_asked_about(name: str, known: list[str]) -> None:
    assert tin_like(name, known) in {None, *known}
    assert tin_like(name, [*known, name]) is None
