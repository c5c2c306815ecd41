"""A vessel's readings and deeds in the order of time, and what is taken where readings are missing."""
