"""What all tests share: how long and how repeatably generated cases run."""

import os

from hypothesis import settings

settings.register_profile("default", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))
