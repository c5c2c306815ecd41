"""How many seconds a minute, an hour, a day and a week have."""

MINUTE_S = 60
HOUR_S = 60 * MINUTE_S
DAY_S = 24 * HOUR_S
WEEK_S = 7 * DAY_S
