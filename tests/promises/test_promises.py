"""Every word that files, scripts and other programs rely on stands in a list here and is what the program says.

A list may grow by a line. A line that is lost or changed breaks what somebody has written or recorded.
"""

import csv
import hashlib
import json
import logging
import re
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from places import FROZEN_JOBS, FROZEN_STORE, RECORDINGS, REFERENCE, ROOT
from promises import inside, outside
from promises.outside import FOUND, HALF_BEFORE, LEFT, MOUNT, RESULTS, Program, recording
from running import home_variables, move_in

import analysis
from analysis.errors import StoreError

HERE = ROOT / "tests" / "promises"
EVERY_EVENT = REFERENCE / "recording_every_event.mcap"
WITHOUT_MEANING = "of-another-sender"


def promised(name: str) -> list[str]:
    """Return the lines of a list."""
    return (HERE / f"{name}.txt").read_text(encoding="utf-8").splitlines()


def hold(name: str, said: Iterable[str]) -> None:
    """Compare what the program says with a list, whatever the order."""
    listed, found = promised(name), list(dict.fromkeys(said))
    assert len(set(listed)) == len(listed)
    gone = [line for line in listed if line not in found]
    new = [line for line in found if line not in listed]
    assert not gone, f"promised in {name}.txt and no more said by the program"
    assert not new, f"said by the program and not in {name}.txt: add the lines"


def in_order(name: str, said: Iterable[str]) -> None:
    """Compare what the program says with a list whose order is promised too."""
    assert list(said) == promised(name)


def results(program: Program) -> Iterator[Any]:
    """Yield every object of every result, however deep."""
    waiting: list[Any] = [result for command in RESULTS for result in program.objects(command)]
    while waiting:
        one = waiting.pop()
        if isinstance(one, dict):
            yield one
        waiting += one.values() if isinstance(one, dict) else one if isinstance(one, list) else []


# --- recordings ----------------------------------------------------------------------------------------


def events_written() -> list[dict[str, Any]]:
    """Return the events of the frozen recording as the container's own library reads them."""
    return [json.loads(data) for topic, _, _, data in outside.messages_of(EVERY_EVENT) if topic == "events"]


def test_the_recording_of_every_event_has_every_word_and_field_that_is_promised() -> None:
    fields: dict[str, list[str]] = {}
    for event in events_written():
        kept = fields.setdefault(event["event"], [])
        kept += [key for key in event if key != "event" and key not in kept]
    del fields[WITHOUT_MEANING]
    hold("event_words", (f"{word}: {' '.join(names)}".strip() for word, names in fields.items()))


def test_the_events_the_program_knows_are_those_promised() -> None:
    # Those that came later stand in no frozen recording of every event.
    names = ("event_words", "event_words_of_reading", "event_words_later")
    listed = [promised(name) for name in names]
    assert sorted(inside.event_words()) == sorted(line for lines in listed for line in lines)


def test_every_part_of_the_indicators_check_has_its_event() -> None:
    assert set(inside.INDICATOR_CHECK_WORDS) <= {line.partition(":")[0] for line in inside.event_words()}


def test_every_event_comes_back_as_it_was_written(tmp_path: Path) -> None:
    assert inside.copy_recording(EVERY_EVENT, tmp_path / "copy.mcap") == events_written()


def test_a_copy_of_every_event_through_the_program_loses_nothing(tmp_path: Path) -> None:
    copy = tmp_path / "copy.mcap"
    inside.copy_recording(EVERY_EVENT, copy)
    assert outside.messages_of(copy) == outside.messages_of(EVERY_EVENT)
    assert outside.metadata_of(copy) == outside.metadata_of(EVERY_EVENT)
    assert set(outside.layout_of(copy)) == set(outside.layout_of(EVERY_EVENT))


def test_nothing_of_the_recording_of_every_event_is_damaged_or_skipped(program: Program) -> None:
    result = json.loads(program.run("check-file", str(EVERY_EVENT), "--json")[1])
    # The digest of the file as it was committed: a frozen file that changes is no longer the promise.
    assert result["sha256"] == "6537f7a2f1861096e57669471d577d44efa540f4d2ee38023cca25327020c217"
    expected = {"frames": 41, "bad": 0, "lost": 0, "messages": 80, "skipped_bytes": 0, "closed": True}
    assert {key: result[key] for key in expected} == expected
    # Two of its three gaps are on the board's link; the third is on a link of lines, where none are counted.
    assert [gap["why"] for gap in result["gaps"]] == ["lost", "stalled"]


def test_recordings_are_laid_out_as_promised(program: Program) -> None:
    status, _, err = program.run("practice", "wind-pump/as-found", "--turns", "2", "--write", "made.mcap")
    assert status == 0, err
    inside.copy_recording(EVERY_EVENT, program.home / "copy.mcap")
    layouts = (outside.layout_of(program.home / name) for name in ("made.mcap", "copy.mcap"))
    hold("recording_layout", (line for layout in layouts for line in layout))


def test_the_same_seed_writes_the_same_bytes(program: Program) -> None:
    command = ("practice", "wind-pump/as-left", "--seed", "3", "--write", "again.mcap")
    assert program.run(*command)[0] == 0
    kept = (RECORDINGS / "wind-pump-as-left" / "recording.mcap").read_bytes()
    assert (
        hashlib.sha256((program.home / "again.mcap").read_bytes()).digest() == hashlib.sha256(kept).digest()
    )


# --- the set-up ----------------------------------------------------------------------------------------


def test_the_keys_of_a_set_up_are_those_promised() -> None:
    hold("setup_keys", inside.SETUP_KEYS)


def test_the_values_of_a_set_up_are_those_promised(program: Program) -> None:
    asked = [word for key in promised("setup_keys") for word in ("--set", f"{key}=?")]
    refused = program.refusal("sweep", "points.csv", *asked)
    choices = re.findall(r"(\w+) '\?' is not one of ([^;:]+)", refused)
    hold("setup_values", (f"{key}: {value}" for key, values in choices for value in values.split(", ")))


def test_the_keys_and_words_of_a_rig_are_those_promised(program: Program) -> None:
    pattern = "pattern = '(?P<reading>x)'"
    strange = ('strange = "?"', *(f'{key} = "?"' for key in ("time_unit", "check")))
    one = "\n".join(("[line]", pattern, *strange, "[port]", 'parity = "?"'))
    two = "\n".join(("[line]", pattern, "[second.line]", pattern, *strange))
    keys: list[str] = []
    for prefix, text in (("rig.", one), ("rig.second.", two)):
        (program.home / f"{prefix}toml").write_text(text)
        refused = program.refusal("record", "-", "--rig", f"{prefix}toml")
        listed = re.search(r"strange is no key of a rig \(([^)]+)\)", refused)
        assert listed is not None, refused
        keys += [prefix + key for key in listed[1].split(", ")]
    hold("rig_keys", keys)
    refused = program.refusal("record", "-", "--rig", "rig.toml")
    words = re.findall(r"(line\.\w+|port\.\w+) '\?' is not one of ([^;:]+)", refused)
    hold("rig_values", (f"rig.{key}: {word}" for key, said in words for word in said.split(", ")))


# --- commands and what they print ----------------------------------------------------------------------


def test_commands_and_options_are_those_promised() -> None:
    hold("commands_and_options", outside.commands())


def test_json_keys_are_those_promised_in_their_order(program: Program) -> None:
    said = [f"{name}: {path}" for name in RESULTS for path in outside.paths_of(*program.objects(name))]
    in_order("json_keys", said)


@pytest.mark.parametrize("command", RESULTS)
def test_every_single_result_has_its_keys_in_the_promised_order(program: Program, command: str) -> None:
    for result in program.objects(command):
        said = [f"{command}: {path}" for path in outside.paths_of(result)]
        assert said == [line for line in promised("json_keys") if line in said]


def test_checks_are_those_promised_in_the_order_in_which_they_are_printed(program: Program) -> None:
    listed, seen = promised("check_ids"), set[str]()
    for result in results(program):
        if "checks" in result:
            names = [check["name"] for check in result["checks"]]
            assert names == [name for name in listed if name in names]
            seen |= set(names)
        if "check" in result:
            seen.add(result["check"]["name"])
    assert seen == set(listed)


def test_words_of_state_in_results_are_those_promised(program: Program) -> None:
    listed, seen = promised("state_words"), set[str]()
    for result in results(program):
        seen |= {f"decision: {result['decision']['state']}"} if result.get("decision") else set()
        seen |= {f"check: {check['state']}" for check in result.get("checks", [])}
        seen |= {f"angle source: {result['angle_source']}"} if "angle_source" in result else set()
        seen |= {f"gap: {gap['why']}" for gap in result.get("gaps", [])}
        seen |= {f"bump: {bump['kind']}" for bump in result.get("bumps", []) if "kind" in bump}
        seen |= {f"advice: {result['advice']}"} if "advice" in result else set()
        seen |= {f"effect: {one['effect']}" for one in result.get("differences", [])}
        seen |= {f"setting: {one['source']}" for one in result.get("settings", [])}
    assert seen <= set(listed)
    assert {line.partition(": ")[2] for line in listed} <= inside.texts_of_sources()


STATUSES = {
    "sweep within its limit": ("sweep", LEFT),
    "sweep over its limit": ("sweep", FOUND),
    "sweep not decided": ("sweep", LEFT, "--limit", "0.0308 mm"),
    "sweep with a refused check": ("sweep", recording("wind-pump-as-found-lost-counts")),
    "sweeps, one over and one not decided": ("sweep", recording("wind-pump-as-found-lost-counts"), FOUND),
    "no such file": ("sweep", "nothing.mcap"),
    "no such option": ("--nothing",),
    "no such port": ("record", "/dev/nothing", "--turns", "1"),
    "fault of the program": ("without-a-module",),
    "compare what is not comparable": ("compare", FOUND, "practice:potters-wheel/as-found"),
    "plan-cut: mount it again": (
        *("plan-cut", "--bearings", FOUND, "--mounting", recording("wind-pump-mount-1")),
        *("--limit", "0.05 mm"),
    ),
    "plan-cut: good enough": ("plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--limit", "0.05 mm"),
    "plan-cut under the minimum": (
        *("plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--limit", "0.05 mm"),
        *("--minimum", "12 mm", "--stock", "12 mm"),
    ),
    "separate part and spindle": ("separate", MOUNT, HALF_BEFORE),
    "separate without order 1": ("separate", "practice:wind-pump/after-cut", "--cut-at", "0"),
    "endfloat over its gate": ("endfloat", recording("wind-pump-end-float"), "--limit", "0.05 mm"),
    "record of fewer turns than asked for": (
        *("record", "practice:wind-pump/as-left", "--turns", "9", "--no-store", "--out", "short.mcap"),
    ),
    "record into a store that is none": (
        *("record", "practice:wind-pump/as-left", "--store", "points.db", "--out", "never.mcap"),
    ),
    "check-file of what lost frames": ("check-file", recording("wind-pump-as-found-unplug")),
}


def test_exit_statuses_are_those_promised(program: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(inside.COMMANDS, "without-a-module", "a command whose module was forgotten")
    hold("exit_statuses", (f"{what}: {program.run(*words)[0]}" for what, words in STATUSES.items()))


def test_scenarios_and_faults_are_those_promised(program: Program) -> None:
    scenarios, _, faults = program.run("practice", "--list")[1].partition("\n\n")
    hold("scenarios", (line.split()[0] for line in scenarios.splitlines()[1:]))
    seen_by = (line.rpartition(" -> ")[2].partition(",")[0] for line in faults.splitlines()[1:])
    names = (line.split()[0] for line in faults.splitlines()[1:])
    hold("fault_names", (f"{name}: {check}" for name, check in zip(names, seen_by, strict=True)))


def test_csv_files_have_the_columns_promised(program: Program) -> None:
    columns: list[str] = []
    for unit in ("mm", "um", "in", "thou"):
        path = program.home / f"{unit}.csv"
        assert program.run("export", FOUND, "-o", path.name, "--units", unit)[0] == 0
        lines = path.read_text(encoding="utf-8").splitlines()
        stated = [line for line in lines if line.startswith("#")]
        assert all(re.fullmatch(r"# [\w.]+ = \S.*", line) for line in stated)
        header = next(csv.reader(line for line in lines if not line.startswith("#")))
        setup = promised("setup_keys")
        columns += header
        keys = (re.sub(r"^(from\.check)\..*", r"\1.NAME", line.split()[1]) for line in stated)
        columns += [f"# {key}" for key in keys if key not in setup]
        # Read back, it is judged as the recording is.
        assert program.run("sweep", path.name)[0] == program.run("sweep", FOUND)[0]
    assert program.run("export", "practice:turntable/two-tips", "--opposed", "1", "-o", "tips.csv")[0] == 0
    tips = (program.home / "tips.csv").read_text(encoding="utf-8").splitlines()
    columns += next(csv.reader(line for line in tips if not line.startswith("#")))
    in_order("csv_columns", dict.fromkeys(columns))


# --- the store, jobs and settings ----------------------------------------------------------------------


def test_tables_and_columns_of_the_store_are_those_promised(program: Program) -> None:
    program.objects("record")
    hold("store_tables", outside.tables_of(program.home / "promised.db"))


def test_migrations_are_only_ever_added() -> None:
    found = sorted((ROOT / "analysis").rglob("migrations/versions/*.py"))
    texts = {path.name: path.read_text(encoding="utf-8") for path in found}
    revisions = {
        name: re.findall(r'^(?:down_)?revision = "?(\w+)"?$', text, re.M) for name, text in texts.items()
    }
    in_order("migrations", (f"{name}: {' after '.join(pair)}" for name, pair in revisions.items()))


def test_kinds_of_notes_are_those_promised(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    path.write_bytes(FROZEN_STORE.read_bytes())
    for kind in promised("turn_note_kinds"):
        inside.add_note(path, kind)
    with pytest.raises(StoreError, match="expected one of") as refused:
        inside.add_note(path, "?")
    listed = re.search(r"expected one of (.+)$", str(refused.value))
    assert listed is not None
    hold("turn_note_kinds", listed[1].split(", "))


def test_a_job_file_has_the_keys_and_words_promised(tmp_path: Path) -> None:
    (job,) = inside.read_jobs(FROZEN_JOBS)
    written = json.loads(inside.write_job(tmp_path, inside.gone_on_without(job)).read_text(encoding="utf-8"))
    lines = [f"format: {written['format']}"]
    lines += [f"key: {path}" for path in outside.paths_of({**written, "values": {}})]
    hold("job_file", [*lines, *inside.job_words()])


def test_files_folders_and_variables_have_the_names_promised(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    move_in(tmp_path, monkeypatch)
    variables = home_variables(tmp_path)
    config, data = Path(variables["FULLTURN_CONFIG"]), Path(variables["FULLTURN_DATA"])
    monkeypatch.delenv("FULLTURN_STORE")
    config.mkdir()
    (config / "fullturn.toml").write_text('units = "thou"\n')
    (config / "known.toml").write_text('[[board]]\npath = "socket://127.0.0.1:9"\n')
    program = Program(tmp_path)
    settings = {one["name"]: one for one in json.loads(program.run("settings", "--json")[1])["settings"]}
    known = [one["path"] for one in json.loads(program.run("ports", "--json")[1])["ports"] if one["known"]]
    said = [*inside.environment_variables(), *(f"setting: {name}" for name in settings)]
    said += ["CONFIG/fullturn.toml"] if settings["units"]["source"] == "file" else []
    said += ["CONFIG/known.toml"] if known == ["socket://127.0.0.1:9"] else []
    said += [f"DATA/{Path(settings['store']['value']).relative_to(data)}"]
    for kind in ("rig", "part"):
        said.append(f"CONFIG/{inside.setup_file(config, kind, 'Rotor 3').relative_to(config)}")
    (job,) = inside.read_jobs(FROZEN_JOBS)
    said.append(f"DATA/{inside.write_job(data, job).relative_to(data)}")
    said.append(f"DATA/{inside.folder_of_unnamed(data).relative_to(data)}")
    hold("files_and_environment", said)


def test_log_names_are_those_promised(program: Program) -> None:
    program.objects("record")
    program.objects("sweep")
    hold("log_names", (name for name in logging.root.manager.loggerDict if name.startswith("fullturn")))


def test_public_functions_are_those_promised() -> None:
    hold("public_functions", analysis.__all__)
    assert all(callable(getattr(analysis, name)) for name in promised("public_functions"))


def test_the_program_is_started_as_promised() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    hold("entry_points", (f"{name} = {where}" for name, where in project["scripts"].items()))
