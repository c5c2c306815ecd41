"""Beliefs that learn from readings and deeds, as exact grids in plain Python."""
