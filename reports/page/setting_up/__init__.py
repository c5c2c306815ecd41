"""The words of the guided set-up: what is asked about a station, and what is said of what was found."""
