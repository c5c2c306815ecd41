"""Class data: what of it is kept, how it is wiped from records and copies, and the proof that it is gone."""
