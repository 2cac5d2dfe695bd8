"""The text of backlash at a few places."""

from example_results import gear

from logger.reports import backlash, torque


def test_backlash_without_a_sweep_has_no_checks_to_tell_of() -> None:
    report = backlash.as_text(gear(), None, "mm")
    assert report.answer.startswith("Backlash 0.133 mm (5.2 thou) on the mean of 4 places, range 0.0300 mm")
    assert report.trust == ()
    assert report.notes[-1] == torque.MAKER
