"""How far ahead each belief looks, seconds: what is believed to lie there lies later than can be known."""

from daemon.seconds import DAY_S

HATCH_HORIZON_S = 30 * DAY_S
WATER_HORIZON_S = 60 * DAY_S
# What is believed besides while people prepare to leave for long (daemon/watching/before_leaving.py).
OF_THE_ABSENCE = ("has_heater", "fill_ml", "water_c_min_away", "water_c_max_away")
