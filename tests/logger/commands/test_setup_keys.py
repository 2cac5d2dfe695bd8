"""Keys of a set-up as typed: the listing, README's table, and what is refused with the nearest key."""

import json
from itertools import takewhile
from pathlib import Path

import pytest
from places import ROOT
from running import inside

from analysis.errors import BadInput
from analysis.setup import FIELDS
from logger.commands.options import SetupOptions
from logger.commands.setup_keys import row_of, typed_fields
from logger.decoding import RIG_KEYS


def typed(*pairs: str, setup_file: Path | None = None) -> dict[str, str]:
    return SetupOptions(str(setup_file) if setup_file else None, pairs).text()


@pytest.mark.parametrize("key", [*(field.key for field in FIELDS), *RIG_KEYS])
def test_every_key_may_be_typed(key: str) -> None:
    assert typed(f"{key}=1") == {key: "1"}


@pytest.mark.parametrize(
    ("wrong", "nearest"),
    [
        ("surfce", "surface"),
        ("Part", "part"),
        ("track-radius", "track_radius"),
        ("rig.line.patern", "rig.line.pattern"),
        ("rig.second.encoder.counts", "rig.second.encoder.counts_per_turn"),
    ],
)
def test_a_key_that_is_none_is_refused_with_the_nearest(wrong: str, nearest: str) -> None:
    with pytest.raises(BadInput) as refused:
        typed(f"{wrong}=1")
    assert str(refused.value) == (
        f"--set {wrong}=1: no such set-up key; did you mean {nearest}? `fullturn settings --fields` lists them"
    )


def test_a_key_like_none_is_refused_without_a_guess() -> None:
    with pytest.raises(BadInput, match=r"^--set xyzzy=1: no such set-up key; `fullturn settings --fields`"):
        typed("xyzzy=1")


def test_a_set_up_file_is_typed_too(tmp_path: Path) -> None:
    path = tmp_path / "flange.toml"
    path.write_text('surface = "bore"\ncolour = "red"\n')
    with pytest.raises(BadInput, match=r"--setup .*flange\.toml, colour: no such set-up key"):
        typed(setup_file=path)


def test_the_set_up_of_a_recording_may_be_typed_whole(tmp_path: Path) -> None:
    path = tmp_path / "kept.toml"
    path.write_text('part = "hub"\ncrc32 = "00000000"\n')
    assert typed(setup_file=path) == {"part": "hub", "crc32": "00000000"}


def test_a_command_ends_2_for_a_key_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    ran = inside(capsys, "sweep", "practice:wind-pump/as-found", "--set", "surfce=face")
    assert (ran.status, ran.out) == (2, "")
    assert "did you mean surface?" in ran.err


def test_a_key_that_was_recorded_is_kept_and_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "old.csv"
    rows = "".join(f"{deg},{0.01 * (deg % 360 > 180)}\n" for deg in range(0, 725, 5))
    path.write_text(f"# part = hub\n# surfce = face\nangle_deg,reading_mm\n{rows}")
    ran = inside(capsys, "sweep", path)
    assert ran.status != 2
    assert "Note: set-up keys kept but not understood: surfce." in ran.out


def test_the_listing_has_a_line_for_every_field(capsys: pytest.CaptureFixture[str]) -> None:
    head, *lines = inside(capsys, "settings", "--fields").out.splitlines()
    assert head.split() == ["key", "default", "unit", "example", "what", "it", "is"]
    assert [line.split()[0] for line in lines] == [field.key for field in typed_fields()]
    assert all(line.endswith(row_of(field)[-1]) for line, field in zip(lines, typed_fields(), strict=True))


def test_the_listing_as_an_object_has_every_value(capsys: pytest.CaptureFixture[str]) -> None:
    listed = json.loads(inside(capsys, "settings", "--fields", "--json").out)["fields"]
    assert [(one["key"], one["default"], one["example"], tuple(one["choices"])) for one in listed] == [
        (field.key, field.default, field.example, field.words) for field in typed_fields()
    ]


def table_of_keys() -> list[str]:
    page = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    head = page.index("| key | default | unit | example | what it is |")
    return list(takewhile(lambda line: line.startswith("|"), page[head + 2 :]))


def test_readme_has_the_usual_keys_as_the_program_lists_them() -> None:
    usual, every = table_of_keys(), [as_markdown(row_of(field)) for field in FIELDS]
    assert 10 < len(usual) < 20
    assert [row for row in usual if row not in every] == []


def as_markdown(row: tuple[str, ...]) -> str:
    """Return a row of the table; what is typed stands as code."""
    key, default, unit, example, what = row
    cells = (f"`{key}`", f"`{default}`" if default else "", unit, f"`{example}`", what)
    return f"| {' | '.join(cells)} |"
