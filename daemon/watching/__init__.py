"""What is watched at every beat: trust in probes, beliefs, alarms, the clock, the store's size."""
