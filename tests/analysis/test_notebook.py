"""What notebooks show: read by the HTML parser of the standard library, whatever a part is called."""

from html.parser import HTMLParser

import pytest
from made_sweeps import capture, made, wobble

import analysis

NASTY = "<script>alert(1)</script> & \"x\" 'y' \u202e"
SWEEP = made(wobble(0.142), noise_mm=0.0008, step_mm=0.001)


class Read(HTMLParser):
    """Collects elements and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.words = ""
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(tag)
        self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += data


@pytest.mark.parametrize("analysed", [False, True], ids=["a sweep", "a result"])
def test_every_text_is_escaped_and_every_element_closed(analysed: bool) -> None:
    taken = capture(SWEEP, 0.001, part=NASTY, limit="0.2 mm")
    read = Read((analysis.analyse(taken) if analysed else taken)._repr_html_())
    assert read.open == []
    assert set(read.elements) <= {"div", "table", "caption", "tr", "th", "td", "svg", "polyline"}
    assert NASTY.replace("\u202e", ".") in read.words


def test_a_result_shows_its_answer_what_is_in_doubt_and_its_curve() -> None:
    result = analysis.analyse(capture(SWEEP, 0.001, limit="0.2 mm"))
    read = Read(result._repr_html_())
    assert f"{result.answer_tir_mm:.4f} mm" in read.words
    assert "within the entered limit, 0.2 mm" in read.words
    assert read.elements.count("polyline") == 1
    for check in result.checks:
        assert (check.text in read.words) is (check.state != "clear")


def test_without_a_limit_nothing_is_decided() -> None:
    assert "no limit entered" in Read(analysis.analyse(capture(SWEEP, 0.001))._repr_html_()).words
