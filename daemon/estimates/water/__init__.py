"""What is believed of the water: the level, the pace of its loss, the salt, and what follows from them."""
