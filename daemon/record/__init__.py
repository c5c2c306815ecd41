"""What a station tells the centre: boxes, their receipts and their topics; the same at both ends."""
