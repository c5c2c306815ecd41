"""Experiments on the page: planned and begun, counted, and what they show."""
