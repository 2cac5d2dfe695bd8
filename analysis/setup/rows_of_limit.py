"""Fields of the set-up that tell the limit and how often it is looked at."""

from analysis.setup.choices import Quantity
from analysis.setup.field_type import CompareEffect, FieldGroup, FieldKind, SetupField

LIMIT = (
    SetupField(
        key="limit",
        kind=FieldKind.LENGTH,
        help="limit as the manual writes it",
        example="0.050 mm",
        label="limit as written",
        hint="0.050 mm, 3 thou",
        group=FieldGroup.LIMIT,
    ),
    SetupField(
        key="limit_quantity",
        kind=FieldKind.CHOICE,
        help="what the limit is of",
        example="eccentricity",
        label="limit is of",
        default="tir",
        choices=Quantity,
        group=FieldGroup.LIMIT,
        compare=CompareEffect.BLOCKS,
    ),
    SetupField(
        key="limit_radius",
        kind=FieldKind.LENGTH,
        help="radius at which the limit of a face holds, if stated",
        example="150 mm",
        label="limit's radius",
        hint="face at another radius",
        positive=True,
        group=FieldGroup.LIMIT,
    ),
    SetupField(
        key="turns_planned",
        kind=FieldKind.WHOLE,
        help="full turns planned beforehand: looked at after so many, twice and three times as many",
        example="3",
        label="turns planned",
        hint="before the first turn",
        whole=range(1, 100_001),
        attribute="turns_planned",
    ),
    SetupField(
        key="looks_before",
        kind=FieldKind.WHOLE,
        help="earlier recordings of this part, stage and limit, counted when a recording begins",
        example="1",
        whole=range(100_001),
        attribute="looks_before",
        of_one_sweep=True,
    ),
    SetupField(
        key="limit_source",
        kind=FieldKind.TEXT,
        help="where the limit is written",
        example="manual p. 12",
        label="limit stands in",
        hint="manual and page",
        group=FieldGroup.LIMIT,
    ),
)
