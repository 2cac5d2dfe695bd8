"""The text of a second tip on one face."""

from example_results import opposed

from logger.reports import two_tips


def test_two_tips_say_what_one_alone_would_have_read() -> None:
    report = two_tips.as_text(opposed(), "mm")
    assert "The shaft walks 0.0" in report.answer
    assert report.rows[0].startswith("One tip alone reads 0.1")
    assert report.rows[1].startswith("Order 2, 4, 6, 8, 10, 12, 14 may be the face's or the walk's")
