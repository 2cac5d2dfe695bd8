"""The closed Gaussian filter for profiles that go round (ISO 16610-21, transmission 2^-(n / fc)^2).

Cut-offs in use: 15, 50, 150 and 500 undulations per revolution. Formula from memory of the standard; held
against its printed values 1/2, 1/16, 1/512 at n / fc = 1, 2, 3.
"""

import numpy as np
from numpy.typing import ArrayLike

from analysis.errors import BadInput
from analysis.numerics import Floats, OrderVectors

CUT_OFFS_UPR = (15, 50, 150, 500)


def transmission(order: ArrayLike, cut_off_upr: float) -> Floats:
    """Return the share of each order's amplitude that the low-pass lets through, shape as given."""
    if not cut_off_upr > 0.0:
        raise BadInput(f"cut-off {cut_off_upr:g} is not above zero: use one of 15, 50, 150, 500 UPR")
    return np.asarray(2.0 ** -((np.asarray(order, np.float64) / cut_off_upr) ** 2))


def filter_vectors(vectors: OrderVectors, cut_off_upr: float) -> OrderVectors:
    """Return orders after the low-pass, covariance with them."""
    return vectors.scaled(transmission(np.arange(1, vectors.highest_order + 1), cut_off_upr))
