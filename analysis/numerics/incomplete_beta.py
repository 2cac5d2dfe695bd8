"""The regularised incomplete beta and gamma functions, from which the tails of Student's and Fisher's come.

Continued fractions by the method of W. J. Lentz (Applied Optics 15, 1976, from memory); the beta function's
logarithm by differences of Stirling's remainder where an argument is large, since there gammas cancel (as in
ACM Algorithm 708, A. R. Didonato and A. H. Morris, 1992, from memory). They stand here because scipy's own
take longer to load than all of a short command; tests hold them to scipy.
"""

import math

_ENOUGH = 1e-16
_TINY = 1e-300
_LARGE = 15.0
"""From here on Stirling's remainder has 15 digits by its first seven terms."""
_REMAINDER = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156)


def beta_shares(x: float, y: float, a: float, b: float) -> tuple[float, float]:
    """Return I_x(a, b) and 1 - I_x(a, b), each with its own digits, for ``y`` = 1 - ``x``; a, b > 0."""
    if x <= 0.0:
        return 0.0, 1.0
    if y <= 0.0:
        return 1.0, 0.0
    if x > (a + 1.0) / (a + b + 2.0):
        other, share = beta_shares(y, x, b, a)
        return share, other
    log_front = a * _log(x, y) + b * _log(y, x) - log_beta(a, b)
    share = math.exp(log_front) * _beta_fraction(x, a, b) / a
    return share, 1.0 - share


def upper_gamma_share(a: float, x: float) -> float:
    """Return Q(a, x), the upper regularised incomplete gamma function; a > 0."""
    if x <= 0.0:
        return 1.0
    front = math.exp(a * math.log(x) - x - math.lgamma(a))
    if x < a + 1.0:
        term = total = 1.0 / a
        n = a
        while abs(term) > _ENOUGH * total:
            n += 1.0
            term *= x / n
            total += term
        return 1.0 - front * total
    b = x + 1.0 - a
    c, d = 1.0 / _TINY, 1.0 / b
    fraction, step, k = d, 0.0, 0
    while abs(step - 1.0) > _ENOUGH:
        k += 1
        b += 2.0
        numerator = k * (a - k)
        d = 1.0 / _not_zero(numerator * d + b)
        c = _not_zero(b + numerator / c)
        step = c * d
        fraction *= step
    return front * fraction


def log_beta(a: float, b: float) -> float:
    """Return the natural logarithm of the beta function; a, b > 0."""
    a, b = min(a, b), max(a, b)
    if b < _LARGE:
        return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    difference = _remainder(b) - _remainder(a + b) - (a + b - 0.5) * math.log1p(a / b)
    if a < _LARGE:
        return math.lgamma(a) + difference - a * (math.log(b) - 1.0)
    return (
        _remainder(a)
        + difference
        + 0.5 * math.log(2.0 * math.pi)
        + (a - 0.5) * math.log(a / b)
        - 0.5 * math.log(b)
    )


def _remainder(x: float) -> float:
    """Return what Stirling's formula leaves of ln gamma(x), for large x."""
    inverse = 1.0 / (x * x)
    total = 0.0
    for each in reversed(_REMAINDER):
        total = total * inverse + each
    return total / x


def _log(x: float, y: float) -> float:
    """Return ln x with the digits that x = 1 - y has."""
    return math.log1p(-y) if y < 0.5 else math.log(x)


def _beta_fraction(x: float, a: float, b: float) -> float:
    c, d = 1.0, 1.0 / _not_zero(1.0 - (a + b) * x / (a + 1.0))
    fraction, step, m = d, 0.0, 0
    while abs(step - 1.0) > _ENOUGH:
        m += 1
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for numerator in (even, odd):
            d = 1.0 / _not_zero(1.0 + numerator * d)
            c = _not_zero(1.0 + numerator / c)
            step = c * d
            fraction *= step
    return fraction


def _not_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY
