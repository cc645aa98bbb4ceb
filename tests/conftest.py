"""What holds for all tests."""

from hypothesis import settings

# The same examples on every run and machine, and no time limit that a busy machine could miss.
settings.register_profile("seeded", derandomize=True, deadline=None)
settings.load_profile("seeded")
