"""How likely a surprise is, where now and then anything may happen."""

from math import exp, pi, sqrt

# A model that is surprised by sun, a pour or an open window would be sure of nonsense: one half hour in
# thirty may be anything, spread over 7 K.
_ANYTHING_SHARE = 0.03
_ANYTHING_PER_K = 0.15
_SURPRISED = 3.5  # standard deviations


def likelihood(surprise_k: float, variance_k2: float) -> float:
    """Density of a surprise, per K: normal, but now and then anything."""
    normal = exp(-0.5 * surprise_k * surprise_k / variance_k2) / sqrt(2.0 * pi * variance_k2)
    return (1.0 - _ANYTHING_SHARE) * normal + _ANYTHING_SHARE * _ANYTHING_PER_K


def surprised(surprise_k: float, variance_k2: float) -> bool:
    """Whether something happened that the model knows nothing of."""
    return surprise_k * surprise_k > _SURPRISED**2 * variance_k2
