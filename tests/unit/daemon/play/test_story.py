"""Told weekends: every shipped story loads, plays to its end and is believable; a faulty one says where."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, fields, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from daemon.care.deed import KINDS, Deed
from daemon.errors import InputError
from daemon.play.story import Story, check
from daemon.play.story_event import DOINGS
from daemon.play.story_file import parse_story, read_story, story_names
from daemon.play.story_world import Heard, StoryWorld
from daemon.play.world.cup import CupPhysics
from daemon.play.world.cysts import CystPhysics
from daemon.play.world.person import PersonPhysics
from daemon.play.world.room import RoomPhysics
from daemon.play.world.sky import SkyPhysics
from sensors.reading import BELIEVABLE, Measure, Quality, Reading
from tests.kit.checkout import REFERENCE
from tests.kit.telling import WEEKENDS

PAGE = REFERENCE / "story.md"
EXAMPLE = re.findall(r"```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)[0]
HOUR_S = 3600


def told(extra: str = "", *, without: str = "") -> Story:
    return parse_story(EXAMPLE.replace(without, "") + extra, "trial.toml", Path())


def event(do: str, hours: float, keys: str = "") -> str:
    at = datetime.fromisoformat("2027-02-03T08:00:00+00:00") + timedelta(hours=hours)
    return f'\n[[event]]\nat = {at.isoformat()}\ndo = "{do}"\n{keys}\n'


@dataclass(frozen=True)
class Played:
    world: StoryWorld
    readings: list[Reading]
    deeds: list[Deed]

    def of(self, probe: str) -> list[Reading]:
        return [reading for reading in self.readings if reading.probe == probe]


def play(story: Story, letters: Iterable[Heard] = (), every_s: int = 60) -> Played:
    world, readings, deeds = StoryWorld(story), [], []
    bench, posted = world.bench(), list(letters)
    for at in range(story.begins, story.ends + 1, every_s):
        deeds += world.deeds(at, [letter for letter in posted if letter.at <= at])
        readings += bench.sample(at)
    return Played(world, readings, deeds)


def obliging(story: Story) -> list[Heard]:
    """The letters that the story's events wait for, each ten minutes before."""
    return [Heard(e.at - 600, e.if_letter) for e in story.events if e.if_letter is not None]


def at_local(story: Story, text: str) -> int:
    return int(datetime.fromisoformat(text).replace(tzinfo=story.station.timezone).timestamp())


PLAIN = tuple(name for name in story_names() if name.startswith("trust-") or name in WEEKENDS)


@pytest.mark.parametrize("name", PLAIN)
def test_a_story_of_a_plain_batch_plays_to_its_end_with_believable_values(name: str) -> None:
    story = read_story(name)
    played = play(story, obliging(story))
    minutes = (story.ends - story.begins) // 60 + 1
    assert len(played.readings) == minutes * len(story.station.probes)
    good = [reading for reading in played.readings if reading.good]
    assert len(good) > 0.99 * len(played.readings)
    for plan in story.station.probes:
        values = [reading.value for reading in good if reading.probe == plan.id]
        low, high = BELIEVABLE[plan.measures]
        assert all(value is not None and low <= value <= high for value in values)
        if plan.measures in (Measure.WATER_C, Measure.ROOM_C):
            assert all(value is not None and 8 < value < 35 for value in values)
    for truth in played.world.truth(story.ends).values():
        assert 20 < truth.salinity_g_per_kg < 35
        assert truth.hatched_fraction is not None
        assert truth.hatched_fraction > 0.95


@pytest.mark.parametrize("name", story_names())
def test_a_story_gives_the_same_readings_and_deeds_every_time(name: str) -> None:
    story = read_story(name)
    story = replace(story, ends=min(story.ends, story.begins + 3 * 86_400))
    story = replace(story, events=tuple(event for event in story.events if event.at <= story.ends))
    first, second = (play(story, every_s=600) for _ in range(2))
    assert first.readings == second.readings
    assert first.deeds == second.deeds


def test_another_seed_is_another_weather_and_another_hand() -> None:
    one, two = (
        parse_story(EXAMPLE.replace("seed = 7", seed), "t", Path()) for seed in ("seed = 7", "seed = 8")
    )
    assert play(one, every_s=600).readings != play(two, every_s=600).readings


def test_a_reading_does_not_depend_on_what_was_read_before() -> None:
    often = {r.at: r.value for r in play(told(), every_s=60).readings}
    seldom = {r.at: r.value for r in play(told(), every_s=420).readings}
    assert seldom.items() <= often.items()


def test_the_default_story_is_the_weekend_it_tells() -> None:
    story = read_story("long-weekend")
    played = play(story, obliging(story))
    room = {r.at: r.value for r in played.of("room-air") if r.value is not None}
    assert room[at_local(story, "2027-01-21T12:00")] == pytest.approx(21, abs=0.7)
    assert room[at_local(story, "2027-01-22T04:00")] == pytest.approx(17.5, abs=0.7)
    assert 12 < room[at_local(story, "2027-01-23T11:00")] < 15.5
    light = {r.at: r.value for r in played.of("tray-light") if r.value is not None}
    assert light[at_local(story, "2027-01-22T22:00")] > 1000
    assert light[at_local(story, "2027-01-23T22:00")] < 10
    outcome = played.world.outcome()["tray-a"]
    assert outcome.hatch_t10 is not None
    assert outcome.hatch_t90 is not None
    friday, monday = at_local(story, "2027-01-22T15:30"), at_local(story, "2027-01-25T08:00")
    assert friday < outcome.hatch_t10 < outcome.hatch_t90 < monday
    lit = list(range(at_local(story, "2027-01-22T01:00"), friday, HOUR_S))[:6]
    lifts = [played.world.truth(at)["tray-a"].water_c - room[at] for at in lit if at in room]
    assert all(3 < lift < 5 for lift in lifts)
    deeds = [(deed.deed, deed.detail.get("to")) for deed in played.deeds]
    assert deeds == [("set", None), ("top-up", "mark"), ("hatched", None), ("top-up", "mark")]


def test_the_caretaker_only_comes_when_a_letter_asked() -> None:
    story = read_story("long-weekend")
    warned, unwarned = play(story, obliging(story), 600), play(story, (), 600)
    sunday = at_local(story, "2027-01-24T12:00")
    (with_letter,) = (r.value for r in warned.of("room-air") if r.at == sunday)
    (without,) = (r.value for r in unwarned.of("room-air") if r.at == sunday)
    assert with_letter is not None
    assert without is not None
    assert with_letter > without + 2
    assert [d.deed for d in unwarned.deeds] == ["set", "hatched", "top-up"]


def test_a_letter_that_is_too_old_or_of_another_kind_moves_nobody() -> None:
    story = told(event("stir", 30, 'if_letter = "leave"\nwithin_h = 2'))
    at = story.begins + 30 * HOUR_S
    for heard in (Heard(at - 3 * HOUR_S, "leave"), Heard(at - HOUR_S, "cold"), Heard(at + 60, "leave")):
        assert "stir" not in [d.deed for d in play(story, [heard], 600).deeds]
    assert "stir" in [d.deed for d in play(story, [Heard(at - HOUR_S, "leave")], 600).deeds]


def test_a_fill_as_the_letter_asks_ends_that_far_above_the_mark() -> None:
    story = told(event("top-up", 31, 'if_letter = "leave"\nas_letter_asks = true'))
    at = story.begins + 31 * HOUR_S
    played = play(story, [Heard(at - 600, "leave", {"cup": 18.0})], 600)
    (deed,) = (d for d in played.deeds if d.deed == "top-up")
    before, after = (played.world.truth(at + s)["cup"].loss_ml for s in (-60, 60))
    assert deed.detail == {"above_ml": 18.0}
    assert after == pytest.approx(-18.0, abs=3 * story.person.fill_error_ml + 1)
    assert deed.amount == pytest.approx(
        before - after, abs=2.5
    )  # the measuring cup's error and a minute's loss


def test_fills_to_the_mark_scatter_by_the_error_told_and_a_partial_fill_reaches_no_mark() -> None:
    fills = "".join(event("remove", 3 + n / 2, "ml = 20") + event("top-up", 3.25 + n / 2) for n in range(90))
    story = told(
        "\n[person]\nfill_error_ml = 3\nmeasuring_error = 0\n" + fills + event("top-up", 50, "ml = 5")
    )
    played = play(story, every_s=60)
    after = [
        played.world.truth(d.at + 60)["cup"].loss_ml for d in played.deeds if d.detail.get("to") == "mark"
    ]
    assert len(after) == 90
    spread = math.sqrt(sum(value**2 for value in after) / len(after))
    assert 1.5 < spread < 4.5
    assert [(d.amount, d.detail) for d in played.deeds[-1:]] == [(5.0, {})]


def test_every_doing_of_a_person_makes_an_entry_the_care_log_knows() -> None:
    own = {
        "top-up": "ml = 9",
        "brine": "ml = 5\nsalt_g_per_l = 25",
        "remove": "ml = 4",
        "harvest": "ml = 6",
        "cover": "on = true",
        "feed": 'grams = 0.01\nfood = "yeast"',
        "count": "volume_ml = 10",
        "note": 'text = "all well"',
        "set": 'grams = 0.1\nsalt_g_per_l = 30\nlot = "b"\nlight = false',
    }
    doings = [name for name, doing in DOINGS.items() if doing.of == "vessel" and name not in ("set", "end")]
    events = "".join(
        event(name, 54 + n / 20, own.get(name, "")) for n, name in enumerate((*doings, "set", "end"))
    )
    story = parse_story(EXAMPLE.replace("02-05T16", "02-06T16") + events, "t", Path())
    deeds = play(story).deeds
    assert {d.deed for d in deeds} == (set(doings) | {"set", "end", "hatched"}) - {"look"}
    assert deeds == sorted(deeds, key=lambda d: d.at)
    for deed in deeds:
        kind = KINDS[deed.deed]
        assert (deed.amount is not None) == kind.amount
        for key, value in deed.detail.items():
            if key in kind.numbers:
                assert isinstance(value, float)
            else:
                allowed = kind.words[key]
                assert allowed is None or value in allowed


def test_who_looks_at_the_first_swimmers_says_so_once_and_later_tells_a_share() -> None:
    looks = "".join(event("look", 24 + n / 2) for n in range(60))
    played = play(told(looks), every_s=600)
    seen = [d for d in played.deeds if d.deed in ("first-swimmer", "hatched")]
    assert [d.deed for d in seen].count("first-swimmer") == 1
    assert seen[0].deed == "first-swimmer"
    for deed in seen[1:]:
        truth = played.world.truth(deed.at)["cup"].hatched_fraction
        assert truth is not None
        assert deed.amount == pytest.approx(truth, abs=0.3)


def test_a_count_finds_about_as_many_swimmers_as_the_aliquot_holds() -> None:
    counts = "".join(event("count", 54 + n / 20, "volume_ml = 2") for n in range(30))
    played = play(
        told(
            "\n[cysts.cup]\n" + "hatchable = 0.5\ncysts_per_g = 200000" + counts,
            without="[cysts.cup]\ndegree_hours = 300\n",
        )
    )
    found = [d.amount for d in played.deeds if d.deed == "count" and d.amount is not None]
    # 0.05 g × 200,000 a gram × one half hatchable in 250 mL: 40 in 2 mL.
    assert sum(found) / len(found) == pytest.approx(40, rel=0.15)


@pytest.mark.parametrize(
    ("trouble", "quality"),
    [("probe-unplugged", Quality.ABSENT), ("probe-stuck", None), ("probe-in-air", None)],
)
def test_a_troubled_probe_errs_until_it_is_put_right(trouble: str, quality: Quality | None) -> None:
    keys = 'probe = "water"'
    played = play(told(event(trouble, 12, keys) + event("probe-back", 20, keys)))
    begins = played.world.story.begins
    during = [r for r in played.of("water") if 12 * HOUR_S <= r.at - begins < 20 * HOUR_S]
    truths = [played.world.truth(r.at)["cup"].water_c for r in during]
    if trouble == "probe-unplugged":
        assert {(r.value, r.quality) for r in during} == {(None, quality)}
    elif trouble == "probe-stuck":
        assert len({r.value for r in during}) == 1
    else:
        # Within minutes it has left the water; under the lit lamp it then reads some K above the room.
        first = [(r.value, t) for r, t in zip(during, truths, strict=True)][3:8]
        assert all(value is not None and value < truth - 1 for value, truth in first)
    later = [r for r in played.of("water") if r.at - begins >= 20 * HOUR_S]
    for reading in later:
        truth = played.world.truth(reading.at)["cup"].water_c
        assert reading.value == pytest.approx(truth - 0.2, abs=0.03125 + 6 * 0.02)


def test_water_is_shown_in_sixteenths_of_a_degree_and_some_readings_are_garbled() -> None:
    played = play(told(without="offset = -0.2\n"))
    assert all(r.value is not None and (r.value * 16).is_integer() for r in played.of("water"))
    garbled = play(parse_story(EXAMPLE.replace("offset = -0.2", "crc_share = 0.05"), "t", Path()))
    share = sum(r.quality is Quality.CRC for r in garbled.readings) / len(garbled.readings)
    assert 0.03 < share < 0.07
    assert all(r.value is None for r in garbled.readings if not r.good)


def test_a_float_switch_tells_the_low_mark_and_a_photocell_stays_between_0_and_1() -> None:
    probes = (
        '[[probe]]\nid = "float"\nmeasures = "float_low"\ndriver = "rehearsal"\n\n'
        '[[probe]]\nid = "cell"\nmeasures = "light_fraction"\ndriver = "rehearsal"\n\n[[vessel]]'
    )
    text = EXAMPLE.replace("[[vessel]]", probes).replace(
        'probes = ["water"]', 'probes = ["water", "float", "cell"]'
    )
    played = play(
        parse_story(text + event("remove", 30, "ml = 60") + event("top-up", 40), "t", Path()), every_s=600
    )
    for reading in played.of("float"):
        low = played.world.truth(reading.at)["cup"].loss_ml >= 40
        assert reading.value == float(low)
    cell = [r.value for r in played.of("cell") if r.value is not None]
    assert 0.0 <= min(cell) < 0.05 < 0.5 < max(cell) <= 1.0
    passed = played.world.outcome()["cup"].low_mark_passed
    assert [at - played.world.story.begins for at in passed] == []  # taken out by hand, not evaporated


def test_the_low_mark_is_noted_when_evaporation_passes_it() -> None:
    story = told(event("remove", 3, "ml = 30") + "\n[cup.cup]\nevaporation_factor = 2\n")
    played = play(story, every_s=600)
    (passed,) = played.world.outcome()["cup"].low_mark_passed
    assert played.world.truth(passed - 60)["cup"].loss_ml < 40 <= played.world.truth(passed)["cup"].loss_ml


def test_the_truth_of_a_hatch_agrees_with_its_course() -> None:
    played = play(told(), every_s=600)
    outcome = played.world.outcome()["cup"]
    assert outcome.set_at is not None
    for share, at in ((0.1, outcome.hatch_t10), (0.5, outcome.hatch_t50), (0.9, outcome.hatch_t90)):
        assert at is not None
        before, then = (played.world.truth(s)["cup"].hatched_fraction for s in (at - 60, at))
        assert before is not None
        assert then is not None
        assert before < share <= then


def test_the_stretches_without_power_and_without_network_are_told() -> None:
    story = told(
        event("station-off", 10)
        + event("station-on", 14)
        + event("network-down", 20)
        + event("station-off", 50)
    )
    world, begins = StoryWorld(story), story.begins
    first = (begins + 10 * HOUR_S, begins + 14 * HOUR_S)
    assert world.off_stretches() == [first, (begins + 50 * HOUR_S, story.ends)]
    assert [world.network_up(begins + h * HOUR_S) for h in (19, 20, 40)] == [True, False, False]
    assert world.network_up(begins + 20 * HOUR_S - 1)


def test_deeds_of_a_stretch_without_power_are_told_afterwards_and_only_once() -> None:
    world = StoryWorld(told(event("stir", 12)))
    begins = world.story.begins
    assert [d.deed for d in world.deeds(begins + 11 * HOUR_S, [])] == ["set"]
    assert [(d.deed, d.at - begins) for d in world.deeds(begins + 20 * HOUR_S, [])] == [("stir", 12 * HOUR_S)]
    assert world.deeds(begins + 20 * HOUR_S, []) == []


def test_a_check_names_the_letter_that_is_missing_and_the_one_too_many() -> None:
    story = told()
    night, noon = at_local(story, "2027-02-04T02:00"), at_local(story, "2027-02-04T13:00")
    assert check(story, [Heard(night, "cold")]) == []
    (missing,) = check(story, [Heard(noon, "cold")])
    assert "cold between Wed 2027-02-03 20:00 and Thu 2027-02-04 12:00: found 0" in missing
    (many,) = check(story, [Heard(night, "cold"), Heard(noon, "hot")])
    assert "kind hot" in many
    assert many.endswith("found 1 (Thu 2027-02-04 13:00); must be none")


def test_a_call_may_limit_how_often_a_letter_comes() -> None:
    story = told('\n[[must]]\nkind = "nightly"\nat_least = 2\nat_most = 3\n', without="")
    nights = [Heard(story.begins + h * HOUR_S, "nightly") for h in (10, 20, 30, 40)]
    cold = Heard(at_local(story, "2027-02-04T02:00"), "cold")
    assert [check(story, [cold, *nights[:n]]) == [] for n in (1, 2, 3, 4)] == [False, True, True, False]


def test_a_story_limits_all_its_unplanned_and_planned_letters() -> None:
    story = told("\n[limits]\nunplanned_at_most = 1\nplanned_at_most = 0\n")
    cold = Heard(at_local(story, "2027-02-04T02:00"), "cold")
    assert check(story, [cold]) == []
    more = [cold, Heard(cold.at + 60, "lamp"), Heard(cold.at + 120, "nightly"), Heard(cold.at + 180, "hatch")]
    unplanned, planned = check(story, more)
    assert "unplanned letters: found 2 (cold Thu 2027-02-04 02:00, lamp" in unplanned
    assert unplanned.endswith("must be at most 1")
    assert "planned letters: found 1 (hatch" in planned


def test_a_letter_that_comes_when_it_is_too_late_answers_nothing() -> None:
    late = EXAMPLE.replace('kind = "cold"', 'kind = "cold"\ntoo_late_at = 2027-02-04T02:00:00+00:00')
    story = parse_story(late, "trial.toml", Path())
    two = at_local(story, "2027-02-04T02:00")
    assert check(story, [Heard(two - 60, "cold"), Heard(two + 60, "cold")]) == []
    (said,) = check(story, [Heard(two, "cold")])
    assert said.endswith("found Thu 2027-02-04 02:00; must be before Thu 2027-02-04 02:00")


def test_what_is_not_written_down_is_done_and_what_is_written_wrongly_is_told_so() -> None:
    early = "written_at = 2027-02-03T11:00:00+00:00"
    played = play(told(event("top-up", 30, "ml = 9\nwritten = false") + event("stir", 30.5, early)))
    before, after = (played.world.truth(played.world.story.begins + round(h * HOUR_S)) for h in (29.9, 30.1))
    assert before["cup"].loss_ml - after["cup"].loss_ml == pytest.approx(9, abs=1)
    assert [(d.deed, d.at) for d in played.deeds if d.deed != "set"] == [
        ("stir", int(datetime.fromisoformat("2027-02-03T11:00:00+00:00").timestamp()))
    ]


def test_brine_that_is_called_water_leaves_its_salt() -> None:
    plain, salty = (
        play(told(event("remove", 30, "ml = 50") + event("top-up", 30.1, salt))).world
        for salt in ("", "salt_g_per_l = 100")
    )
    at = plain.story.begins + 31 * HOUR_S
    more = salty.truth(at)["cup"].salinity_g_per_kg - plain.truth(at)["cup"].salinity_g_per_kg
    assert more == pytest.approx(100 * 59 / 250, rel=0.1)  # 50 mL taken and 9 mL evaporated, in 250 mL


def test_a_lamp_that_stays_on_burns_by_day_until_it_is_mended() -> None:
    played = play(told(event("lamp-stays-on", 24) + event("lamp-on", 28)), every_s=600)
    noon, evening = (played.world.truth(played.world.story.begins + h * HOUR_S)["cup"] for h in (28, 31))
    idle = play(told(), every_s=600).world
    cool_noon, cool_evening = (idle.truth(idle.story.begins + h * HOUR_S)["cup"] for h in (28, 31))
    assert noon.water_c > cool_noon.water_c + 1
    assert evening.water_c - cool_evening.water_c < noon.water_c - cool_noon.water_c


FAULTS = [
    ("seed = 7", "seed = -7", "story.seed: found -7"),
    (
        "begins = 2027-02-03T08:00:00+00:00",
        "begins = 2027-02-03T08:00:00",
        "story.begins: found the unquoted",
    ),
    ("ends = 2027-02-05", "ends = 2027-02-01", "story.ends: found"),
    ("[room]\nday_c = 20.5", "[room]\nday_c = 90", "room.day_c: found 90; allowed: a number from 5 to 30"),
    ("[room]\nday_c", "[room]\nday_k", "room.day_k: found an unknown key (did you mean day_c?)"),
    ("[cysts.cup]", "[cysts.cop]", "cysts.cop: found an unknown key (did you mean cup?)"),
    (
        'do = "heating-off"',
        'do = "heating-of"',
        "event[2].do: found 'heating-of' (did you mean heating-off?)",
    ),
    ("grams = 0.05", "grams = true", "event[1].grams: found true"),
    ('lot = "shelf"', 'lot = "shelf"\nvessel = "jug"', "event[1].vessel: found 'jug'; allowed: cup"),
    ("at = 2027-02-03T17", "at = 2027-03-03T17", "event[2].at: found a time outside the story"),
    ('kind = "hot"', 'kind = "warm"', "must_not[1].kind: found 'warm'"),
    ('name = "Room 1"', "name = 1", "trial.toml [station] text: station.name: found 1"),
    ("text = '''", "file = \"../x.toml\"\ntext = '''", "station.file: found"),
    ("[probe.water]", "[probe.wine]", "probe.wine: found an unknown key"),
    ('kind = "hot"', 'kind = "hot"\n[limits]\nunplanned = 3', "limits.unplanned: found an unknown key"),
    (
        'lot = "shelf"',
        'lot = "shelf"\nwritten_at = 2027-02-03T11:00:00+00:00',
        "event[1].written_at: found a time after",
    ),
    (
        "[[must]]",
        "[[must]]\ntoo_late_at = 2027-02-03T12:00:00+00:00",
        "must[1].too_late_at: found a time before",
    ),
    ("[[must]]", "[[muss]]", "muss: found an unknown key (did you mean must?)"),
    ("title = ", "title : ", "found a text that is no TOML"),
]


@pytest.mark.parametrize(
    ("was", "becomes", "said"), FAULTS, ids=[said.split(":")[0] for _, _, said in FAULTS]
)
def test_a_fault_is_told_with_its_file_its_key_and_what_is_allowed(was: str, becomes: str, said: str) -> None:
    assert was in EXAMPLE
    with pytest.raises(InputError) as told_of:
        parse_story(EXAMPLE.replace(was, becomes, 1), "trial.toml", Path())
    assert any(fault.startswith("trial.toml") and said in fault for fault in told_of.value.faults)
    assert all("; allowed: " in fault and "\n" not in fault for fault in told_of.value.faults)


def test_all_faults_are_told_together_those_of_the_station_too() -> None:
    text = EXAMPLE
    for was, becomes, _ in FAULTS:
        if was not in ("title = ", "text = '''", "[[must]]"):
            text = text.replace(was, becomes, 1)
    with pytest.raises(InputError) as told_of:
        parse_story(text, "trial.toml", Path())
    assert len(told_of.value.faults) >= 8


def test_letters_that_are_asked_need_a_letter_and_an_amount_is_told_one_way() -> None:
    with pytest.raises(InputError, match="as_letter_asks: found true without if_letter"):
        told(event("top-up", 20, "as_letter_asks = true"))
    with pytest.raises(InputError, match="found ml beside above_ml"):
        told(event("top-up", 20, "ml = 3\nabove_ml = 4"))
    with pytest.raises(InputError, match="if_letter: found an unknown key"):
        told(event("station-off", 20, 'if_letter = "cold"'))


def test_a_story_may_use_a_station_file_beside_it(tmp_path: Path) -> None:
    station = re.findall(r"'''\n(.*?)'''", EXAMPLE, re.DOTALL)[0]
    (tmp_path / "station.toml").write_text(station, encoding="utf-8")
    story_file = tmp_path / "mine.toml"
    story_file.write_text(
        re.sub(r"text = '''.*?'''", 'file = "station.toml"', EXAMPLE, flags=re.DOTALL), "utf-8"
    )
    assert read_story(str(story_file)).station == told().station
    assert read_story(str(story_file)).station_text == station
    (tmp_path / "station.toml").unlink()
    with pytest.raises(InputError, match=r"station\.toml: found no such file"):
        read_story(str(story_file))


def test_an_unknown_name_is_answered_with_the_known_ones(tmp_path: Path) -> None:
    with pytest.raises(
        InputError,
        match=r"found 'short-weekend'; allowed: above-.*, long-weekend, .*, wrong-start, or the path",
    ):
        read_story("short-weekend")
    with pytest.raises(InputError, match="found no such file"):
        read_story(str(tmp_path / "none.toml"))


VALUES = st.recursive(
    st.one_of(
        st.booleans(),
        st.integers(-(2**70), 2**70),
        st.floats(),
        st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
        st.datetimes(),
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["at", "do", "cup"]), inner),
    max_leaves=6,
)


def toml(value: Any) -> str:
    match value:
        case bool():
            return str(value).lower()
        case str():
            return '"' + "".join(f"\\U{ord(c):08x}" for c in value) + '"'
        case list():
            return "[" + ", ".join(map(toml, value)) + "]"
        case dict():
            return "{" + ", ".join(f"{k} = {toml(v)}" for k, v in value.items()) + "}"
        case datetime():
            return value.isoformat()
    return str(value)


LINES = EXAMPLE.splitlines()
KEYED = [n for n, line in enumerate(LINES) if " = " in line and "'''" not in line]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(KEYED), VALUES)
def test_any_value_at_any_key_gives_a_story_or_an_input_error(place: int, value: Any) -> None:
    lines = list(LINES)
    lines[place] = lines[place].split(" = ")[0] + " = " + toml(value)
    read_or_refused("\n".join(lines))


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(["story", "station", "room", "cup", "cysts", "probe", "event", "must"]), VALUES)
def test_any_value_for_a_table_gives_a_story_or_an_input_error(table: str, value: Any) -> None:
    text = re.sub(
        rf"^\[+{table}[\].].*?(?=^\[+(?!station\]\nname)|\Z)", "", EXAMPLE, flags=re.DOTALL | re.MULTILINE
    )
    read_or_refused(f"{table} = {toml(value)}\n{text}")


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(EXAMPLE)), st.integers(0, 40), st.text(max_size=8))
def test_a_torn_file_gives_a_story_or_an_input_error(at: int, cut: int, put: str) -> None:
    read_or_refused(EXAMPLE[:at] + put + EXAMPLE[at + cut :])


def read_or_refused(text: str) -> None:
    """Anything but an InputError is a failure; its lines must each name the file."""
    faults: tuple[str, ...] = ()
    try:
        parse_story(text, "torn.toml", Path())
    except InputError as error:
        faults = error.faults or ("",)
    assert all("\n" not in fault and "torn.toml" in fault for fault in faults)


@pytest.mark.parametrize(
    ("table", "record"),
    [
        ("sky", SkyPhysics),
        ("room", RoomPhysics),
        ("person", PersonPhysics),
        ("cup.ID", CupPhysics),
        ("cysts.ID", CystPhysics),
    ],
)
def test_the_page_lists_every_key_with_its_default_and_range(table: str, record: type[Any]) -> None:
    section = PAGE.read_text(encoding="utf-8").split(f"### `[{table}]`")[1].split("\n##")[0]
    rows = re.findall(r"^\| `(\w+)` \| (\S+) \| (\S+) to (\S+) \|", section, re.MULTILINE)
    wanted = [(f.name, f.default, f.metadata["low"], f.metadata["high"]) for f in fields(record)]
    assert [(name, float(d), float(low), float(high)) for name, d, low, high in rows] == wanted


def test_the_page_lists_every_doing_with_its_keys_and_no_story_that_is_not_shipped() -> None:
    page = PAGE.read_text(encoding="utf-8")
    rows = re.findall(
        r"^\| ((?:`[a-z-]+`(?:, )?)+) \|([^|]*)\|", page.split("### `[[event]]`")[1], re.MULTILINE
    )
    keys: dict[str, set[str]] = {}
    for names, told_keys in rows:
        for name in re.findall(r"`([a-z-]+)`", names):
            keys.setdefault(name, set()).update(re.findall(r"`(\w+)`", told_keys))
    assert keys.pop("do") == set()  # the heading
    assert {name: key - {"vessel", "probe"} for name, key in keys.items()} == {
        name: set(doing.keys) for name, doing in DOINGS.items()
    }
    told = re.findall(r"^\| `([a-z-]+)` \|", page.split("`naupliad rehearse long-weekend")[0], re.MULTILINE)
    assert {"long-weekend", "plain-weekend", "warm-window"} <= set(told) <= set(story_names())
