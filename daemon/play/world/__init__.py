"""The simulated sky, room, cups and people of a made-up weekend; shares no model with the beliefs."""
