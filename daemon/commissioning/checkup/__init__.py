"""Is everything in place for the watch, and what to do where it is not: `naupliad checkup`."""
