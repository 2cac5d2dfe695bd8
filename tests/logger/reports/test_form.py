"""The text of form."""

from example_results import own

from analysis.measurands import forms
from logger.reports import form


def test_form_of_a_face_has_flatness_and_no_roundness() -> None:
    report = form.as_text(forms([own().result])[0], 1, "mm")
    assert [row.split(" ")[0] for row in report.rows] == ["flatness,", "total"]
