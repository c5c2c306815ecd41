"""What leaves the house besides letters: MQTT, the sign of life, the light and its button."""
