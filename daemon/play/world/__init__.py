"""The simulated sky, room, cups and people of a told weekend; shares no model with the beliefs."""
