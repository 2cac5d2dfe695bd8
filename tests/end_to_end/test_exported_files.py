"""A file exported from a recording decides no more than its recording did, also passed on and changed by hand."""

import ast
import json
from itertools import pairwise
from pathlib import Path

import pytest
from places import ROOT
from running import fullturn, inside, one_line

from logger.inputs import FORMATS

END_FLOAT = "wind-pump-end-float"
RECORDINGS = sorted(
    folder.name for folder in (ROOT / "recordings").iterdir() if folder.is_dir() and folder.name != END_FLOAT
)
LIMIT = ("--limit", "0.05 mm")
WORSE = ("clear", "doubtful", "refused")


def recording(name: str) -> Path:
    (file,) = (ROOT / "recordings" / name).glob("*.mcap")
    return file


def test_an_end_float_without_a_turn_is_exported_all_the_same(tmp_path: Path) -> None:
    ran = fullturn(tmp_path, "export", recording(END_FLOAT), "-o", tmp_path / "float.csv")
    assert (ran.status, "samples" in ran.out) == (0, True)


@pytest.mark.parametrize("name", RECORDINGS)
def test_what_is_read_back_is_no_surer_than_the_recording(tmp_path: Path, name: str) -> None:
    sure = fullturn(tmp_path, "sweep", recording(name), *LIMIT, "--json")
    once, twice = tmp_path / "once.csv", tmp_path / "twice.csv"
    assert fullturn(tmp_path, "export", recording(name), "-o", once).status == 0
    assert fullturn(tmp_path, "export", once, "-o", twice).status == 0
    assert once.read_bytes() == twice.read_bytes()
    states = {check["name"]: check["state"] for check in sure.result["checks"]}
    for file in (once, twice):
        back = fullturn(tmp_path, "sweep", file, *LIMIT, "--json")
        assert back.status in (sure.status, 3)
        result = back.result
        assert (result["recording_id"], result["closed"], result["link"]) == (None, None, None)
        source = result["from_recording"]
        assert source["recording_id"] == sure.result["recording_id"]
        assert source["link"]["enc_errors"] == sure.result["link"]["enc_errors"]
        again = {check["name"]: check["state"] for check in result["checks"]}
        refused = {one for one, state in states.items() if state == "refused"}
        assert refused <= {one for one, state in again.items() if state == "refused"}


def test_lost_counts_stay_lost_in_words_too(tmp_path: Path) -> None:
    file = tmp_path / "lost.csv"
    fullturn(tmp_path, "export", recording("wind-pump-as-found-lost-counts"), "-o", file)
    back = fullturn(tmp_path, "sweep", file, *LIMIT)
    # Before, the file was "over" with all its checks clear.
    assert back.status == 3
    assert "said by the recording it came from" in back.out
    file.write_text(file.read_text().replace("check.counts = refused", "check.counts = clear"))
    changed = fullturn(tmp_path, "sweep", file, *LIMIT)
    assert changed.status == 3
    assert "changed or damaged" in changed.out


@pytest.mark.parametrize("name", [*RECORDINGS, END_FLOAT])
@pytest.mark.parametrize("form", ["csv-semicolons", "json", "parquet"])
def test_passed_on_it_stays_the_same_byte_for_byte(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], form: str, name: str
) -> None:
    files = [recording(name), *(tmp_path / f"{k}{FORMATS[form]}" for k in range(2))]
    for source, target in pairwise(files):
        assert inside(capsys, "export", source, "-o", target, "--format", form).status == 0
    assert files[1].read_bytes() == files[2].read_bytes()


@pytest.mark.parametrize("command", [("thickness",), ("sweep", "--opposed", "1")])
def test_one_column_is_never_two_tips(tmp_path: Path, command: tuple[str, ...]) -> None:
    file = tmp_path / "one.csv"
    fullturn(tmp_path, "export", recording("wind-pump-as-found"), "-o", file)
    ran = fullturn(tmp_path, command[0], file, *command[1:])
    assert ran.status == 2
    assert "one column of readings, which is one tip" in ran.err


def test_one_channel_is_never_two_tips(tmp_path: Path) -> None:
    ran = fullturn(tmp_path, "thickness", recording("wind-pump-as-found"), "--second", "0")
    assert ran.status == 2
    assert "never two tips" in ran.err


@pytest.mark.parametrize("name", ["lost.csv", "lost.json", "lost.parquet"])
def test_what_was_refused_stays_refused_in_every_format(tmp_path: Path, name: str) -> None:
    file = tmp_path / name
    assert fullturn(tmp_path, "export", recording("wind-pump-as-found-lost-counts"), "-o", file).status == 0
    back = fullturn(tmp_path, "sweep", file, *LIMIT, "--json")
    assert back.status == 3
    (counts,) = [check for check in back.result["checks"] if check["name"] == "counts"]
    assert (counts["state"], back.result["decision"]["state"]) == ("refused", "undecided")


def test_a_plain_csv_has_its_columns_alone_and_is_read_back_with_what_lies_beside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = "wind-pump-as-found-lost-counts"
    plain, whole, back = (tmp_path / one for one in ("plain.csv", "whole.csv", "back.csv"))
    assert inside(capsys, "export", recording(name), "-o", plain, "--plain").status == 0
    assert inside(capsys, "export", recording(name), "-o", whole).status == 0
    lines = plain.read_text().splitlines()
    assert lines[0] == "t_s,turn,angle_deg,reading_mm,new"
    assert lines == [line for line in whole.read_text().splitlines() if not line.startswith("#")]
    assert inside(capsys, "export", plain, "-o", back).status == 0
    assert back.read_bytes() == whole.read_bytes()
    found = inside(capsys, "sweep", plain, *LIMIT, "--json")
    assert found.status == 3
    assert {one["name"] for one in found.result["checks"] if one["state"] == "refused"} == {"counts"}
    beside = tmp_path / "plain.csv.json"
    assert json.loads(beside.read_text())["setup"]["part"] == "bull-gear flange"
    # Neither file is ever written over, and what is no CSV has nothing beside it.
    plain.unlink()
    assert "exists already" in one_line(inside(capsys, "export", whole, "-o", plain, "--plain"))
    assert "goes with a CSV" in one_line(inside(capsys, "export", whole, "-o", "a.json", "--plain"))
    beside.write_text("[]")
    plain.write_text("\n".join(lines))
    assert "is no object" in one_line(inside(capsys, "sweep", plain))


def test_a_notebook_reads_its_recording_and_every_cell_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    files = [tmp_path / f"{k}.ipynb" for k in range(2)]
    for file in files:
        assert inside(capsys, "export", recording("wind-pump-as-left"), "-o", file).status == 0
    assert files[0].read_bytes() == files[1].read_bytes()
    written = json.loads(files[0].read_text())
    assert (written["nbformat"], len(written["cells"])) == (4, 6)
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    last = {}
    for number, cell in enumerate(written["cells"]):
        if cell["cell_type"] == "code":
            tree = ast.parse("".join(cell["source"]))
            shown = tree.body.pop()
            assert isinstance(shown, ast.Expr)  # what a notebook shows under the cell
            exec(compile(tree, f"cell {number}", "exec"), names)
            last[number] = eval(compile(ast.Expression(shown.value), f"cell {number}", "eval"), names)
    printed = inside(capsys, "sweep", recording("wind-pump-as-left"), "--json").result
    assert last[2].pooled.tir_fit.value == printed["pooled"]["tir_fit_mm"]
    assert last[3].state == "within"
    assert last[4].get_lines()
    assert last[5].first.tir_first.value == 0.0


def test_a_name_and_a_format_that_do_not_fit_are_refused(tmp_path: Path) -> None:
    ran = fullturn(tmp_path, "export", recording("wind-pump-as-left"), "-o", "a.csv", "--format", "json")
    assert (ran.status, ran.out) == (2, "")
    assert "does not end in .json" in ran.err
    assert not (tmp_path / "a.csv").exists()
