"""Readings from the world. Knows nothing of the daemon or the reports."""
