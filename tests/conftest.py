"""One fixed profile for every property test: the same examples on every machine, and no clock."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("fixed", derandomize=True, deadline=None, database=None, print_blob=False)
settings.load_profile("fixed")
