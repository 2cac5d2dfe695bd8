"""A part, its seat and a spindle as rigid bodies in space: rotation matrices, no vector arithmetic of runout.

The judge of the predictions: surfaces are points in the part's own frame, moved by rotations and shifts, and
the tip finds the surface on its own line. Lengths mm, angles rad. Nothing of ``analysis`` is used.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
PLACES = 64
PHI: Floats = np.arange(PLACES, dtype=np.float64) * (2 * math.pi / PLACES)


def turn_z(angle: float) -> Floats:
    """Return the rotation about z, the axis of turning."""
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def tilt(slope: float, direction: float) -> Floats:
    """Return the rotation that lifts the side at ``direction`` by ``slope`` (rad)."""
    axis = np.array([math.sin(direction), -math.cos(direction), 0.0])
    k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    return np.asarray(np.eye(3) + math.sin(slope) * k + (1 - math.cos(slope)) * (k @ k), np.float64)


@cache
def _circle() -> Floats:
    return np.stack([turn_z(float(phi)) @ np.array([1.0, 0.0, 0.0]) for phi in PHI], axis=1)[:2]


def turn_around(radius: float) -> Floats:
    """Return where the tip stands in the turning frame at each place: the turned tip, not the turned part."""
    return radius * _circle()


@dataclass(frozen=True)
class Face:
    """A face in the part's own frame, z its bearing axis: a plane and a form by angle alone."""

    radius: float
    plane: complex
    """Amplitude and direction of the plane at the radius."""
    form: dict[int, complex]
    """Orders 2 and up."""

    def height(self, x: Floats, y: Floats) -> Floats:
        """Return z of the surface over (x, y)."""
        psi = np.arctan2(y, x)
        z = (self.plane.real * x + self.plane.imag * y) / self.radius
        for n, amplitude in self.form.items():
            z = z + (amplitude * np.exp(-1j * n * psi)).real
        return z


@dataclass(frozen=True)
class Pose:
    """The part's frame in the frame of the axis it turns with."""

    rotation: Floats

    def sweep(self, face: Face) -> Floats:
        """Return the reading at each place of the turn, axis turned so that the place comes under the tip."""
        around = turn_around(face.radius)
        z: Floats = np.zeros(PLACES)
        for _ in range(4):
            x_b, y_b, z_b = self.rotation.T @ np.vstack([around, z])
            z = z + (face.height(x_b, y_b) - z_b) / self.rotation[2, 2]
        return z

    def cut(self, face: Face) -> Face:
        """Return the face after a cut square to the axis it turns with: a plane in the part's own frame."""
        normal = self.rotation.T @ np.array([0.0, 0.0, 1.0])
        slope = -(normal[0] + 1j * normal[1]) / normal[2]
        return Face(face.radius, complex(slope * face.radius), {})


IN_BEARINGS = Pose(np.eye(3))


def on_lathe(seat: complex, spindle: complex, radius: float, alpha: float) -> Pose:
    """Return the pose on a lathe: seat and spindle tilts given as amplitude and direction at the radius."""
    of_seat = tilt(abs(seat) / radius, float(np.angle(seat)))
    of_spindle = tilt(abs(spindle) / radius, float(np.angle(spindle)))
    return Pose(of_spindle @ turn_z(alpha) @ of_seat)


@dataclass(frozen=True)
class Round:
    """An outside in the part's own frame: a circle off the axis, with a form about its own centre."""

    radius: float
    centre: complex
    form: dict[int, complex]

    def sweep(self, shift: complex = 0j, alpha: float = 0.0, spindle: complex = 0j) -> Floats:
        """Return the reading at each place, seat shifted, part re-indexed, arbor off the spindle's axis."""
        centre = (self.centre + shift) * np.exp(1j * alpha) + spindle
        # The room turns instead of the part: the tip comes in along the ray at each place.
        ray = np.exp(1j * PHI)
        reach = np.full(PLACES, self.radius)
        for _ in range(40):
            off = reach * ray - centre
            psi = np.angle(off) - alpha
            wanted = self.radius + sum((z * np.exp(-1j * n * psi)).real for n, z in self.form.items())
            reach = reach + wanted - np.abs(off)
        return reach - self.radius


def orders_of(readings: Floats, highest: int = 8) -> NDArray[np.complex128]:
    """Return z_1..z_H of readings at PHI, by the sums of an even turn."""
    n = np.arange(1, highest + 1)
    return np.asarray(2.0 / PLACES * (np.exp(1j * np.multiply.outer(n, PHI)) @ readings), np.complex128)
