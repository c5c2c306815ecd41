"""Experiments with cups: words for how they are laid out, counted, and what they show."""
