"""Played time: recorded tapes, made-up weekends and the simulated room."""
