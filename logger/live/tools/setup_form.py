"""The set-up as a list of fields a person walks through, and what else stands on its page."""

from dataclasses import dataclass

from analysis.setup import CHOICES, DEFAULTS, Setup


@dataclass(frozen=True, slots=True)
class Field:
    """One line of the set-up page."""

    key: str
    label: str
    hint: str = ""

    @property
    def choices(self) -> tuple[str, ...]:
        """The values it may have; empty where it is typed."""
        return tuple(word.value for word in CHOICES.get(self.key, ()))

    def value(self, setup: Setup) -> str:
        """Return its value as written, or its default."""
        return setup.text.get(self.key, DEFAULTS.get(self.key, ""))

    def next_value(self, setup: Setup, step: int = 1) -> str:
        """Return the choice after (or before) the present one."""
        at = self.choices.index(self.value(setup)) if self.value(setup) in self.choices else 0
        return self.choices[(at + step) % len(self.choices)]


FIELDS = (
    Field("part", "part", "what is measured"),
    Field("job", "job number"),
    Field("surface", "surface", "face, outside or bore"),
    Field("stage", "stage"),
    Field("track_radius", "track radius", "110 mm"),
    Field("limit", "limit as written", "0.050 mm, 3 thou"),
    Field("limit_quantity", "limit is of"),
    Field("limit_radius", "limit's radius", "face at another radius"),
    Field("limit_source", "limit stands in", "manual and page"),
    Field("holes", "holes", "6, or 15:8 135:8 (width)"),
    Field("preload", "preload", "shims, nut"),
    Field("operator", "operator"),
    Field("declared_end", "seen from", "the end clockwise is told from"),
    Field("sense", "sense", "+1: counts rise clockwise"),
    Field("mark", "mark", "touched, or the index pulse"),
    Field("mark_on", "mark is on"),
    Field("button_1", "board's button 1"),
    Field("gauge_type", "gauge"),
    Field("gauge_angle", "gauge angle", "degrees off"),
    Field("gauge_id", "gauge's number"),
    Field("gauge_due", "certificate due", "2026-03-31"),
    Field("gauge_table", "certificate", "0:0 1:+0.001 2:-0.002 mm"),
    Field("tip_clock", "tip stands at", "clock place, 1 to 12"),
    Field("crayon_at", "crayon at", "clock place, 1 to 12"),
    Field("screws", "screws", "0 120 240, degrees"),
    Field("angle_source", "angle from", "auto: encoder, else index"),
    Field("places", "places", "how many, with stops"),
    Field("counts_per_turn", "counts a turn", "empty: as the board says"),
)
CHECK, LEARN = "20-second check", "learn the encoder"
ACTIONS = (CHECK, LEARN)
"""What can be begun from the set-up page, above its fields."""
