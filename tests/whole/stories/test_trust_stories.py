"""Told stories with the truth known, through the real daemon, and long plain days through the judge alone."""

from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import pytest

from daemon.play.story_event import StoryEvent
from daemon.play.story_file import read_story
from daemon.play.story_world import StoryWorld
from daemon.watching.trust_desk import trust_of
from sensors.reading import Quality, Reading
from sensors.trust.judge import revised
from tests.kit.plays import Plays
from tests.kit.recordings import unix
from tests.kit.telling import TRUST, WEEKENDS, Telling

PROBE = "tray-water"
FALLS = {
    "trust-night": "2027-02-03T22:00:00+00:00",
    "trust-night-alone": "2027-02-10T23:10:00+00:00",
    "trust-day": "2027-02-18T09:40:00+00:00",
    "trust-sun": "2027-02-25T09:30:00+00:00",
}
DAY_S = 86_400
PLAIN_DAYS = 10


def test_the_stories_tell_night_day_sun_faults_and_what_only_looks_so() -> None:
    assert set(TRUST) == {*FALLS, "trust-air-lamp", "trust-faults", "trust-plain"}


@pytest.mark.parametrize("name", TRUST)
def test_the_letters_that_a_story_calls_for_come_and_no_cold_or_hot_one(
    told: Plays[Telling], name: str
) -> None:
    assert told[name].broken == ()
    assert told[name].found == {}
    assert told[name].left.rows("SELECT * FROM letter WHERE kind IN ('cold', 'hot')") == []


@pytest.mark.parametrize("name", FALLS)
def test_no_reading_of_a_probe_out_of_the_water_is_good_once_it_is_known(
    told: Plays[Telling], name: str
) -> None:
    fell, rows = unix(FALLS[name]), told[name].left.rows
    back = next(event.at for event in read_story(name).events if event.do == "probe-back")
    between = "probe = ? AND at BETWEEN ? AND ?"
    good = rows(f"SELECT at FROM reading WHERE quality = 'good' AND {between}", PROBE, fell + 900, back)
    assert good == []
    kinds = {q for (q,) in rows(f"SELECT DISTINCT quality FROM reading WHERE {between}", PROBE, fell, back)}
    assert kinds <= {"good", "in-air"}
    again = rows("SELECT at FROM reading WHERE quality = 'good' AND probe = ? AND at > ?", PROBE, back)
    assert again


@pytest.mark.parametrize("name", FALLS)
def test_a_distrusted_reading_keeps_the_value_that_was_read(told: Plays[Telling], name: str) -> None:
    found = told[name].left.rows("SELECT value FROM reading WHERE quality = 'in-air'")
    assert len(found) > 60
    assert all(value is not None for (value,) in found)


def test_a_probe_that_shows_no_shape_is_doubted_the_same_evening_and_never_told_of_when_it_is_back(
    told: Plays[Telling],
) -> None:
    rows = told["trust-air-lamp"].left.rows
    fell, back = unix("2027-03-11T12:00:00+00:00"), unix("2027-03-12T13:10:00+00:00")
    (doubted,) = rows("SELECT min(at) FROM doubt WHERE probe = ? AND words <> ''", PROBE)[0]
    assert fell < doubted <= fell + 8 * 3600
    between = "SELECT DISTINCT quality FROM reading WHERE probe = ? AND at BETWEEN ? AND ?"
    assert rows(between, PROBE, fell + 4 * 3600, back - 600) == [("in-air",)]
    assert rows(between, PROBE, back + 3600, back + DAY_S) == [("good",)]
    assert len(rows("SELECT id FROM letter WHERE kind = 'probe'")) == 1


def test_a_stuck_and_an_unplugged_probe_have_their_own_quality(told: Plays[Telling]) -> None:
    counted = "SELECT quality, count(*) FROM reading WHERE probe = ? GROUP BY quality"
    counts = dict(told["trust-faults"].left.rows(counted, PROBE))
    assert counts["absent"] == 60
    assert counts["stuck"] > 600
    assert set(counts) == {"good", "absent", "stuck"}


def test_what_only_looks_suspicious_leaves_no_trace(told: Plays[Telling]) -> None:
    assert told["trust-plain"].left.rows("SELECT * FROM reading WHERE quality <> 'good'") == []


def judged(name: str, seed: int, days: int | None) -> list[Reading]:
    """Every reading of a story that the judge did not trust in the end; `days` makes it plain and as long."""
    story = replace(read_story(name), seed=seed)
    if days is not None:
        story = replace(story, ends=story.begins + days * DAY_S, events=plain(name, story.begins, days))
    world, trust, kept = StoryWorld(story), trust_of(story.station), dict[tuple[str, int], Reading]()
    for at in range(story.begins, story.ends, 60):
        world.deeds(at, [])
        found = trust.judge(world.bench().sample(at))
        kept |= {(r.probe, r.at): r for r in found.readings if not r.good}
        for revision in found.revisions:
            kept |= {
                key: revised([reading], [revision])[0]
                for key, reading in kept.items()
                if key[0] == revision.probe
            }
            if revision.quality is not Quality.GOOD:
                kept[(revision.probe, revision.since)] = Reading(
                    revision.since, revision.probe, None, revision.quality
                )
    return [r for r in kept.values() if r.quality not in (Quality.GOOD, Quality.CRC)]


def plain(name: str, begins: int, days: int) -> tuple[StoryEvent, ...]:
    """Deeds as they come in a week: a batch, fillings, windows, a weekend without heating."""
    (vessel,) = read_story(name).station.vessels
    batch: dict[str, float | bool | str] = {"grams": 0.05, "salt_g_per_l": 25.0, "lot": "a", "light": True}
    told = [StoryEvent(begins + 7200, "set", (vessel.id,), None, None, 0, batch)]
    filled: dict[str, float | bool | str] = {"as_letter_asks": False, "salt_g_per_l": 0.0}
    for day in range(1, days):
        at = begins + day * DAY_S
        told.append(StoryEvent(at + 600, "top-up", (vessel.id,), None, None, 0, filled))
        if day % 4 == 1:
            share: dict[str, float | bool | str] = {"ml": vessel.mark_ml / 5}
            told.append(StoryEvent(at + 7200, "remove", (vessel.id,), None, None, 0, share))
            told.append(StoryEvent(at + 7290, "top-up", (vessel.id,), None, None, 0, {**share, **filled}))
        if day % 3 == 2:
            told.append(StoryEvent(at + 9000, "window-open", (), None, None, 0, {}))
            told.append(StoryEvent(at + 10800, "window-shut", (), None, None, 0, {}))
    told.append(StoryEvent(begins + 6 * DAY_S, "heating-off", (), None, None, 0, {}))
    told.append(StoryEvent(begins + 7 * DAY_S, "heating-on", (), None, None, 0, {}))
    return tuple(sorted(told, key=lambda event: event.at))


@pytest.mark.long  # in short by the story trust-plain
def test_nothing_is_distrusted_in_thirty_plain_days_of_three_stations_nor_in_the_shipped_stories() -> None:
    # Ten days of each station, each with a seed of its own, and the three stories: thinned from 30 days of
    # three seeds of each station, which were played once by hand.
    cases: list[tuple[str, int, int | None]] = [
        (name, seed, PLAIN_DAYS) for seed, name in enumerate(WEEKENDS, start=1)
    ]
    cases += [(name, read_story(name).seed, None) for name in WEEKENDS]
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(judged, *zip(*cases, strict=True)))
    assert dict(zip(cases, found, strict=True)) == {case: [] for case in cases}
