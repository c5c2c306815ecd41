"""Who may read the local page and who may write: `door.protect` is the way in."""
