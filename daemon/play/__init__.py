"""Played time: recorded tapes, told weekends and the simulated room."""
