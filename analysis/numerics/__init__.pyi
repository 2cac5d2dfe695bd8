from .blas_threads import BLAS_THREADS as BLAS_THREADS, one_blas_thread as one_blas_thread
from .curve_extremes import (
    Extremes as Extremes,
    evaluate as evaluate,
    extremes as extremes,
    extremes_of_each as extremes_of_each,
    on_grid as on_grid,
)
from .incomplete_beta import beta_shares as beta_shares
from .linear_fit import LeastSquares as LeastSquares, least_squares as least_squares
from .order_vectors import (
    Complexes as Complexes,
    Floats as Floats,
    OrderVectors as OrderVectors,
    as_vectors as as_vectors,
    combined as combined,
    exact as exact,
)
from .quantiles import (
    f_upper_tail as f_upper_tail,
    normal_cdf as normal_cdf,
    normal_quantile as normal_quantile,
    t_quantile as t_quantile,
)
from .spread import robust_sd as robust_sd
from .uncertain_number import (
    ARCSINE as ARCSINE,
    EXPANDED as EXPANDED,
    NORMAL as NORMAL,
    NORMAL_95 as NORMAL_95,
    RECTANGULAR as RECTANGULAR,
    TRIANGULAR as TRIANGULAR,
    Component as Component,
    Distribution as Distribution,
    Limits as Limits,
    UncertainNumber as UncertainNumber,
    coverage_interval as coverage_interval,
    propagate as propagate,
)
