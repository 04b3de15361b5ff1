"""What every test shares: the profiles of the property tests."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

# Time limits per example say more about the machine than about the code.
settings.register_profile("bench", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("ci", parent=settings.get_profile("bench"), derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")
