"""The results file: what was added is there, whatever happens to the process that added it."""

import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from buckle.errors import CaseError
from buckle.store import About, Listed, Result, RowStatus, Store
from buckle.store.database import FILE
from buckle.store.place import is_network_drive
from tests.helpers.paths import ROOT


def result(number, **changes):
    given = {"key": f"key {number}", "status": RowStatus.SOLVED, "quantities": {"p_bar": number / 4}}
    return Result(**(given | changes))


def begun(directory, count=3, study="one"):
    store = Store(directory, create=True)
    store.begin(About(study, "a study", ["shape.gauge_mm"], [], count))
    listed = [Listed(number, f"key {number}", {"shape.gauge_mm": 0.1 * number}) for number in range(1, count + 1)]
    store.list_designs(study, listed)
    return store


def test_rows_come_back_in_the_order_of_the_designs(tmp_path):
    with begun(tmp_path) as store:
        store.add([result(3), result(1)])
        store.add([result(2, status=RowStatus.FAILED, reason="too thin", quantities={})])
    with Store(tmp_path) as store:
        table = store.table()
    assert table.columns == ("design", "shape.gauge_mm", "p_bar", "status", "reason")
    assert [row["design"] for row in table.rows] == [1, 2, 3]
    assert table.rows[1] == {"design": 2, "shape.gauge_mm": 0.2, "status": "failed", "reason": "too thin"}
    assert np.array_equal(table.numbers("p_bar"), [0.25, np.nan, 0.75], equal_nan=True)
    assert list(table.lines())[1:3] == ["1,0.1,0.25,solved,\n", "2,0.2,,failed,too thin\n"]


def test_a_number_reads_back_as_itself(tmp_path):
    odd = 0.1 + 0.2
    with begun(tmp_path) as store:
        store.add([result(1, quantities={"p_bar": odd})])
        table = store.table()
    assert table.rows[0]["p_bar"] == odd
    assert float(list(table.lines())[1].split(",")[2]) == odd


def test_only_a_case_whose_worker_died_is_done_again(tmp_path):
    with begun(tmp_path) as store:
        store.add([result(1), result(2, status=RowStatus.DIED), result(3, status=RowStatus.FAILED)])
        keys = [f"key {number}" for number in range(1, 5)]
        assert store.finished(keys) == {"key 1": RowStatus.SOLVED, "key 3": RowStatus.FAILED}
        store.add([result(1, quantities={"p_bar": 99.0}), result(2)])
        assert [row.get("p_bar") for row in store.table().rows] == [0.25, 0.5, 0.75]


def test_results_are_shared_but_the_rows_of_studies_are_not_mixed(tmp_path):
    with begun(tmp_path) as store:
        store.add([result(1), result(2)])
        store.begin(About("two", "another", [], [], 2))
        store.list_designs("two", [Listed(1, "key 2", {}), Listed(2, "key 9", {})])
        assert [(row["design"], row["p_bar"]) for row in store.table().rows] == [(1, 0.5)]
        assert len(store.table("one")) == 2
        assert store.listed("two") == {1: "key 2", 2: "key 9"}


def test_only_columns_asked_for_are_kept(tmp_path):
    with Store(tmp_path, create=True) as store:
        store.begin(About("one", "a study", [], ["mass_g"], 1))
        store.list_designs("one", [Listed(1, "key 1", {})])
        store.add([result(1, quantities={"p_bar": 1.0, "mass_g": 2.0})])
        assert store.table().quantities == ("mass_g",)


def test_filter(tmp_path):
    with begun(tmp_path) as store:
        store.add([result(1), result(2, quantities={}), result(3)])
        table = store.table()
    assert [row["design"] for row in table.where("p_bar > 0.5 or shape.gauge_mm < 0.15").rows] == [1, 3]
    with pytest.raises(CaseError, match="no column 'p_bra', did you mean 'p_bar'"):
        table.where("p_bra > 1")


# Two processes, killed processes --------------------------------------------------------------------------------------

WRITER = """
import sys
from buckle.store import About, Listed, Result, RowStatus, Store
first, count, directory = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
with Store(directory, create=True) as store:
    store.begin(About("one", "a study", [], [], 10**6))
    for number in range(first, first + count):
        store.list_designs("one", [Listed(number, f"key {number}", {})])
        store.add([Result(f"key {number}", RowStatus.SOLVED, "", {"p_bar": number / 4, "text": "x" * 200})])
        print(number, flush=True)
"""


def writer(directory, first, count):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", WRITER, str(first), str(count), str(directory)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)


def check_whole(directory, reported):
    """Every reported row is there and right, every row that is there is whole, and the file is sound."""
    with Store(directory) as store:
        found = {row["design"]: row for row in store.table().rows}
    assert set(reported) <= set(found)
    assert all(row["p_bar"] == number / 4 and row["text"] == "x" * 200 for number, row in found.items())
    connection = sqlite3.connect(directory / FILE)
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()


def killed_at_random(directory, times, seed):
    chance, reported = random.Random(seed), set()
    for turn in range(times):
        process = writer(directory, 1000 * turn, 1000)
        seen = [process.stdout.readline()]  # it runs
        time.sleep(chance.uniform(0.0, 0.15))
        process.send_signal(signal.SIGKILL)
        seen += process.stdout.read().splitlines(keepends=True)
        process.stdout.close()
        process.wait()
        reported |= {int(line) for line in seen if line.endswith("\n")}
        check_whole(directory, reported)
    assert len(reported) > times


def test_nothing_reported_is_lost_when_the_writer_is_killed(tmp_path):
    killed_at_random(tmp_path, 5, seed=1)


@pytest.mark.slow
def test_nothing_reported_is_lost_when_the_writer_is_killed_fifty_times(tmp_path):
    killed_at_random(tmp_path, 50, seed=2)


def test_two_processes_write_at_once(tmp_path):
    processes = [writer(tmp_path, first, 60) for first in (0, 40)]  # twenty designs are both's
    for process in processes:
        process.communicate()
        assert process.returncode == 0
    check_whole(tmp_path, range(100))


# Places and files that will not do ------------------------------------------------------------------------------------


def test_a_full_disk_is_one_clear_error_and_loses_nothing(tmp_path):
    """The limit is SQLite's own, which reports the same as a full drive."""
    with begun(tmp_path) as store:
        store.add([result(1)])
        store._connection.execute(
            f"PRAGMA max_page_count = {store._connection.execute('PRAGMA page_count').fetchone()[0]}"
        )
        with pytest.raises(CaseError, match=r"study\.sqlite: cannot be used: the disk is full") as caught:
            store.add([result(2), result(3, quantities={"text": "x" * 100_000})])
        assert len(str(caught.value).splitlines()) == 1
        assert [row["design"] for row in store.table().rows] == [1]


def test_a_file_that_may_only_be_read(tmp_path):
    begun(tmp_path).close()
    with Store(tmp_path) as store:
        store._connection.execute("PRAGMA query_only = ON")  # what a read-only drive answers, for the superuser too
        with pytest.raises(CaseError, match="cannot be used: it may only be read"):
            store.add([result(1)])


@pytest.mark.skipif(not Path("/proc/version").is_file(), reason="needs a directory that nobody may write to")
def test_a_directory_that_cannot_be_written():
    with pytest.raises(CaseError, match="cannot be used: "):
        Store("/proc/buckle", create=True)


def test_a_directory_without_a_batch(tmp_path):
    with pytest.raises(CaseError, match="allowed: a directory that buckle sweep wrote"):
        Store(tmp_path)
    assert not (tmp_path / FILE).exists()
    with Store(tmp_path, create=True) as store, pytest.raises(CaseError, match="holds no study yet; try: buckle sweep"):
        store.table()


def test_a_file_of_something_else(tmp_path):
    (tmp_path / FILE).write_text("no database at all, but long enough to be looked at " * 20)
    with pytest.raises(CaseError, match="it is not a file of this program"):
        Store(tmp_path, create=True)
    (tmp_path / FILE).unlink()
    with sqlite3.connect(tmp_path / FILE) as connection:
        connection.execute("CREATE TABLE mine (x)")
    connection.close()
    with pytest.raises(CaseError, match="is a database of another program"):
        Store(tmp_path, create=True)


def test_a_file_of_another_version(tmp_path):
    with begun(tmp_path) as store:
        store._connection.execute("PRAGMA user_version = 99")
    with pytest.raises(CaseError, match=r"another version \(layout 99\)"):
        Store(tmp_path)


def test_a_fault_of_this_program_passes(tmp_path):
    with begun(tmp_path) as store, pytest.raises(sqlite3.OperationalError), store._told():
        store._connection.execute("SELECT nonsense")


def test_network_drives_are_known(tmp_path, monkeypatch):
    mounts = tmp_path / "mounts"
    mounts.write_text(f"/dev/sda1 / ext4 rw 0 0\nserver:/home {tmp_path}/far nfs4 rw 0 0\n")
    monkeypatch.setattr("buckle.store.place.MOUNTS", mounts)
    assert is_network_drive(tmp_path / "far" / "batch" / FILE)
    assert not is_network_drive(tmp_path / "near" / FILE)
    assert not is_network_drive(tmp_path / "farther" / FILE)
    with begun(tmp_path / "far") as store:
        assert store._connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    with begun(tmp_path / "near") as store:
        assert store._connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_hundred_thousand_rows_are_all_there(tmp_path):
    with Store(tmp_path, create=True) as store:
        store.begin(About("one", "long", ["shape.gauge_mm"], [], 100_000))
        for first in range(0, 100_000, 10_000):
            numbers = range(first, first + 10_000)
            store.list_designs("one", [Listed(at, f"key {at}", {"shape.gauge_mm": at}) for at in numbers])
            store.add([result(at) for at in numbers])
        assert len(store.table().where("p_bar >= 12500")) == 50_000
