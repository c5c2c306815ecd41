"""The outbox and the ways a letter leaves the house."""
