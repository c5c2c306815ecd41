"""Letters from their occasion to the post: what brings one, what is known for it, who writes and sends it."""
