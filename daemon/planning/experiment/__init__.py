"""Experiments: cups at several levels of one thing, counted, and what they show; pure."""
