"""The station's memory: one SQLite file with one writer."""
