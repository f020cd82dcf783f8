"""Batches as a user meets them: the table, resuming, dying workers, Ctrl-C, filters, exit codes."""

import csv
import importlib.util
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest

import buckle
from buckle.batch.counts import Counts
from buckle.batch.entry import interrupts
from buckle.batch.identity import Identity
from buckle.batch.pool import WorkerPool, borrowed, processes
from buckle.batch.runner import run_study
from buckle.cli import main
from buckle.commands.codes import MET, UNFINISHED, WRONG_INPUT
from buckle.errors import BuckleError, CaseError
from buckle.store import RowStatus, Store
from buckle.study.reader import read_study
from buckle.units import to_unit
from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT
from tests.helpers.workers import DEADLY, deadly, faulty

CASE = CAP + "[requirements]\npressure_bar = 5.0\n"
STUDY = """
[study]
title = "caps"
base_case = "cap.toml"
[vary]
"shape.thickness_mm" = [0.8, 0.9, 1.0, -1.0]
"shape.half_angle_deg" = [10.0, 12.0]
"""


@pytest.fixture(scope="module")
def finished(tmp_path_factory) -> Path:
    """The directory of a batch that two processes finished, to be read only; beside it what the command said."""
    folder = tmp_path_factory.mktemp("finished")
    (folder / "cap.toml").write_text(CASE)
    (folder / "study.toml").write_text(STUDY)
    with redirect_stdout(StringIO()) as out, redirect_stderr(StringIO()) as err:
        assert sweep(folder / "study.toml") == MET
    (folder / "said.txt").write_text(out.getvalue())
    assert err.getvalue() == ""
    return folder / "out"


@pytest.fixture
def study(tmp_path: Path) -> Path:
    (tmp_path / "cap.toml").write_text(CASE)
    path = tmp_path / "study.toml"
    path.write_text(STUDY)
    return path


@pytest.fixture
def resumable(finished: Path, study: Path) -> Path:
    """A study with its finished batch beside it, to be changed at will."""
    shutil.copytree(finished, study.parent / "out")
    return study


def rows(directory: Path) -> list[dict[str, str]]:
    with (directory / "results.csv").open(newline="") as file:
        return list(csv.DictReader(file))


def sweep(study: Path, *words: str) -> int:
    return main(["sweep", str(study), "--out", str(study.parent / "out"), "--jobs", "2", *words])


def test_one_row_a_design(finished: Path) -> None:
    """Thinner by a fifth buckles at (4/5)^2 of the pressure, to the 1 % by which the edge's share depends on t/R."""
    said = (finished.parent / "said.txt").read_text()
    assert "BATCH: 8 of 8 designs: 6 solved, 2 not built;" in said
    assert "shape.thickness_mm: out of range; got -1.0; allowed: > 0 mm" in " ".join(said.split())
    assert "Screening result" in said
    found = rows(finished)
    assert [row["design"] for row in found] == [str(number) for number in range(1, 9)]
    assert [row["shape.thickness_mm"] for row in found[::2]] == ["0.8", "0.9", "1.0", "-1.0"]
    assert [row["status"] for row in found] == ["solved"] * 6 + ["not built"] * 2
    assert found[7]["reason"] == "shape.thickness_mm: out of range; got -1.0; allowed: > 0 mm"
    assert found[7]["LBA.critical_pressure_bar"] == ""
    thin, thick = (float(found[at]["LBA.critical_pressure_bar"]) for at in (1, 5))
    assert thin / thick == pytest.approx(0.64, rel=0.01)
    assert {row["verdict"] for row in found[:6]} == {"no verdict"}  # of LBA alone


def test_a_row_is_what_a_single_run_gives_to_the_last_bit(finished: Path) -> None:
    made = read_study(finished.parent / "study.toml")
    case = made.case(made.design(2))
    alone = buckle.run(case, "LBA", estimate_error=False).lowest_critical
    row = rows(finished)[1]
    assert float(row["LBA.critical_pressure_bar"]) == to_unit(alone.pressure, "pressure", "bar")
    assert row["input_sha256"] == case.input_hash


@pytest.mark.usefixtures("in_threads")
def test_only_what_is_missing_is_done(resumable: Path, tmp_path: Path, capsys, monkeypatch) -> None:
    study = resumable
    first = (tmp_path / "out" / "results.csv").read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(WorkerPool, "start", lambda self: pytest.fail("nothing is to be done"))
        assert sweep(study) == MET
    assert "8 kept from before" in capsys.readouterr().out
    assert (tmp_path / "out" / "results.csv").read_bytes() == first
    study.write_text(STUDY.replace("0.8, 0.9", "0.7, 0.8"))
    assert sweep(study) == MET
    assert "2 in " in capsys.readouterr().out.split("BATCH")[1]


@pytest.mark.usefixtures("in_threads")
def test_a_changed_base_case_never_mixes_with_old_rows(resumable: Path, tmp_path: Path) -> None:
    before = rows(tmp_path / "out")
    (tmp_path / "cap.toml").write_text(CASE.replace("69.0", "138.0"))
    sweep(resumable, "--quiet")
    after = rows(tmp_path / "out")
    assert len(after) == len(before)
    for old, new in zip(before[:6], after[:6], strict=True):  # twice the modulus, twice the pressure
        pressures = (float(row["LBA.critical_pressure_bar"]) for row in (new, old))
        assert next(pressures) / next(pressures) == pytest.approx(2.0, rel=1e-6)


def test_filters_and_files(finished: Path, tmp_path: Path, capsys) -> None:
    where, out = "shape.thickness_mm >= 0.9 and LBA.critical_pressure_bar > 0", tmp_path / "some.csv"
    content = ["table", str(finished), "--where", where, "--csv", str(out), "--pressure-unit", "psi"]
    assert main(content) == MET
    said = capsys.readouterr().out
    assert "4 of 8 rows." in said
    assert "LBA.critical_pressure_psi" in said
    with out.open(newline="") as file:
        assert [row["design"] for row in csv.DictReader(file)] == ["3", "4", "5", "6"]
    assert main([*content, "--json", "-"]) == MET
    assert [row["design"] for row in json.loads(capsys.readouterr().out)["rows"]] == [3, 4, 5, 6]


def test_a_reader_of_psi_and_inches_has_columns_that_filters_know(finished: Path, tmp_path: Path, capsys) -> None:
    """The same rows, named and counted in the units of the command; a heading is a name for --where."""
    reader, out = ["--pressure-unit", "psi", "--length-unit", "in"], tmp_path / "psi.csv"
    assert main(["table", str(finished), "--csv", str(out), *reader]) == MET
    own = rows(finished)
    with out.open(newline="") as file:
        read = list(csv.DictReader(file))
    assert not [name for name in read[0] if name.endswith(("_bar", "_mm"))]
    built = [pair for pair in zip(read, own, strict=True) if pair[1]["LBA.critical_pressure_bar"]]
    assert built
    for one, other in built:
        assert float(one["shape.thickness_in"]) == pytest.approx(float(other["shape.thickness_mm"]) / 25.4, rel=1e-14)
        pressures = (one["LBA.critical_pressure_psi"], other["LBA.critical_pressure_bar"])
        assert float(pressures[0]) == pytest.approx(float(pressures[1]) * 14.503773773, rel=1e-9)
        assert one["LBA.wave_number"] == other["LBA.wave_number"]
    least = min(float(one["LBA.critical_pressure_psi"]) for one, _ in built)
    assert main(["table", str(finished), "--where", f"LBA.critical_pressure_psi > {least!r}", *reader]) == MET


@pytest.mark.parametrize("where", ["LBA.critical_pressure > 1", "import os", "1 /", "reason > 2"])
def test_wrong_filters(finished: Path, capsys, where: str) -> None:
    assert main(["table", str(finished), "--where", where]) == WRONG_INPUT
    assert where.split(" ")[0] in capsys.readouterr().err


@pytest.mark.usefixtures("in_threads")
def test_json_tells_the_same(study: Path, tmp_path: Path, capsys) -> None:
    assert sweep(study, "--json", "-") == MET
    content = json.loads(capsys.readouterr().out)
    assert content["counts"] == {"solved": 6, "not built": 2}
    assert [cause["count"] for cause in content["causes"]] == [2]
    assert [row["design"] for row in content["rows"]] == list(range(1, 9))


@pytest.mark.usefixtures("in_threads")
def test_a_dry_run_keeps_nothing(study: Path, tmp_path: Path, capsys) -> None:
    assert sweep(study, "--dry-run") == MET
    assert "DRY RUN: 8 designs; nothing is kept. About " in " ".join(capsys.readouterr().out.split())
    assert not (tmp_path / "out").exists()
    assert sweep(study, "--dry-run", "--json", "-") == MET
    content = json.loads(capsys.readouterr().out)
    assert content["designs"] == 8
    assert content["timed"] == 2  # of the first, the middle and the last, which cannot be built
    assert content["seconds"] == pytest.approx(content["seconds_a_design"] * 8 / 2)


def test_wrong_input_comes_before_any_work(study: Path, tmp_path: Path, capsys) -> None:
    study.write_text(STUDY.replace("thickness_mm", "thicknes_mm"))
    assert sweep(study) == WRONG_INPUT
    assert f"{study}:6: vary.shape.thicknes_mm: unknown key" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_path_that_cannot_be_written(study: Path, tmp_path: Path, capsys) -> None:
    (tmp_path / "out").write_text("a file")
    assert sweep(study) == WRONG_INPUT
    assert len(capsys.readouterr().err.splitlines()) == 1


# From Python ----------------------------------------------------------------------------------------------------------


def test_from_python_nothing_is_left_behind(study: Path, tmp_path: Path) -> None:
    case = buckle.read_case(tmp_path / "cap.toml")
    with ThreadPoolExecutor(2) as threads:  # any executor of concurrent.futures will do
        table = buckle.sweep(case, {"shape.thickness_mm": [0.8, 1.0]}, executor=threads)
        assert threads.submit(int, "1").result() == 1  # it is the caller's and stays open
    assert table.numbers("LBA.critical_pressure_bar").shape == (2,)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cap.toml", "study.toml"]
    for wrong in ((case,), (study, {"shape.thickness_mm": [1.0]}), (case, {"shape.thickness_mm": []})):
        with pytest.raises(CaseError):
            buckle.sweep(*wrong)


@pytest.mark.parametrize(("method", "library"), [("to_pandas", "pandas"), ("to_parquet", "pyarrow")])
def test_frames_are_optional(study: Path, tmp_path: Path, method: str, library: str) -> None:
    with ThreadPoolExecutor(1) as threads:
        table = buckle.sweep(study, executor=threads)
    given = (tmp_path / "table.parquet",) if method == "to_parquet" else ()
    if importlib.util.find_spec(library):
        assert getattr(table, method)(*given) is None or len(table.to_pandas()) == 8
        return
    with pytest.raises(CaseError, match=f"{library} is not installed"):
        getattr(table, method)(*given)


# Workers that die, exceptions, interruption ---------------------------------------------------------------------------


@contextmanager
def pool_of(solve, jobs):
    with processes(jobs) as pool:
        yield replace(pool, solve=solve)


def worked_off(study: Path, pool: WorkerPool, stopping=lambda: False):
    made = read_study(study)
    with Store(study.parent / "out", create=True) as store:
        counts = Counts(made.count)
        complete = run_study(Identity(made), store, pool, counts, stopping)
        return complete, store.table()


def test_a_worker_that_dies_costs_only_its_own_design(study: Path) -> None:
    with pool_of(deadly, 2) as pool:
        complete, table = worked_off(study, pool)
    assert complete
    died = {row["design"]: row["reason"] for row in table.rows if row["status"] == RowStatus.DIED}
    assert died == dict.fromkeys(DEADLY, "its worker process died: killed, or out of memory")
    assert sum(row["status"] == RowStatus.SOLVED for row in table.rows) == 4
    with ThreadPoolExecutor(1) as threads:  # tried again, and only they
        complete, table = worked_off(study, borrowed(threads, 1))
    assert [row["status"] for row in table.rows[:6]] == ["solved"] * 6


def test_any_other_exception_stops_the_batch_at_once(study: Path) -> None:
    with pool_of(faulty, 1) as pool, pytest.raises(ZeroDivisionError):
        worked_off(study, pool)


def test_an_unforeseen_exception_names_its_design(study: Path, monkeypatch) -> None:
    monkeypatch.setattr("buckle.batch.worker.run", lambda *given, **more: 1 / 0)
    with ThreadPoolExecutor(1) as threads, pytest.raises(ZeroDivisionError) as caught:
        worked_off(study, borrowed(threads, 1))
    assert caught.value.__notes__ == ["This happened in design 1 of the batch."]


def test_what_our_own_errors_say_is_a_row(study: Path, monkeypatch) -> None:
    def refuse(*given, **more):
        raise BuckleError("no state at 12.5 bar; try: a finer mesh")

    monkeypatch.setattr("buckle.batch.worker.run", refuse)
    with ThreadPoolExecutor(1) as threads:
        complete, table = worked_off(study, borrowed(threads, 1))
    assert complete
    assert {row["reason"] for row in table.rows[:6]} == {"no state at 12.5 bar; try: a finer mesh"}


def test_a_lent_executor_that_breaks_is_an_error(study: Path) -> None:
    with pool_of(deadly, 1) as pool:
        executor = pool.open()
        broken = replace(pool, open=lambda: executor, lent=True)
        with pytest.raises(BuckleError, match="has lost its workers"):
            worked_off(study, broken)
        executor.shutdown()


def test_stopping_keeps_what_is_in_flight(study: Path) -> None:
    asked = iter([False] * 4)
    with ThreadPoolExecutor(1) as threads:
        complete, table = worked_off(study, borrowed(threads, 1), lambda: next(asked, True))
    assert not complete
    assert 0 < len(table) < 8


def test_the_second_press_interrupts_at_once() -> None:
    before = signal.getsignal(signal.SIGINT)  # ignored where the tests themselves run in the background
    with interrupts() as stopping:
        signal.raise_signal(signal.SIGINT)
        assert stopping()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


def started(study: Path, *words: str) -> subprocess.Popen:
    command = [sys.executable, "-m", "buckle", "sweep", str(study), "--out", str(study.parent / "out"), *words]
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OMP_NUM_THREADS": "1"}
    given = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True, "start_new_session": True}
    return subprocess.Popen(command, env=environment, **given)


def kept(directory: Path) -> int:
    try:
        with Store(directory) as store:
            return len(store.table())
    except CaseError:
        return 0


def wait_for_rows(study: Path, process: subprocess.Popen) -> None:
    deadline = time.monotonic() + 60
    while kept(study.parent / "out") < 2:
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < deadline
        time.sleep(0.05)


@pytest.mark.usefixtures("in_threads")
def test_interrupted_from_the_terminal_and_resumed(study: Path, tmp_path: Path) -> None:
    """Ctrl-C goes to the whole group of processes, as a terminal sends it."""
    study.write_text(STUDY.replace("[0.8, 0.9, 1.0, -1.0]", "{ from = 0.5, to = 1.5, count = 200 }"))
    process = started(study, "--jobs", "1")
    wait_for_rows(study, process)
    os.killpg(process.pid, signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == UNFINISHED, err
    assert "Traceback" not in err
    assert f"go on with: buckle sweep {study} --out {tmp_path / 'out'} --jobs 1" in " ".join(out.split())
    done = len(rows(tmp_path / "out"))
    assert 2 <= done < 400
    study.write_text(STUDY.replace("[0.8, 0.9, 1.0, -1.0]", "[0.5, 1.5]"))  # the ends of the range, one was done
    assert sweep(study) == MET


@pytest.mark.usefixtures("in_threads")
def test_killed_and_resumed(study: Path, tmp_path: Path) -> None:
    study.write_text(STUDY.replace("[0.8, 0.9, 1.0, -1.0]", "{ from = 0.5, to = 1.5, count = 20 }"))
    process = started(study, "--jobs", "1")
    wait_for_rows(study, process)
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
    before = kept(tmp_path / "out")
    assert 2 <= before <= 40
    assert sweep(study) == MET
    assert len(rows(tmp_path / "out")) == 40


def test_sigterm_does_what_ctrl_c_does(study: Path, tmp_path: Path) -> None:
    """Sent to the command alone, as by a container that stops: rows are kept and nothing holds its output."""
    study.write_text(STUDY.replace("[0.8, 0.9, 1.0, -1.0]", "{ from = 0.5, to = 1.5, count = 200 }"))
    process = started(study, "--jobs", "1")
    wait_for_rows(study, process)
    process.terminate()
    out, err = process.communicate(timeout=60)
    assert process.returncode == UNFINISHED, err
    assert "go on with: buckle sweep" in " ".join(out.split())
    assert 2 <= len(rows(tmp_path / "out")) < 400


def test_workers_end_when_their_parent_is_killed(study: Path) -> None:
    """The parent alone: its workers hold standard output, which a pipeline waits for."""
    study.write_text(STUDY.replace("[0.8, 0.9, 1.0, -1.0]", "{ from = 0.5, to = 1.5, count = 200 }"))
    process = started(study, "--jobs", "2")
    wait_for_rows(study, process)
    process.kill()
    process.communicate(timeout=20)


def test_a_script_without_its_guard_is_said(tmp_path: Path, study: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(f"import buckle\nbuckle.sweep({str(study)!r}, jobs=1)\n")
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run([sys.executable, script], env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "must do so under `if __name__ == '__main__':`" in done.stderr


# On a cluster ---------------------------------------------------------------------------------------------------------


def test_dask_needs_an_address_and_dask(study: Path, capsys) -> None:
    assert sweep(study, "--executor", "dask") == WRONG_INPUT
    assert "--executor dask: needs --address" in capsys.readouterr().err
    if not importlib.util.find_spec("distributed"):
        assert sweep(study, "--executor", "dask", "--address", "tcp://127.0.0.1:1") == WRONG_INPUT
        assert "pip install 'buckle[cluster]'" in capsys.readouterr().err


def test_rows_of_other_code_are_not_taken_for_those_of_this_one(study: Path, tmp_path: Path) -> None:
    """A copy of the package sweeps; a constant is edited, and it sweeps again into the same directory."""
    shutil.copytree(ROOT / "buckle", tmp_path / "src" / "buckle", ignore=shutil.ignore_patterns("__pycache__"))
    study.write_text(STUDY.replace("[0.8, 0.9, 1.0, -1.0]", "[1.0, -1.0]"))
    words = [sys.executable, "-m", "tests.helpers.threads", "sweep", str(study), "--out", str(tmp_path / "out")]
    path = os.pathsep.join((str(tmp_path / "src"), str(ROOT)))  # the copy comes before the package it was copied from
    surroundings = {**os.environ, "PYTHONPATH": path, "NUMBA_DISABLE_JIT": "1"}  # nothing is plastic

    def swept() -> list[dict[str, str]]:
        subprocess.run(
            [*words, "--quiet", "--figures", "none"], check=True, cwd=tmp_path, env=surroundings, timeout=120
        )
        return rows(tmp_path / "out")

    before = swept()
    elastic = tmp_path / "src" / "buckle" / "material.py"
    stiffer = elastic.read_text().replace(
        "return self.youngs_modulus / (2.0", "return 2.0 * self.youngs_modulus / (2.0"
    )
    assert stiffer != elastic.read_text()
    elastic.write_text(stiffer)
    after = swept()
    pressures = [[float(row["LBA.critical_pressure_bar"] or "nan") for row in each] for each in (before, after)]
    assert all(one != other for one, other in zip(*pressures, strict=True) if one == one)
