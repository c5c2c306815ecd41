"""What people ask of a station: deeds, alarms put aside, letters held back or tried now."""
