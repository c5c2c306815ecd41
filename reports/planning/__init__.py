"""What is said of plans: cards to follow, for the page and for commands."""
