"""A batch on a cluster: a local one of several processes, workers killed mid-run; skipped without dask."""

import os
import signal
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.pool import dask_cluster
from buckle.batch.runner import run_study
from buckle.batch.task import Task
from buckle.batch.work import solve_all
from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from buckle.store import Result, Store
from buckle.study.reader import read_study
from tests.helpers.cap_case import CAP

dask = pytest.importorskip("dask")
distributed = pytest.importorskip("distributed")
pytestmark = pytest.mark.filterwarnings("default")  # what dask's own libraries warn of is not ours to mend

STUDY = """
[study]
base_case = "cap.toml"
[vary]
"shape.thickness_mm" = { from = 0.8, to = 1.2, count = 6 }
"""


@pytest.fixture(scope="module")
def cluster() -> Iterator[distributed.LocalCluster]:
    settings = {"distributed.scheduler.allowed-failures": 1, "distributed.admin.log-format": "%(message)s"}
    with (
        dask.config.set(settings),
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as made,
    ):
        yield made


@pytest.fixture
def study(tmp_path: Path) -> Path:
    (tmp_path / "cap.toml").write_text(CAP)
    path = tmp_path / "study.toml"
    path.write_text(STUDY)
    return path


def deadly(tasks: list[Task]) -> list[Result]:
    """Die of one design, as often as it is tried."""
    if any(task.number == 2 for task in tasks):
        os.kill(os.getpid(), signal.SIGKILL)
    return solve_all(tasks)


def run(study: Path, address: str, out: Path, solve=solve_all):
    made = read_study(study)
    with dask_cluster(address) as pool, Store(out, create=True) as store:
        assert run_study(Identity(made), store, replace(pool, solve=solve), Counts(made.count), lambda: False)
        return store.table()


def test_a_killed_worker_costs_only_the_design_that_kills_it(cluster, study: Path, tmp_path: Path) -> None:
    table = run(study, cluster.scheduler_address, tmp_path / "out", deadly)
    assert [row["status"] for row in table.rows] == ["solved", "worker died", *["solved"] * 4]


@pytest.mark.slow
def test_the_same_rows_as_on_one_machine(cluster, study: Path, tmp_path: Path) -> None:
    command = ["sweep", str(study), "--quiet", "--out"]
    cluster.wait_for_workers(2)
    assert main([*command, str(tmp_path / "far"), "--executor", "dask", "--address", cluster.scheduler_address]) == MET
    assert main([*command, str(tmp_path / "near"), "--jobs", "1"]) == MET
    assert (tmp_path / "far/results.csv").read_bytes() == (tmp_path / "near/results.csv").read_bytes()


def test_an_address_where_nobody_answers(study: Path, capsys, monkeypatch) -> None:
    """Asked for a tenth of the time that a user's network has to answer."""
    monkeypatch.setattr("buckle.batch.pool.ANSWER_WITHIN", "1s")
    assert main(["sweep", str(study), "--executor", "dask", "--address", "tcp://127.0.0.1:1"]) == WRONG_INPUT
    assert "no scheduler answers there" in capsys.readouterr().err
