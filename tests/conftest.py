"""Settings for all tests."""

from hypothesis import HealthCheck, settings

# Shared machines are slow by fits and starts, so no example has a deadline; examples
# are drawn the same in every run.
settings.register_profile(
    "kit",
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("kit")
