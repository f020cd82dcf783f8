"""Settings for all tests: random examples are the same every time; BUCKLE_EXPLORE=1 draws new ones."""

import os

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("BUCKLE_EXPLORE") else "repeatable")
