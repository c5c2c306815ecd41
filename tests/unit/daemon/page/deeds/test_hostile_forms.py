"""Forms as nobody fills them: long, in any script, with markup, of the future. One line, nothing half."""

import html
import re
import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from reports.page.doing.choices import CHOICES
from tests.kit.hostile.words import NASTY
from tests.kit.listening_desks import NOW, Listening, Phone, leave_a_day, listening, page_of, shelf_text

WORDS = st.one_of(
    st.text(max_size=40),
    st.sampled_from(NASTY),
    st.floats(width=32).map(str),
    st.text(st.characters(), min_size=60, max_size=3000),
)
TIMES = st.one_of(
    WORDS,
    st.integers(-(10**13), 10**13).map(str),
    st.integers(NOW - 10**9, NOW + 10**9).map(str),
    st.datetimes().map(lambda at: at.isoformat(timespec="minutes")),
)
FIELDS = ("amount", "text", "lot", "salt_g_per_l", "volume_ml", "light", "to", "above_ml", "food", "of_cysts")
MORE = ("with", "water_c", "scale_c", "reference_c", "vessel", "deed", "detail", "amount:tray")
FORMS = st.fixed_dictionaries(
    {},
    optional={
        **dict.fromkeys((*FIELDS, *MORE), WORDS),
        **dict.fromkeys(("when", "at", "reading"), TIMES),
        "once": WORDS,
        "also": st.one_of(WORDS, st.just("tray")),
    },
)


@pytest.fixture(scope="module")
def daemon(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Listening]:
    folder = tmp_path_factory.mktemp("left")
    leave_a_day(folder, shelf_text(lots=True))
    with listening(shutil.copytree(folder, tmp_path_factory.mktemp("hostile") / "state")) as made:
        yield made


@pytest.fixture(scope="module")
def page(daemon: Listening) -> Phone:
    return page_of(daemon.state)


def sent_as_bytes(form: dict[str, str]) -> dict[str, bytes]:
    """Halves of characters too, as a program may send them."""
    return {name: value.encode("utf-8", "surrogatepass") for name, value in form.items()}


def held(answer: Any, before: list[Any], after: list[Any]) -> None:
    """Taken whole, or refused in one line with nothing kept; what was sent is never code."""
    shown = answer.get_data(as_text=True)
    assert "<script" not in shown
    if answer.status_code == 303:
        assert 0 <= len(after) - len(before) <= 4  # of two vessels, and brine to the mark is two
        return
    assert answer.status_code in (400, 404, 422)
    assert after == before
    assert shown.count('role="alert"') == 1
    line = re.search(r'role="alert">([^<]*)<', shown)
    assert line
    assert "\n" not in html.unescape(line[1]).strip()
    assert len(html.unescape(line[1])) < 400
    for fault in re.findall(r'class="wrong"[^>]*>([^<]*)<', shown):
        assert 0 < len(html.unescape(fault)) < 400


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(choice=st.sampled_from(sorted(CHOICES)), form=FORMS, keyed=st.booleans())
def test_a_form_is_taken_whole_or_refused_in_a_line(
    daemon: Listening, page: Phone, choice: str, form: dict[str, str], keyed: bool
) -> None:
    if keyed:
        form = {**form, "once": page.key_on(f"/do/cup/{choice}")}
    before = daemon.rows()
    answer = page.post(f"/do/cup/{choice}", data=sent_as_bytes(form))
    held(answer, before, daemon.rows())


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(form=FORMS, keyed=st.booleans())
def test_an_entry_is_changed_whole_or_left(
    daemon: Listening, page: Phone, form: dict[str, str], keyed: bool
) -> None:
    address = "/do/cup/top-up"
    noted = page.post(address, data={"once": page.key_on(address), "amount": "3"})
    entry = noted.location.rpartition("/")[2]
    if keyed:
        form = {**form, "once": page.key_on(f"/deed/{entry}")}
    before = daemon.rows()
    answer = page.post(f"/deed/{entry}", data=sent_as_bytes(form))
    held(answer, before, daemon.rows())


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(vessel=st.text(min_size=1, max_size=50), choice=st.text(max_size=50), ids=st.text(max_size=50))
def test_no_address_brings_the_page_down(
    daemon: Listening, page: Phone, vessel: str, choice: str, ids: str
) -> None:
    before = daemon.rows()
    for address in (
        f"/do/{vessel}",
        f"/do/{vessel}/{choice}",
        f"/done/{ids}",
        f"/deed/{ids}",
        f"/done/{ids}/back",
    ):
        for ask in (page.get, page.post):
            assert ask(address).status_code in (200, 303, 308, 400, 404, 405, 422)
    assert daemon.rows() == before


MARKUP = '"><script>alert(1)</script><img src=x onerror=alert(1)>'


@pytest.mark.parametrize("name", [*FIELDS, "with", "water_c", "when", "at", "reading", "also", "once"])
@pytest.mark.parametrize("choice", ["set", "top-up", "feed", "count", "salt", "note"])
def test_markup_in_any_field_is_shown_as_what_it_is(
    daemon: Listening, page: Phone, choice: str, name: str
) -> None:
    address = f"/do/cup/{choice}"
    form = {"once": page.key_on(address), "amount": "1", "text": "a", name: MARKUP}
    answer = page.post(address, data=form)
    if answer.status_code == 303:
        answer = page.get(answer.location)
    shown = answer.get_data(as_text=True)
    assert "<script" not in shown
    assert "<img" not in shown


def test_a_form_of_megabytes_is_refused_in_a_line(daemon: Listening, page: Phone) -> None:
    before = daemon.rows()
    answer = page.post("/do/cup/note", data={"text": "x" * 2**21})
    assert answer.status_code == 413
    assert daemon.rows() == before


def test_a_thousand_fields_are_refused_or_passed_over(daemon: Listening, page: Phone) -> None:
    before = daemon.rows()
    form: dict[str, Any] = {f"also{n}": "x" for n in range(90)}
    answer = page.post("/do/cup/stir", data={**form, "also": ["cup"] * 90})
    assert answer.status_code == 422
    assert daemon.rows() == before
