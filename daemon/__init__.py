"""The roof of the house: it knows the sensors and the reports; neither knows it."""
