"""Each figure that docs/explanation/science.md tells of the beliefs is the one they work with.

Most are judgements: nothing outside could say that one is wrong, but page and program must not tell two.
"""

from math import exp, hypot, log, sqrt

import pytest

from daemon.care import measured_salinity
from daemon.estimates.hatch import belief as hatch_belief
from daemon.estimates.hatch import grid, hatchable_share, light, looking, lots, observations
from daemon.estimates.hatch import outlook as hatch_outlook
from daemon.estimates.quantile import Z90
from daemon.estimates.timeline import gap, timeline
from daemon.estimates.warmth import belief as warmth_belief
from daemon.estimates.warmth import (
    cup_heat,
    forecast,
    held_paths,
    level_run,
    room_pattern,
    room_state,
    thermostat,
)
from daemon.estimates.water import (
    belief,
    bubbling,
    float_level,
    hourly_loss,
    laws,
    level,
    outlook,
    pace,
    rim_shelter,
)
from daemon.estimates.water import grid as water_grid
from daemon.planning import cone_days, spoons, tin_yield
from daemon.science import evaporation, hatch_needs, hatching, strains
from tests.kit.command_line import ROOT

PAGE = " ".join((ROOT / "docs/explanation/science.md").read_text(encoding="utf-8").split())
HOUR, DAY = 3600, 86_400
EVEN_LOTS = (hatching.UNEVEN_SHARE, hatching.SYNCHRONY_MEDIAN, hatching.SYNCHRONY_LN_SD)

# What the page says, the program's figures, and the same as read from the words.
SAID: list[tuple[str, tuple[float, ...], tuple[float, ...]]] = [
    (
        "A gram holds 250,000, right to 16 % (ln sd), or to 5 %",
        (strains.CYSTS_PER_G, strains.CYSTS_LN_SD, tin_yield.GIVEN_CYSTS_LN_SD),
        (250_000.0, 0.16, 0.05),
    ),
    (
        "fine salt is 6 g, a tablespoon 18 g (household tables [M]), a heaping tablespoon 25 g",
        tuple(
            round(spoons.spoon_g(spoon, "fine"), 9)
            for spoon in ("level-teaspoon", "level-tablespoon", "heaping-tablespoon")
        ),
        (6.0, 18.0, 25.0),
    ),
    (
        "right to 12 %, of coarse salt to 20 and of flakes to 30 %, a heaping one to 25 % at best",
        (
            *(spoons.spread("level-teaspoon", grain) for grain in spoons.GRAINS),
            spoons.spread("heaping-teaspoon", "fine"),
        ),
        (0.12, 0.2, 0.3, 0.25),
    ),
    (
        "than half as often as the best hour does, the day has none. It is busy until an hour after",
        (cone_days.WORTH, cone_days.CLEANING_S),
        (0.5, HOUR),
    ),
    ("standard deviation of 0.5 in ln k", (evaporation.K_PRIOR_LN_SD,), (0.5,)),
    ("drifts by 0.04 per √day", (evaporation.K_DRIFT_PER_SQRT_DAY,), (0.04,)),
    ("evaporation is off by a fifth on its own", (water_grid.WANDER_SD_SHARE,), (1 / 5,)),
    ("a guess, right to 60 %", (rim_shelter.RIM_SD_SHARE,), (0.6,)),
    ("Student t distribution of 4 degrees of freedom", (level.STUDENT_DF,), (4,)),
    ("taken as right to 1 mL and 2 %", (belief.RECORDED_SD_ML, belief.RECORDED_SD_SHARE), (1, 0.02)),
    ("one note in twenty as wrong altogether", (belief.WRONG_RECORD_SHARE,), (1 / 20,)),
    (
        "right to 1 g/kg by refractometer and 2 g/kg by hydrometer",
        (measured_salinity.REFRACTOMETER_SD, measured_salinity.HYDROMETER_SD),
        (1, 2),
    ),
    (
        "at the moment it drops, right to 1.3 mm",
        (round(hypot(evaporation.FILL_ERROR_CM, float_level.PLACE_SD_CM), 2),),
        (0.13,),
    ),
    ("One time in twenty it sticks", (float_level.STUCK_SHARE,), (1 / 20,)),
    ("once in 60 days", (water_grid.JUMPS_PER_DAY,), (1 / 60,)),
    (
        "once in twenty times that somebody has the vessel in hand",
        (water_grid.JUMPS_PER_HANDLING,),
        (1 / 20,),
    ),
    ("anything around what it was (0.45 in ln k)", (water_grid.JUMP_LN_SD,), (0.45,)),
    ("People moisten it: 200 Pa", (laws.PEOPLE_PA,), (200.0,)),
    ("is forgotten by 7 % a day", (water_grid.VAPOUR_FORGOTTEN_PER_DAY,), (0.07,)),
    ("half forgotten in 36 hours", (round(hourly_loss.LIKE_TODAY_H * log(2)),), (36,)),
    ("two thirds of it, since some of what is foreseen", (pace.FORESEEN_SHARE,), (2 / 3,)),
    (
        "right to 8 % (25 % with less than a day seen)",
        (pace.COMING_SD_SHARE, pace.FIRST_DAY_SD_SHARE),
        (0.08, 0.25),
    ),
    (
        "as if that were so in three forecasts of ten",
        (forecast.FAILS, round(1.0 / forecast.FAILING_LEAST)),
        (0.3, 12),
    ),
    ("in ln k, of which the two laws' own is 0.2", (laws.LAWS_LN_SD,), (0.2,)),
    ("Rohwer's with 0.6 at first", (laws.LAW_PRIOR[1],), (0.6,)),
    ("9.6e-5·(es − ea)", (round(laws.ROHWER_PER_PA, 6),), (9.6e-5,)),
    ("A cover leaves about a tenth of the evaporation", (round(bubbling.COVER_LEAVES, 1),), (0.1,)),
    (
        "1 K warmer than the water, but not above 22 °C",
        (pace.ROOM_OVER_WATER_K, pace.ROOM_MOST_C),
        (1, 22),
    ),
    ("over the brim less than one time in ten", (outlook.MISSED_SHARE,), (1 / 10,)),
    ("by a power of 0.8 to 1.2", (grid.SLOPES[0], grid.SLOPES[2]), (0.8, 1.2)),
    ("have not had ten minutes of light since `set`", (light.ENOUGH_S,), (10 * 60,)),
    ("for the first 12 hours after a `set` with `light=no`", (light.UNLIT_S,), (12 * HOUR,)),
    ("one or two in a hundred are out", (observations.FIRST_SHARE,), (0.015,)),
    ("nine lots of ten (T90 − T10)/T50 is 0.36, give or take 28 %", EVEN_LOTS, (1 / 10, 0.36, 0.28)),
    ("to 0.85 at 30 °C", (round(hatching.pace_range(30.0)[0], 2),), (0.85,)),
    ("after an hour of it [P], measured", (hatch_belief.HEAT_KILLS_S,), (HOUR,)),
    ("from 8 to 16 h somebody looks", (looking.SCHOOL_BEGINS, looking.SCHOOL_ENDS), (8, 16)),
    ("looks every three hours or so", (round(1 / looking.LOOKS_PER_H),), (3,)),
    ("who pours or feeds has half a look", (looking.STANDING_LOOKS,), (1 / 2,)),
    ("one in eight who find many call it the first", (round(1 / observations.JUST_CAME),), (8,)),
    ("a share judged by eye, right to 0.12", (observations.LOOK_SD,), (0.12,)),
    (
        "wrong altogether three times in a hundred",
        (round(observations.LOOK_WRONG / (observations.LOOK_SD * sqrt(2 * 3.14159)), 2),),
        (0.03,),
    ),
    ("of those that can hatch one time in seven", (round(1 / observations.OF_ALL),), (7,)),
    ("dispersion 1.862, Crowder 1978", (observations.DISPERSION,), (1.862,)),
    (
        "a gram holds 200 to 300 thousand",
        tuple(round(strains.CYSTS_PER_G * exp(z * strains.CYSTS_LN_SD), -5) for z in (-Z90, Z90)),
        (200_000, 300_000),
    ),
    ("less than 0.2 g is a pinch", (observations.PINCH_BELOW_G,), (0.2,)),
    (
        "a pinch, a third to three times what is recorded",
        (round(exp(Z90 * observations.PINCH_LN_SD), 1),),
        (3.0,),
    ),
    ("A count more than four days after `set`", (observations.COUNTS_TELL_S,), (4 * DAY,)),
    ("A logit-normal with sd 2.43", (hatch_needs.HATCHABLE_LOGIT_SD,), (2.43,)),
    ("takes a third of the way to", (hatchable_share.AGED_PER_YEAR,), (1 / 3,)),
    ("with 5 % of difference in T50 between two hatches", (grid.WITHIN_LOT_LN_SD,), (0.05,)),
    ("It lasts 400 days", (lots.REMEMBERED_S,), (400 * DAY,)),
    ("in five ways that last", (len(warmth_belief.COURSES),), (5,)),
    ("After four days they come again", (warmth_belief.FORESEEN_H,), (4 * 24,)),
    (
        "carried to other temperatures by the pace [P], a quarter more or less",
        (hatch_outlook.INSTAR_II_MARGIN,),
        (1 / 4,),
    ),
    ("τ starts at 1.2 h for 250 mL", (cup_heat.TAU_H, cup_heat.TAU_ML), (1.2, 250)),
    ("the lamp's rise starts at 4 ± 2.4 K", (cup_heat.RISE_K, cup_heat.RISE_SD_K), (4, 2.4)),
    ("the offset against the air at −1 K", (cup_heat.OFFSET_K,), (-1,)),
    ("learned in the four hours after each step of the lamp", (cup_heat.STEP_S,), (4 * HOUR,)),
    ("Its day begins at five in the morning", (room_state.DAY_BEGINS_H,), (5,)),
    ("deviations of now that fade in 4 and in 40 hours", (room_pattern.FAST_H, room_pattern.SLOW_H), (4, 40)),
    ("20.5 °C by day round the cup", (room_state.DAY_C,), (20.5,)),
    (
        "along 47 paths, always the same ones, up to eight days",
        (forecast.PATHS, forecast.HOURS_MOST),
        (47, 8 * 24),
    ),
    ("rise after eleven by more than 0.6 K an hour", (forecast.SUN_SEEN[0], forecast.SUN_RISES), (11, 0.6)),
    ("it goes on for two hours and stays for the afternoon", (forecast.SUN_RISES_H,), (2,)),
    ("differs from day to day by half of itself", (forecast.CLOUDS,), (1 / 2,)),
    ("stay dark three times in four till people come", (forecast.DARK_SHARE,), (3 / 4,)),
    ("The probe is right to 0.2 °C", (forecast.PROBE_SD_C,), (0.2,)),
    ("its half hours within 0.3 K", (level_run.LEVEL_K,), (0.3,)),
    (
        "every two hours or oftener, by more than 0.2 K, in three hours of evening and night and more",
        (level_run.TURNS_PER_H, thermostat.TURN_K, level_run.SWITCHING_LEAST_H),
        (0.5, 0.2, 3),
    ),
    ("the lowest of the last one to two days", (thermostat.SPAN_S,), (DAY,)),
    ("one moment of ten is at one of the two", (held_paths.AT_A_MARK,), (0.1,)),
    ("Over more than half an hour without readings", (timeline.GAP_S,), (HOUR / 2,)),
    (
        "of 0.35 °C per √hour, to 1.5 at most",
        (gap.BY_NEIGHBOUR, gap.BY_NEIGHBOUR_MOST_C),
        (0.35, 1.5),
    ),
    ("which the cup follows as learned, 0.6 and 2.5", (gap.BY_ROOM, gap.BY_ROOM_MOST_C), (0.6, 2.5)),
    ("1 °C per √hour and 6 at most", (gap.UNKNOWN, gap.UNKNOWN_MOST_C), (1, 6)),
]


@pytest.mark.parametrize(("words", "held", "read"), SAID, ids=[words for words, _, _ in SAID])
def test_the_page_and_the_program_tell_one_figure(
    words: str, held: tuple[float, ...], read: tuple[float, ...]
) -> None:
    assert words in PAGE
    assert held == pytest.approx(read)
