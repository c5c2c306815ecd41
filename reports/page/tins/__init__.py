"""Tins of cysts: whether one will do, and what each has given."""
