"""How far ahead each belief looks, seconds: what is believed to lie there lies later than can be known."""

from daemon.seconds import DAY_S

HATCH_HORIZON_S = 30 * DAY_S
WATER_HORIZON_S = 60 * DAY_S
