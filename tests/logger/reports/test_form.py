"""The text of form."""

import numpy as np
from example_results import own

from analysis import fit_sweep
from analysis.measurands import forms
from logger.reports import form


def test_form_of_a_face_has_flatness_and_no_roundness() -> None:
    report = form.as_text(forms([own().result])[0], 1, "mm")
    assert [row.split(" ")[0] for row in report.rows] == ["flatness,", "total"]


def test_form_of_points_says_so() -> None:
    angle = np.arange(9) * (np.pi / 4)
    found = forms([fit_sweep(angle, np.cos(2 * angle), setup={"surface": "outside"})])[0]
    report = form.as_text(found, 1, "mm")
    assert report.answer == "Form, of 8 points as they were read:"
