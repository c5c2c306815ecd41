"""Is a reading of a water thermometer believable: what water can do, and what a thermometer in air does."""
