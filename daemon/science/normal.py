"""The normal distribution: density, share below, and quantile.

The library's `statistics` has them as well, and brings fractions, decimals and chance along: a MB that a
daemon has no use for. A test holds the two together to the last digit.
"""

from math import erf, exp, log, sqrt, tau

from daemon.science.valid_range import within


def density(x: float, mean: float = 0.0, sd: float = 1.0) -> float:
    """The density at `x`, in 1/unit of `sd`, which is above 0."""
    variance, apart = sd * sd, x - mean
    return exp(apart * apart / (-2.0 * variance)) / sqrt(tau * variance)


def share_below(x: float, mean: float = 0.0, sd: float = 1.0) -> float:
    """The share (0–1) below `x`; `sd` is above 0."""
    return 0.5 * (1.0 + erf((x - mean) / (sd * sqrt(2.0))))


def quantile(share: float) -> float:
    """The standard normal's quantile of a share between 1e-300 and 1 − 1e-16.

    Wichura 1988, Algorithm AS 241 (PPND16), Applied Statistics 37:477: about one part in 10^16.
    """
    within("share", share, 1e-300, 1.0 - 1e-16)
    q = share - 0.5
    if abs(q) <= 0.425:
        r = 0.180625 - q * q
        return _sum(r, _MIDDLE[0]) * q / _sum(r, _MIDDLE[1])
    r = sqrt(-log(share if q <= 0.0 else 1.0 - share))
    r, (above, below) = (r - 1.6, _OUTER) if r <= 5.0 else (r - 5.0, _OUTERMOST)
    far = _sum(r, above) / _sum(r, below)
    return -far if q < 0.0 else far


_Coefficients = tuple[tuple[float, ...], tuple[float, ...]]


def _sum(r: float, falling: tuple[float, ...]) -> float:
    found = falling[0]
    for one in falling[1:]:
        found = found * r + one
    return found


# Of the numerator and the denominator, highest power first.
_MIDDLE: _Coefficients = (
    (
        2.5090809287301226727e3,
        3.3430575583588128105e4,
        6.7265770927008700853e4,
        4.5921953931549871457e4,
        1.3731693765509461125e4,
        1.9715909503065514427e3,
        1.3314166789178437745e2,
        3.3871328727963666080e0,
    ),
    (
        5.2264952788528545610e3,
        2.8729085735721942674e4,
        3.9307895800092710610e4,
        2.1213794301586595867e4,
        5.3941960214247511077e3,
        6.8718700749205790830e2,
        4.2313330701600911252e1,
        1.0,
    ),
)
_OUTER: _Coefficients = (
    (
        7.7454501427834140764e-4,
        2.27238449892691845833e-2,
        2.41780725177450611770e-1,
        1.27045825245236838258e0,
        3.64784832476320460504e0,
        5.76949722146069140550e0,
        4.63033784615654529590e0,
        1.42343711074968357734e0,
    ),
    (
        1.05075007164441684324e-9,
        5.47593808499534494600e-4,
        1.51986665636164571966e-2,
        1.48103976427480074590e-1,
        6.89767334985100004550e-1,
        1.67638483018380384940e0,
        2.05319162663775882187e0,
        1.0,
    ),
)
_OUTERMOST: _Coefficients = (
    (
        2.01033439929228813265e-7,
        2.71155556874348757815e-5,
        1.24266094738807843860e-3,
        2.65321895265761230930e-2,
        2.96560571828504891230e-1,
        1.78482653991729133580e0,
        5.46378491116411436990e0,
        6.65790464350110377720e0,
    ),
    (
        2.04426310338993978564e-15,
        1.42151175831644588870e-7,
        1.84631831751005468180e-5,
        7.86869131145613259100e-4,
        1.48753612908506148525e-2,
        1.36929880922735805310e-1,
        5.99832206555887937690e-1,
        1.0,
    ),
)
