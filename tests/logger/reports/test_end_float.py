"""The text of an end float: held against a share of the runout's limit, or its own."""

from example_results import push_pull

from logger.reports import end_float


def test_too_much_end_float_is_refused_in_the_answer() -> None:
    report = end_float.as_text(push_pull(0.05), "0.05 mm (1.97 thou)", "mm")
    assert report.answer == (
        "End float 0.210 mm (8.3 thou), pushed and pulled 7 times, 4.20 times the limit 0.05 mm (1.97 thou): "
        "too much, take the float out before a face is measured."
    )


def test_a_limit_of_the_end_float_itself_is_held_like_any_other() -> None:
    report = end_float.as_text(push_pull(0.05, own_limit=True), "0.05 mm", "mm")
    assert report.answer.endswith(": over the entered limit.")
    assert "guard band" in report.notes[1]


def test_end_float_without_a_limit_is_held_against_none() -> None:
    answer = end_float.as_text(push_pull(None), "", "mm").answer
    assert answer.endswith("; no limit was entered to hold it against.")
