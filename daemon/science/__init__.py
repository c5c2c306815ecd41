"""Pure functions with published sources. Imports nothing of ours."""
