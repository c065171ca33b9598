"""One setting for all property tests: a busy machine is no finding, so nothing fails for the time it takes."""

from hypothesis import HealthCheck, settings

settings.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("unhurried")
