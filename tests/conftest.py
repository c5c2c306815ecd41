"""What all tests share: property tests that neither hurry nor remember."""

from hypothesis import settings

# No deadline: nothing may depend on how fast the machine is. Derandomized: a run says the same as the last.
settings.register_profile("naupliad", deadline=None, derandomize=True, database=None)
settings.load_profile("naupliad")
