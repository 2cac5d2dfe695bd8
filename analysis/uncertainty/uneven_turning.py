"""Heights turn by turn, where angles told by time bend each turn's curve another way."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.numerics import Component, Limits, UncertainNumber, t_quantile
from analysis.uncertainty.sweep import SweepUncertainty
from analysis.uncertainty.tir_budget import HalfWidths, random_part, with_other_lines


def widen_for_uneven_turning(
    uncertainty: SweepUncertainty, tir_mm: Sequence[float], tir_first_mm: Sequence[float]
) -> SweepUncertainty:
    """Return the uncertainty with TIR and first order taken from the turns one by one.

    For angles told by time: uneven turning bends a turn's curve sideways, which leaves its max - min alone,
    but put together such turns blunt one another. Parameters: plain numbers of each turn, two at least.
    Limits by Student's t over the turns, joined with what noise makes of one order and the other lines.
    """
    dof = len(tir_mm) - 1
    mean, first = float(np.mean(tir_mm)), float(np.mean(tir_first_mm))
    noise = 2.0 * float(uncertainty.u_amplitude_mm[0])
    u = math.hypot(float(np.std(tir_mm, ddof=1)) / math.sqrt(len(tir_mm)), noise)
    u_first = math.hypot(float(np.std(tir_first_mm, ddof=1)) / math.sqrt(len(tir_first_mm)), noise)
    two, one = t_quantile(0.975, dof), t_quantile(0.95, dof)
    random = HalfWidths((two * u, two * u), (one * u, one * u))
    two_sided, one_sided = ((max(0.0, first - t * u_first), first + t * u_first) for t in (two, one))
    parts = {**uncertainty.tir.parts, "turn to turn": random_part(random, dof)}
    return replace(
        uncertainty,
        dof=float(dof),
        tir=with_other_lines(mean, random, dof, parts, 0.0, uncertainty.other_u_mm),
        tir_by_scatter=with_other_lines(
            mean, random, dof, {"turn to turn": random_part(random, dof)}, 0.0, 0.0
        ),
        # Bent angles bring order 1 into the form: by no more than turns differ in the whole.
        form_by_scatter=UncertainNumber(
            uncertainty.form_by_scatter.value, {"turn to turn": Component(u, dof)}, least=0.0
        ),
        random=random,
        first=replace(
            uncertainty.first,
            tir_first=UncertainNumber(
                first,
                {"turn to turn": Component(u_first, dof)},
                limits=Limits(two_sided, one_sided),
                least=0.0,
            ),
        ),
        remarks=(*uncertainty.remarks, "angles told by time: heights are taken turn by turn"),
    )
