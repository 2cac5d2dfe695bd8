"""One sweep from samples to a decision: cut into turns, fitted, checked, weighed against the limit.

This module only puts the steps in order; each step lives in a module of its own.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from analysis.budget import other_lines, together_mm
from analysis.bumps import Bump, BumpSearch, find_bumps
from analysis.checks import Evidence, describe_bump, run_checks
from analysis.decision import Decision, Estimate, Witness, decide, estimate_with_u, limit_at_track
from analysis.errors import BadInput, NotDecidable
from analysis.flats import Flat, find_flats
from analysis.gauge import GaugeFacts, cosine_of_gauge, gauge_facts
from analysis.harmonics import HarmonicFit, default_highest_order, fit_harmonics
from analysis.jumps import find_jump, noise_floor
from analysis.numbers import (
    asynchronous_of_noise,
    clock_tir_mm,
    closure_mm,
    difference_between_turns_mm,
    distinct_places,
    range_bias_mm,
    synchronous_asynchronous,
)
from analysis.results import BudgetLine, Check, OrderResult, Pooled, SweepResult, TurnResult
from analysis.samples import Capture, Floats, Samples
from analysis.setup import Limit, Setup, make_limit, parse_setup
from analysis.turns import Turn, coverage, cut_turns, largest_gap_deg
from analysis.typed import MOST_PLACES, typed_estimate, what_it_can_miss
from analysis.uncertainty import SweepUncertainty, more_turns_would_decide, tir_interval
from analysis.units import parse_length, to_mm
from analysis.windows import Window, kept, windows_of_setup

DECIDED_IN_A_SWEEP = ("tir", "tir_first", "eccentricity", "tilt", "form")
_CURVE_POINTS = 720


@dataclass(frozen=True)
class Options:
    """What a person may ask of a sweep beside its set-up."""

    limit: Limit | None = None
    """Replaces the set-up's."""
    orders: int | None = None
    """Highest order; None chooses by the gauge."""
    leave_out: tuple[Window, ...] = ()
    seed: int = 1
    """Of the draws behind intervals: the same seed, the same numbers."""


@dataclass(frozen=True)
class _Taken:
    """The pooled turns, flat: everything of shape (n,) is of new values that count."""

    turns: list[Turn]
    values: Samples
    turn: NDArray[np.int64]
    highest_order: int
    orders_asked: bool


def analyse(capture: Capture, options: Options | None = None) -> SweepResult:
    """Analyse one sweep.

    Parameters: the capture, and what was asked for. Returns all named numbers with uncertainty, checks and
    decision. Raises BadInput where there is no full turn, where orders are too high for the samples, and
    where limit and surface do not go together; NotDecidable where the readings carry no fit at all.
    """
    asked = options or Options()
    setup = capture.setup
    limit = asked.limit or setup.limit
    check_limit(limit, setup)
    cosine = cosine_of_gauge(setup.gauge_angle_deg)
    if cosine != 1.0:
        samples = replace(capture.samples, reading_mm=capture.samples.reading_mm * cosine)
        capture = replace(capture, samples=samples, resolution_mm=capture.resolution_mm * cosine)
    windows = (*windows_of_setup(setup), *asked.leave_out, *_windows_of_events(capture))
    all_turns = cut_turns(capture.samples)
    if not all_turns:
        raise BadInput(_no_full_turn(capture))
    taken, other_way = _take(capture, all_turns, windows, asked)
    facts = gauge_facts(capture.samples, capture.resolution_mm)
    facts = replace(facts, resolution_mm=max(facts.resolution_mm, 0.0))
    turn_results = tuple(
        _one_turn(k, turn, capture, windows, taken.highest_order) for k, turn in enumerate(taken.turns)
    )
    places = distinct_places(taken.values.angle_rad)
    stepped = places <= MOST_PLACES
    numbers = _Numbers(capture, taken, turn_results, facts, stepped, limit, asked.seed)
    return numbers.result(setup, windows, other_way, places)


def turn_by_itself(number: int, turn: Turn, capture: Capture) -> TurnResult:
    """Return the plain numbers of one turn the moment it has ended; raises NotDecidable where it carries no fit."""
    windows = windows_of_setup(capture.setup)
    cosine = cosine_of_gauge(capture.setup.gauge_angle_deg)
    if cosine != 1.0:
        samples = replace(capture.samples, reading_mm=capture.samples.reading_mm * cosine)
        capture = replace(capture, samples=samples)
    where = _counted(capture, turn, windows)
    highest = default_highest_order(len(where), distinct_places(capture.samples.angle_rad[where]))
    return _one_turn(number, turn, capture, windows, highest)


def fit_sweep(
    angle_rad: ArrayLike,
    reading_mm: Any,
    t_s: ArrayLike | None = None,
    *,
    setup: dict[str, str] | None = None,
    limit: Any = None,
    resolution_mm: float = 0.0,
    orders: int | None = None,
    seed: int = 1,
) -> SweepResult:
    """Fit one sweep given as arrays.

    Parameters: unwrapped part angles (rad) from the mark, readings (mm, or a pint length) and, where known,
    times (s), each shape (n,); ``setup`` as text; ``limit`` as text (``"0.05 mm"``), number of mm or pint
    length; ``resolution_mm`` step of the gauge. Returns the same result as ``sweep`` prints. Raises BadInput
    for readings that are not finite or arrays that do not fit together.
    """
    angle = np.asarray(angle_rad, np.float64)
    reading = np.asarray(to_mm(reading_mm, "reading"), np.float64)
    if angle.ndim != 1 or angle.shape != reading.shape:
        raise BadInput(f"angles {angle.shape} and readings {reading.shape} do not fit: hand over (n,) both")
    if not (np.isfinite(angle).all() and np.isfinite(reading).all()):
        raise BadInput("some angles or readings are not finite numbers: take them out first")
    n = len(angle)
    times = np.arange(n, dtype=np.float64) if t_s is None else np.asarray(t_s, np.float64)
    samples = Samples(times, angle, reading, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16))
    checked = parse_setup(setup or {})
    asked = None
    if limit is not None:
        text = limit if isinstance(limit, str) else f"{float(to_mm(limit, 'limit')):.12g} mm"
        quantity = (setup or {}).get("limit_quantity", "tir")
        asked = make_limit(parse_length(text, "limit"), quantity, surface=checked.surface)
    return analyse(
        Capture(samples, checked, resolution_mm=resolution_mm, timed=t_s is not None),
        Options(limit=asked, orders=orders, seed=seed),
    )


def check_limit(limit: Limit | None, setup: Setup) -> None:
    """Refuse, with BadInput, a limit that no sweep of this surface can be held against."""
    if limit is None:
        return
    if limit.quantity not in DECIDED_IN_A_SWEEP:
        raise BadInput(
            f"a limit on {limit.quantity} cannot be decided in one sweep: a sweep decides "
            f"{', '.join(DECIDED_IN_A_SWEEP)}"
        )
    if limit.quantity == "eccentricity" and setup.surface == "face":
        raise BadInput(
            "a limit on eccentricity against a sweep of a face: a face has no eccentricity; set surface to outside "
            "or bore, or take tir"
        )
    if limit.quantity == "tilt":
        if setup.surface != "face":
            raise BadInput(f"a limit on tilt against a sweep of surface {setup.surface}: only a face tilts")
        raise BadInput(
            "a limit on tilt written as a length holds at no stated radius: write it as a tir with limit_radius"
        )


def _no_full_turn(capture: Capture) -> str:
    n = len(capture.samples)
    if n == 0:
        return "no samples with an angle in this sweep: nothing to fit; check board, channel and mark"
    turned = math.degrees(float(np.ptp(capture.samples.angle_rad)))
    what = "this is an end-float capture (stage end float): " if capture.setup.stage == "end float" else ""
    return (
        f"{what}no full turn from mark to mark in {n} samples ({turned:.0f} deg turned): turn at least once right "
        "round past the mark, better three times"
    )


def _windows_of_events(capture: Capture) -> tuple[Window, ...]:
    return tuple(
        Window(float(event["from_deg"]), float(event["to_deg"]), str(event.get("reason", "left out")))
        for event in capture.events
        if event.get("event") == "left-out" and "from_deg" in event and "to_deg" in event
    )


def _take(
    capture: Capture, all_turns: list[Turn], windows: Sequence[Window], asked: Options
) -> tuple[_Taken, int]:
    """Choose the turns to pool (the way most were turned, at the newest zero) and how many orders they carry."""
    newest = max(turn.segment for turn in all_turns)
    same_zero = [turn for turn in all_turns if turn.segment == newest] if _other_zeros(capture) else all_turns
    forward = sum(turn.direction > 0 for turn in same_zero)
    direction = 1 if 2 * forward >= len(same_zero) else -1
    turns = [turn for turn in same_zero if turn.direction == direction]
    pieces, numbers = [], []
    for k, turn in enumerate(turns):
        counted = _counted(capture, turn, windows)
        pieces.append(counted)
        numbers.append(np.full(len(counted), k, np.int64))
    where = np.concatenate(pieces)
    values = capture.samples.take(where)
    per_turn = float(np.median([len(piece) for piece in pieces]))
    places = distinct_places(values.angle_rad)
    if asked.orders is not None:
        most = places // 2 if _even(values.angle_rad, places) else (places - 1) // 2
        if not 1 <= asked.orders <= most:
            raise BadInput(
                f"--orders {asked.orders}: {places} different places carry orders 1 to {most}; ask for fewer"
            )
        highest = asked.orders
    else:
        highest = default_highest_order(per_turn, places)
    return _Taken(turns, values, np.concatenate(numbers), highest, asked.orders is not None), len(
        same_zero
    ) - len(turns)


def _other_zeros(capture: Capture) -> bool:
    return len(np.unique(capture.samples.segment)) > 1


def _even(angle_rad: Floats, places: int) -> bool:
    return abs(largest_gap_deg(angle_rad) - 360.0 / places) < 1e-6


def _counted(capture: Capture, turn: Turn, windows: Sequence[Window]) -> NDArray[np.intp]:
    s = capture.samples
    where = turn.where
    good = s.new[where] & ~s.out_of_range[where] & kept(s.angle_rad[where], windows)
    return where[good]


def _one_turn(
    k: int, turn: Turn, capture: Capture, windows: Sequence[Window], highest_order: int
) -> TurnResult:
    counted = capture.samples.take(_counted(capture, turn, windows))
    angle, reading = counted.angle_rad, counted.reading_mm
    highest = highest_order
    fit: HarmonicFit | None = None
    while fit is None and highest >= 1:
        try:
            fit = fit_harmonics(angle, reading, highest_order=highest)
        except NotDecidable:
            highest -= 1
    if fit is None:
        raise NotDecidable(
            f"turn {k + 1} has {len(angle)} values that count: too few for the plainest wobble; turn more slowly"
        )
    return TurnResult(
        turn=k,
        direction=turn.direction,
        samples=len(turn.where),
        values=len(angle),
        coverage=coverage(angle),
        largest_gap_deg=largest_gap_deg(angle),
        rpm=turn.rpm if capture.timed else 0.0,
        tir_raw_mm=float(np.ptp(reading)),
        tir_fit_mm=fit.tir_mm,
        tir_first_mm=2.0 * float(fit.amplitude_mm[0]),
        high_point_deg=math.degrees(fit.high_point_rad),
        vectors_mm=fit.vectors_mm,
        start_s=turn.start_s,
        end_s=turn.end_s,
    )


class _Numbers:
    """The pooled side of one sweep, computed once and handed on."""

    def __init__(
        self,
        capture: Capture,
        taken: _Taken,
        turns: tuple[TurnResult, ...],
        facts: GaugeFacts,
        stepped: bool,
        limit: Limit | None,
        seed: int,
    ) -> None:
        self.capture, self.taken, self.turns, self.facts = capture, taken, turns, facts
        self.stepped, self.limit, self.seed = stepped, limit, seed
        v = taken.values
        self.angle, self.reading, self.time = v.angle_rad, v.reading_mm, v.t_s
        self.remarks: list[str] = []
        plain = self._plain_fit()
        self.closure = self._closure()
        single = len(turns) == 1 and not stepped
        self.other = other_lines(
            tir_mm=plain.tir_mm,
            resolution_mm=facts.resolution_mm,
            values=len(self.angle),
            closure_mm=self.closure if single else None,
            gauge_angle_deg=capture.setup.gauge_angle_deg,
        )
        self.uncertainty = self._uncertainty(plain)
        self.fit = self.uncertainty.fit if self.uncertainty else plain

    def _closure(self) -> float | None:
        """Return the median closure of the turns; of a stepped set only what was typed when it came back."""
        if self.stepped:
            typed = [event["closing_mm"] for event in self.capture.events if event.get("event") == "closing"]
            return float(typed[0]) if typed else None
        turn = self.taken.turn
        return float(
            np.median(
                [closure_mm(self.angle[turn == k], self.reading[turn == k]) for k in range(len(self.turns))]
            )
        )

    def _plain_fit(self) -> HarmonicFit:
        highest = self.taken.highest_order
        while True:
            try:
                return fit_harmonics(
                    self.angle,
                    self.reading,
                    self.time,
                    highest_order=highest,
                    drift=len(self.turns) >= 2 and not self.stepped,
                )
            except NotDecidable as error:
                if self.taken.orders_asked:
                    raise BadInput(str(error)) from error
                if highest == 1:
                    raise
                highest -= 1

    def _uncertainty(self, plain: HarmonicFit) -> SweepUncertainty | None:
        """Return the interval of the fit; None where so few readings leave nothing to judge scatter by."""
        if self.stepped and plain.dof < 1:
            return None
        return tir_interval(
            self.angle,
            self.reading,
            self.time,
            self.taken.turn,
            highest_order=plain.highest_order,
            resolution_mm=self.facts.resolution_mm,
            other_u_mm=together_mm(self.other),
            seed=self.seed,
        )

    # --- the parts of a result ------------------------------------------------------------------------

    def result(self, setup: Setup, windows: Sequence[Window], other_way: int, places: int) -> SweepResult:
        detrended = self._detrended()
        search = BumpSearch((), float(np.ptp(self.reading)))
        if not self.stepped:
            search = find_bumps(
                self.angle,
                detrended,
                self.taken.turn,
                resolution_mm=self.facts.resolution_mm,
                holes=setup.holes,
            )
        pooled = self._pooled(setup, detrended)
        limit_mm, remark = limit_at_track(self.limit, setup) if self.limit else (0.0, "")
        if remark:
            self.remarks.append(remark)
        checks = tuple(run_checks(self._evidence(detrended, search, limit_mm, other_way, places, windows)))
        budget = self._budget()
        decision = self._decision(pooled, search, checks, limit_mm) if self.limit else None
        gap = max(turn.largest_gap_deg for turn in self.turns)
        if self.stepped:
            self.remarks.append(what_it_can_miss(places, gap))
        if self.uncertainty:
            self.remarks += self.uncertainty.words
        if setup.stage == "after cut":
            self.remarks.append("on the cutting mount: not evidence of the result")
        grid = np.arange(_CURVE_POINTS) * (2 * math.pi / _CURVE_POINTS)
        return SweepResult(
            setup=setup,
            angle_source=self.capture.angle_source,
            gauge=self.facts,
            turns=self.turns,
            pooled=pooled,
            budget=tuple(budget),
            bumps=search.bumps,
            checks=checks,
            decision=decision,
            left_out=tuple(windows),
            remarks=tuple(self.remarks),
            stages=tuple(self._stages(places, search, checks, decision)),
            curve_deg=np.degrees(grid),
            curve_mm=self.fit.curve(grid),
        )

    def _detrended(self) -> Floats:
        drift = self.fit.drift_mm_per_s
        return np.asarray(self.reading - (drift or 0.0) * (self.time - self.time[0]))

    def _pooled(self, setup: Setup, detrended: Floats) -> Pooled:
        fit, told = self.fit, self.uncertainty
        tir = told.tir_mm if told else fit.tir_mm
        interval = (told.low_mm, told.high_mm) if told else (tir, tir)
        estimate = None
        if told is None or self.stepped:
            estimate, upper = typed_estimate(self.angle, self.reading, self._digit_mm())
            interval = (estimate.interval_mm[0], max(upper, estimate.interval_mm[1]))
            interval = (interval[0], interval[1] if math.isfinite(interval[1]) else estimate.interval_mm[1])
        first = told.first if told else None
        amplitude = float(fit.amplitude_mm[0])
        side = math.degrees(fit.high_place_rad(1))
        dof = told.dof if told else 0.0
        spread = interval[1] - interval[0]
        per_turn = [
            (self.angle[self.taken.turn == k], detrended[self.taken.turn == k])
            for k in range(len(self.turns))
        ]
        radial = setup.surface != "face"
        synchronous, asynchronous = synchronous_asynchronous(per_turn, remove_first_order=radial)
        form = replace_order_one(fit)
        high_point = math.degrees(fit.high_point_rad)
        return Pooled(
            turns=len(self.turns),
            highest_order=fit.highest_order,
            tir_raw_mm=float(np.median([turn.tir_raw_mm for turn in self.turns])),
            tir_fit_mm=tir,
            u_tir_fit_mm=spread / (2.0 * _t975(dof)),
            tir_fit_95_mm=interval,
            tir_first_mm=2.0 * amplitude,
            u_tir_first_mm=first.u_mm if first else estimate.u_mm if estimate else 0.0,
            tir_first_95_mm=(first.low_mm, first.high_mm) if first else (2 * amplitude, 2 * amplitude),
            high_point_deg=high_point,
            high_point_95_deg=(
                (math.degrees(told.high_point_low_rad), math.degrees(told.high_point_high_rad))
                if told
                else (high_point - 180.0, high_point + 180.0)
            ),
            low_point_deg=math.degrees(fit.low_point_rad),
            high_side_deg=side,
            u_high_side_deg=math.degrees(first.u_high_side_rad) if first else 180.0,
            high_side_95_deg=(
                (math.degrees(first.high_side_low_rad), math.degrees(first.high_side_high_rad))
                if first
                else (side - 180.0, side + 180.0)
            ),
            eccentricity_mm=amplitude if radial else None,
            centre_deg=None if not radial else side if setup.surface == "outside" else (side + 180.0) % 360.0,
            tilt_mrad=(
                1000.0 * amplitude / setup.track_radius_mm if not radial and setup.track_radius_mm else None
            ),
            form_mm=form.tir_mm,
            synchronous_mm=synchronous,
            asynchronous_mm=asynchronous,
            asynchronous_of_noise_mm=asynchronous_of_noise(len(self.turns), self._noise(), self.seed),
            drift_mm_per_s=fit.drift_mm_per_s if self.capture.timed else None,
            closure_mm=self.closure,
            noise_mm=self._noise(),
            dof=dof,
            clock=clock_tir_mm(fit),
            orders=tuple(self._orders()),
        )

    def _noise(self) -> float:
        return self.fit.noise_mm if math.isfinite(self.fit.noise_mm) else 0.0

    def _digit_mm(self) -> float:
        return self.capture.resolution_mm or self.facts.resolution_mm

    def _orders(self) -> list[OrderResult]:
        told, fit = self.uncertainty, self.fit
        return [
            OrderResult(
                n=n,
                cos_mm=float(fit.cos_mm[n - 1]),
                sin_mm=float(fit.sin_mm[n - 1]),
                u_mm=float(np.sqrt(np.mean(told.u_coefficients_mm[n - 1] ** 2))) if told else 0.0,
                amplitude_mm=float(fit.amplitude_mm[n - 1]),
                u_amplitude_mm=float(told.u_amplitude_mm[n - 1]) if told else 0.0,
                high_deg=math.degrees(fit.high_place_rad(n)),
                u_deg=math.degrees(float(told.u_high_place_rad[n - 1])) if told else 180.0 / n,
            )
            for n in range(1, fit.highest_order + 1)
        ]

    def _budget(self) -> list[BudgetLine]:
        told = self.uncertainty
        if self.stepped or told is None:
            return [BudgetLine("last written digit", self._digit_mm() / math.sqrt(6.0), None)]
        random = (told.random_half_width_low_mm + told.random_half_width_high_mm) / (2.0 * _t975(told.dof))
        lines = [BudgetLine("turn to turn", random, told.dof)]
        if told.resolution_half_width_mm > 0:
            lines.append(BudgetLine("resolution limits this", told.resolution_half_width_mm / 1.96, None))
        return lines + self.other

    def _evidence(
        self,
        detrended: Floats,
        search: BumpSearch,
        limit_mm: float,
        other_way: int,
        places: int,
        windows: Sequence[Window],
    ) -> Evidence:
        noise = noise_floor(self.reading, self._noise()) if len(self.reading) > 3 else 0.0
        turns, h = len(self.turns), self.fit.highest_order
        lasted = float(np.mean([turn.end_s - turn.start_s for turn in self.turns]))
        drift = self.fit.drift_mm_per_s
        per_turn = len(self.angle) / turns
        grid: Floats = np.arange(_CURVE_POINTS) * (2 * math.pi / _CURVE_POINTS)
        curves = np.array([_evaluate(turn.vectors_mm[: min(h, 5)], grid) for turn in self.turns])
        all_in_turns = np.concatenate([turn.where for turn in self.taken.turns])
        return Evidence(
            capture=self.capture,
            turns=self.turns,
            other_way=other_way,
            gauge=self.facts,
            reference_mm=limit_mm or self.fit.tir_mm,
            noise_mm=noise,
            # Ten coefficients of a turn, twice (a difference), four standard deviations over the circle.
            noise_of_curve_mm=noise * math.sqrt(2 * 11 / max(per_turn, 1.0)),
            closure_mm=None if self.closure is None else self.closure - (drift or 0.0) * lasted,
            closure_noise_mm=noise * math.sqrt(8.0 / max(2.0, per_turn / 36.0) / turns),
            drift_per_turn_mm=None if drift is None else drift * lasted,
            drift_noise_mm=noise * math.sqrt(12.0 / max(len(self.angle), 1)) / max(turns, 1),
            repeat_mm=difference_between_turns_mm(curves) if turns > 1 else 0.0,
            bumps=search.bumps,
            flats=self._flats(detrended),
            out_of_range_share=float(np.mean(self.capture.samples.out_of_range[all_in_turns])),
            jump=None
            if self.stepped
            else find_jump(
                self.angle,
                self.reading,
                self.time,
                orders=min(h, 8),
                noise_mm=noise,
                resolution_mm=self.facts.resolution_mm,
            ),
            places=places,
            holes_left_out=len(windows),
            typed=self.stepped,
        )

    def _flats(self, detrended: Floats) -> list[Flat]:
        if self.stepped:
            return []
        found: list[Flat] = []
        noise = noise_floor(self.reading, self._noise())
        for k in range(len(self.turns)):
            mine = self.taken.turn == k
            others = ~mine if len(self.turns) > 1 else mine
            try:
                expected = fit_harmonics(
                    self.angle[others], detrended[others], highest_order=min(self.fit.highest_order, 5)
                ).curve(self.angle[mine])
            except NotDecidable:
                continue
            found += find_flats(
                self.angle[mine], self.reading[mine], expected, noise, self.facts.resolution_mm
            )
        return found

    def _decision(
        self, pooled: Pooled, search: BumpSearch, checks: Sequence[Check], limit_mm: float
    ) -> Decision:
        assert self.limit is not None
        refused = [f"{check.name}: {check.text}" for check in checks if check.state == "refused"]
        written = self.limit.length.as_written
        if self.stepped and self.limit.quantity == "tir":
            estimate, upper = typed_estimate(self.angle, self.reading, self._digit_mm())
            return decide(estimate, limit_mm, limit_as_written=written, refused=refused, upper_mm=upper)
        estimate = self._estimate(pooled)
        if self.limit.quantity != "tir" or self.uncertainty is None:
            return decide(estimate, limit_mm, limit_as_written=written, refused=refused)
        return decide(
            estimate,
            limit_mm,
            limit_as_written=written,
            witnesses=self._witnesses(pooled, search),
            refused=refused,
            more_turns=more_turns_would_decide(self.uncertainty, limit_mm) or None,
        )

    def _estimate(self, pooled: Pooled) -> Estimate:
        assert self.limit is not None
        quantity, told = self.limit.quantity, self.uncertainty
        if told is None:
            return estimate_with_u(quantity, 2 * float(self.fit.amplitude_mm[0]), pooled.u_tir_first_mm)
        if quantity == "tir":
            return Estimate(
                "tir", told.tir_mm, pooled.u_tir_fit_mm, (told.low_mm, told.high_mm),
                told.low_one_sided_mm, told.high_one_sided_mm,
            )  # fmt: skip
        other = together_mm(self.other)
        first = told.first
        if quantity == "form":
            u = math.hypot(pooled.u_tir_fit_mm, other)
            return estimate_with_u("form", pooled.form_mm, u, told.dof)
        half = 0.5 if quantity == "eccentricity" else 1.0
        value = first.tir_first_mm

        def widened(limit: float, k: float) -> float:
            return half * (value + math.copysign(math.hypot(limit - value, k * other), limit - value))

        return Estimate(
            quantity,
            half * value,
            half * math.hypot(first.u_mm, other),
            (max(0.0, widened(first.low_mm, 1.96)), widened(first.high_mm, 1.96)),
            max(0.0, widened(first.low_one_sided_mm, 1.645)),
            widened(first.high_one_sided_mm, 1.645),
        )

    def _witnesses(self, pooled: Pooled, search: BumpSearch) -> list[Witness]:
        """The ridge rule: what a dial shows, and bumps that repeat, have to fall on the fit's side."""
        bias = range_bias_mm(
            self.fit.curve(self.angle[self.taken.turn == 0]),
            self._local_noise(),
            self.facts.resolution_mm,
            self.seed,
        )
        raw = pooled.tir_raw_mm - max(bias, 0.0)
        repeating = [bump for bump in search.bumps if bump.repeats and bump.kind != "hole"]
        named = "; ".join(describe_bump(bump) for bump in repeating)
        shown = (
            f"a dial would show {raw:.4f} mm (noise taken off), the fitted curve {pooled.tir_fit_mm:.4f} mm"
        )
        if not repeating:
            return [Witness(raw, shown)]
        # The bump itself is read more exactly than the noisy extremes of a turn: both have to agree.
        highest = max(raw, search.tir_with_bumps_mm) if raw > pooled.tir_fit_mm else raw
        found = [Witness(highest, f"{named}: with it {shown}")]
        return found

    def _local_noise(self) -> float:
        return noise_floor(self.reading, self._noise())

    def _stages(
        self, places: int, search: BumpSearch, checks: Sequence[Check], decision: Decision | None
    ) -> list[str]:
        s, told = self.capture.samples, self.uncertainty
        not_clear = [f"{check.name} {check.state}" for check in checks if check.state != "clear"]
        lines = [
            f"samples: {len(s)}, {int(s.new.sum())} of them new values, over {float(np.ptp(s.t_s)):.1f} s",
            f"turns: {len(self.turns)} full, {len(self.angle)} values that count at {places} places",
            f"fit: orders 1 to {self.fit.highest_order}"
            + (", drift" if self.fit.drift_mm_per_s is not None else "")
            + (f", {len(self.fit.lines)} line(s) that do not repeat with the turn" if self.fit.lines else "")
            + f", noise {self._noise():.5f} mm, condition {self.fit.condition:.1f}",
        ]
        if told:
            lines.append(
                f"uncertainty: {told.branch}, {told.dof:.0f} degrees of freedom, other lines "
                f"{together_mm(self.other):.5f} mm"
            )
        lines.append(f"bumps: {len(search.bumps)}")
        lines.append(f"checks: {len(checks)}, " + (", ".join(not_clear) if not_clear else "all clear"))
        if decision:
            lines.append(
                f"decision: {decision.quantity} {decision.value_mm:.4f} mm against {decision.limit_mm:.4f} mm: "
                f"{decision.state}"
            )
        return lines


def replace_order_one(fit: HarmonicFit) -> HarmonicFit:
    """Return the fit with its first order taken out: its max - min is the form."""
    cos_mm, sin_mm = fit.cos_mm.copy(), fit.sin_mm.copy()
    cos_mm[0] = sin_mm[0] = 0.0
    return replace(fit, cos_mm=cos_mm, sin_mm=sin_mm)


def _evaluate(vectors: NDArray[np.complex128], angle_rad: Floats) -> Floats:
    orders = np.arange(1, len(vectors) + 1)
    curve: Floats = (np.exp(-1j * np.multiply.outer(angle_rad, orders)) @ vectors).real
    return curve


def _t975(dof: float) -> float:
    from analysis.quantiles import t_quantile  # noqa: PLC0415

    return t_quantile(0.975, dof if dof >= 1 else math.inf)


__all__ = ["Bump", "Options", "analyse", "fit_sweep"]
