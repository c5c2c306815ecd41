"""What people read: plain records in, text and pictures out. Knows nothing of the daemon or the sensors."""
