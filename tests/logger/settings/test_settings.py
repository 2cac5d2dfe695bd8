"""Each setting and whence it comes: option, then environment, then file, then default."""

from collections.abc import Mapping
from pathlib import Path

import pytest
from running import inside, move_in

from analysis.errors import BadInput
from logger.settings.settings import ENVIRONMENT, FILE_NAME, load_settings


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where nothing is set but the config folder."""
    move_in(tmp_path, monkeypatch)
    for name in ("FULLTURN_STORE", "FULLTURN_DATA"):
        monkeypatch.delenv(name)
    (tmp_path / "config").mkdir()
    return tmp_path


def in_file(home: Path, text: str) -> None:
    (home / "config" / FILE_NAME).write_text(text)


def settings_of(environment: Mapping[str, str], home: Path, **options: str) -> dict[str, tuple[str, str]]:
    given = {"FULLTURN_CONFIG": str(home / "config"), **environment}
    return {one.name: (one.value, one.source) for one in load_settings(environment=given, **options).all()}


def test_by_default_lengths_are_millimetres(home: Path):
    assert settings_of({}, home)["units"] == ("mm", "default")


def test_the_file_goes_before_the_default(home: Path):
    in_file(home, 'units = "thou"\n')
    assert settings_of({}, home)["units"] == ("thou", "file")


def test_the_environment_goes_before_the_file(home: Path):
    in_file(home, 'units = "thou"\n')
    assert settings_of({"FULLTURN_UNITS": "in"}, home)["units"] == ("in", "environment")


def test_an_option_goes_before_the_environment(home: Path):
    in_file(home, 'units = "thou"\n')
    assert settings_of({"FULLTURN_UNITS": "in"}, home, units="um")["units"] == ("um", "option")


def test_an_empty_variable_is_none(home: Path):
    assert settings_of({"FULLTURN_UNITS": ""}, home)["units"] == ("mm", "default")


def test_the_store_lies_in_the_data_folder_unless_it_is_named(home: Path):
    assert settings_of({"FULLTURN_DATA": "/somewhere"}, home)["store"] == (
        "/somewhere/fullturn.db",
        "default",
    )


def test_the_store_can_be_named_by_option(home: Path):
    assert settings_of({"FULLTURN_STORE": "a.db"}, home, store="b.db")["store"] == ("b.db", "option")


def test_the_config_folder_cannot_be_named_by_the_file_in_it(home: Path):
    in_file(home, 'config = "/elsewhere"\n')
    assert settings_of({}, home)["config"] == (str(home / "config"), "environment")


def test_by_default_folders_are_the_user_s_own(home: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.delenv("FULLTURN_CONFIG")
    found = load_settings()
    assert found.config_folder.is_relative_to(home)
    assert found.data_folder.is_relative_to(home)


@pytest.mark.parametrize("source", ["file", "environment"])
def test_a_unit_that_is_not_printed_is_refused_with_its_source(home: Path, source: str):
    environment = {"FULLTURN_UNITS": "furlong"} if source == "environment" else {}
    if source == "file":
        in_file(home, 'units = "furlong"\n')
    with pytest.raises(BadInput, match=rf"units 'furlong' \(from {source}\) is not one of mm, um, in, thou"):
        settings_of(environment, home)


def test_a_file_that_is_no_toml_is_refused(home: Path):
    in_file(home, "units = \n")
    with pytest.raises(BadInput, match=r"fullturn\.toml is no TOML"):
        settings_of({}, home)


def test_a_folder_in_the_file_s_place_is_refused(home: Path):
    (home / "config" / FILE_NAME).mkdir()
    with pytest.raises(BadInput, match=r"fullturn\.toml cannot be read"):
        settings_of({}, home)


def test_the_command_shows_each_with_its_source(home: Path, capsys: pytest.CaptureFixture[str]):
    in_file(home, 'units = "thou"\n')
    ran = inside(capsys, "settings", "--store", "mine.db", "--json")
    sources = {one["name"]: one["source"] for one in ran.result["settings"]}
    assert sources == {"config": "environment", "data": "default", "store": "option", "units": "file"}


def test_the_command_names_the_variables(home: Path, capsys: pytest.CaptureFixture[str]):
    out = inside(capsys, "settings").out
    assert all(variable in out for variable in ENVIRONMENT.values())
