"""What people did: deeds and the care log."""
