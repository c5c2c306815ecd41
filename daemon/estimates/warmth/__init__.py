"""What is believed of the warmth: the room by hour of day, the cup in it, the coming water."""
