"""What ``learn-lag`` prints."""

from example_results import late

from logger.reports import learnt_lag
from logger.reports.phrases import layout


def test_the_answer_is_how_late_the_gauge_is_and_how_to_say_so() -> None:
    text = layout(learnt_lag.as_text(late(), "mm"))
    assert text.startswith("The gauge is 99 ms late (95 %: 95 to 103 ms).")
    assert "without both the high side is at 50.0 deg" in text
    assert "-6.mcap: -6.0 turns a minute, high side 46.4 deg as counted" in text
    assert f'--set "gauge_delay={learnt_lag.delay_as_written(late())}"' in text
