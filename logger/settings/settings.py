"""Each setting and whence it comes: option, then environment, then fullturn.toml, then default."""

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Any

import platformdirs

from analysis.errors import BadInput
from analysis.units import PRINTED_UNITS

APP = "fullturn"
FILE_NAME = "fullturn.toml"
ENVIRONMENT = {
    "config": "FULLTURN_CONFIG",
    "data": "FULLTURN_DATA",
    "store": "FULLTURN_STORE",
    "units": "FULLTURN_UNITS",
}


class SettingSource(StrEnum):
    """Whence a setting comes; each goes before the ones after it."""

    OPTION = "option"
    ENVIRONMENT = "environment"
    FILE = "file"
    DEFAULT = "default"


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting in force."""

    name: str
    value: str
    source: SettingSource


@dataclass(frozen=True)
class Settings:
    """All settings in force."""

    config: Setting
    """Folder of fullturn.toml, known boards and set-ups."""
    data: Setting
    """Folder recordings go to."""
    store: Setting
    """SQLAlchemy URL, or a path ending in .db."""
    units: Setting
    """Unit of printed lengths."""

    def all(self) -> list[Setting]:
        """Return them in the order they are shown."""
        return [self.config, self.data, self.store, self.units]

    @property
    def config_folder(self) -> Path:
        """The config folder as a path."""
        return Path(self.config.value)

    @property
    def data_folder(self) -> Path:
        """The data folder as a path."""
        return Path(self.data.value)


def load_settings(
    *, store: str | None = None, units: str | None = None, environment: Mapping[str, str] | None = None
) -> Settings:
    """Return the settings; raises BadInput for a file that is no TOML and a unit that is not printed."""
    env = os.environ if environment is None else environment
    config = _pick("config", None, env, {}, platformdirs.user_config_dir(APP, appauthor=False))
    file = _read(Path(config.value) / FILE_NAME)
    data = _pick("data", None, env, file, platformdirs.user_data_dir(APP, appauthor=False))
    chosen = Settings(
        config=config,
        data=data,
        store=_pick("store", store, env, file, str(Path(data.value) / "fullturn.db")),
        units=_pick("units", units, env, file, "mm"),
    )
    if chosen.units.value not in PRINTED_UNITS:
        raise BadInput(
            f"units {chosen.units.value!r} (from {chosen.units.source}) is not one of "
            f"{', '.join(PRINTED_UNITS)}"
        )
    return chosen


@dataclass(frozen=True, slots=True)
class Laboratory:
    """Who answers for a record, as [lab] of fullturn.toml says; empty = not entered."""

    name: str = ""
    address: str = ""
    method: str = ""


def laboratory_settings(config_folder: Path) -> Laboratory:
    """Return what [lab] of fullturn.toml says. Raises BadInput for what it should not hold."""
    path = config_folder / FILE_NAME
    entered = _table(path).get("lab", {})
    known = tuple(Laboratory.__dataclass_fields__)
    if not isinstance(entered, dict):
        raise BadInput(f"{path}: lab is no table; write [lab] with {', '.join(known)} under it")
    strange = [key for key in entered if key not in known]
    if strange:
        raise BadInput(f"{path}: {strange[0]} is no key of [lab], which has {', '.join(known)}")
    return Laboratory(**{key: str(value) for key, value in entered.items()})


def _pick(
    name: str, option: str | None, env: Mapping[str, str], file: Mapping[str, str], default: str
) -> Setting:
    if option:
        return Setting(name, option, SettingSource.OPTION)
    if env.get(ENVIRONMENT[name]):
        return Setting(name, env[ENVIRONMENT[name]], SettingSource.ENVIRONMENT)
    if file.get(name):
        return Setting(name, str(file[name]), SettingSource.FILE)
    return Setting(name, default, SettingSource.DEFAULT)


def _read(path: Path) -> dict[str, str]:
    return {key: str(value) for key, value in _table(path).items()}


def _table(path: Path) -> dict[str, Any]:
    try:
        with path.open("rb") as file:
            return tomllib.load(file)
    except FileNotFoundError:
        return {}
    except (ValueError, RecursionError) as error:
        raise BadInput(f"{path} is no TOML ({error}): correct it or move it away") from error
    except OSError as error:
        raise BadInput(f"{path} cannot be read: {error.strerror}") from error
