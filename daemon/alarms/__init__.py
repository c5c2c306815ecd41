"""What is wrong, for how long, and who can do something about it."""
