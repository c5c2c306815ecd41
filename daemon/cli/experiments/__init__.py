"""The commands of `naupliad experiment`, one module each."""
