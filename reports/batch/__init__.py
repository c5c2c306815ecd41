"""A whole batch told on a page or two: what was planned, what happened, what was learned."""
