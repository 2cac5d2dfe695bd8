"""``tour``: the whole job told, its page left, and no folder touched that it did not make."""

import json
import re
from pathlib import Path

import pytest
from chromium import needs_browser, printed
from pages_made import never_said, text_of_html
from places import RECORDINGS, ROOT
from pypdf import PdfReader
from running import Ran, inside, move_in, one_line
from screens import practice_seat

README = (ROOT / "README.md").read_text(encoding="utf-8")
pytestmark = pytest.mark.slow  # each tour records and analyses ten sweeps


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("tour")


@pytest.fixture(autouse=True)
def at_home(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    move_in(home, monkeypatch)


@pytest.fixture(scope="module")
def tour(home: Path) -> Ran:
    with pytest.MonkeyPatch.context() as monkeypatch:
        move_in(home, monkeypatch)
        from running import fullturn

        return fullturn(home, "tour")


def test_it_tells_every_step_and_ends_with_its_page(tour: Ran, home: Path) -> None:
    assert (tour.status, tour.err) == (0, "")
    lines = tour.out.splitlines()
    assert [line.split()[0] for line in lines[1:11]] == [str(number) for number in range(1, 11)]
    assert lines[-2] == "Next, the same live: fullturn watch practice:wind-pump"
    last = lines[-1].removeprefix("Report: ")
    text = text_of_html((home / last).read_text("utf-8"))
    # Once, of the part as left; the sweep on the cutting mount gets no verdict anywhere.
    assert text.count("within the entered limit") == 1
    assert "As left: face runout 0.03" in text
    assert "after cut no evidence" in text
    assert "end float 0.2100 mm (refused); end float 0.0100 mm (doubtful)" in text


def test_it_says_what_is_true_of_the_story(tour: Ran) -> None:
    """The truth of the kept recordings of the same story, invented with it."""
    truths = {
        name: json.loads((RECORDINGS / f"wind-pump-{name}" / "expected.json").read_text("utf-8"))
        for name in ("as-found", "as-left")
    }
    lines = tour.out.splitlines()
    for line, name in ((lines[3], "as-found"), (lines[10], "as-left")):
        read = float(line.partition("Face runout ")[2].split()[0])
        # Half a printed digit, and three turns' noise.
        assert read == pytest.approx(truths[name]["tir_fit_mm"], abs=0.0015)
    assert "mount it again" in lines[4]
    assert "mounting good enough" in lines[5]


def test_both_traps_are_said_aloud(tour: Ran) -> None:
    lines = tour.out.splitlines()
    assert "TRAP 1" in lines[5]
    assert "as vectors" in lines[5]
    assert "TRAP 2" in lines[8]
    assert "not evidence of the result" in lines[8]
    assert never_said(tour.out) == []


def shown(kind: str) -> str:
    """Return README's block of what is seen."""
    (block,) = re.findall(rf"^```{kind}\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
    return str(block)


def test_readme_shows_what_the_tour_says(tour: Ran) -> None:
    said = [" ".join(line.split()) for line in tour.out.splitlines()]
    steps = [" ".join(step.split()) for step in re.split(r"\n(?= ?\d)", shown("tour"))]
    assert len(steps) == 3
    assert [step for step in steps if step not in said] == []


def test_readme_shows_the_top_of_its_page(tour: Ran, home: Path) -> None:
    page = text_of_html((home / "fullturn-tour" / "report.html").read_text("utf-8"))
    lines = [" ".join(line.split()) for line in re.split(r"\n(?=[A-Z])", shown("page"))]
    places = [page.find(line) for line in lines]
    assert len(lines) == 4
    assert -1 not in places
    assert places == sorted(places)


def test_readme_shows_the_screen_after_three_turns(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, "wind-pump/as-found")
    seat.turn(3)
    painted = [line.rstrip() for line in seat.text(80, 24).splitlines()]
    seat.close()
    assert painted == shown("screen").splitlines()


def test_nothing_goes_into_the_persons_store(tour: Ran, home: Path) -> None:
    assert not (home / "store.db").exists()
    assert not (home / "data").exists()


def test_its_recordings_can_be_read_by_every_command(tour: Ran, capsys: pytest.CaptureFixture[str]) -> None:
    assert inside(capsys, "sweep", "fullturn-tour/10-as-left.mcap").status == 0
    assert inside(capsys, "sweep", "fullturn-tour/08-after-cut.mcap").status == 0


def test_its_own_folder_is_made_anew_with_the_same_page(
    tour: Ran, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = home / "fullturn-tour" / "report.html"
    before, names = page.read_bytes(), sorted(each.name for each in page.parent.iterdir())
    result = inside(capsys, "tour", "--json").result
    assert page.read_bytes() == before
    assert sorted(each.name for each in page.parent.iterdir()) == names
    assert result["report"] == "fullturn-tour/report.html"
    assert [list(step) for step in result["steps"]] == 10 * [
        ["step", "did", "file", "said", "means", "state"]
    ]
    assert all((home / step["file"]).exists() for step in result["steps"])


@needs_browser
def test_its_page_is_printed_on_one_sheet(tour: Ran, home: Path, tmp_path: Path) -> None:
    reader = PdfReader(printed(home / "fullturn-tour" / "report.html", tmp_path))
    (sheet,) = reader.pages
    assert "- end of record -" in " ".join(sheet.extract_text().split())


@pytest.mark.parametrize("made", ["a file", "a folder", "a stranger's file in it"])
def test_what_it_did_not_make_is_not_touched(
    made: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "there"
    if made == "a file":
        target.write_text("mine")
    else:
        target.mkdir()
        (target / "mine.txt").write_text("mine")
        if made != "a folder":
            (target / "tour.json").write_text('{"made_by_fullturn_tour": ["report.html"]}')
            (target / "report.html").write_text("old")
    ran = inside(capsys, "tour", "-o", target)
    assert ran.status == 2
    assert "-o" in one_line(ran)
    if made == "a file":
        assert target.read_text() == "mine"
    else:
        assert (target / "mine.txt").read_text() == "mine"
        assert not (target / "report.html").exists() or (target / "report.html").read_text() == "old"


def test_a_folder_that_cannot_be_made_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    ran = inside(capsys, "tour", "-o", "no/such/place")
    assert ran.status == 2
    assert "cannot be written" in one_line(ran)
