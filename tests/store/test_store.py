"""The results file: what was added is there, whatever happens to the process that added it."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from buckle.errors import CaseError
from buckle.store import About, DesignRow, Result, RowStatus, Store
from buckle.store.store import FILE
from tests.helpers.paths import ROOT


def result(number, **changes):
    given = {"key": f"key {number}", "status": RowStatus.SOLVED, "quantities": {"p_bar": number / 4}}
    return Result(**(given | changes))


def begun(directory, count=3, study="one"):
    store = Store(directory, create=True)
    store.begin(About(study, "a study", ("shape.gauge_mm",), (), count))
    inputs = {number: {"shape.gauge_mm": 0.1 * number} for number in range(1, count + 1)}
    store.note_designs([DesignRow(study, number, f"key {number}", given) for number, given in inputs.items()])
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
        store.begin(About("two", "another", (), (), 2))
        store.note_designs([DesignRow("two", 1, "key 2", {}), DesignRow("two", 2, "key 9", {})])
        assert [(row["design"], row["p_bar"]) for row in store.table().rows] == [(1, 0.5)]
        assert len(store.table("one")) == 2
        assert store.design_keys("two") == {1: "key 2", 2: "key 9"}


def test_only_columns_asked_for_are_kept(tmp_path):
    with Store(tmp_path, create=True) as store:
        store.begin(About("one", "a study", (), ("mass_g",), 1))
        store.note_designs([DesignRow("one", 1, "key 1", {})])
        store.add([result(1, quantities={"p_bar": 1.0, "mass_g": 2.0})])
        assert store.table().quantities == ("mass_g",)


def test_filter(tmp_path):
    with begun(tmp_path) as store:
        store.add([result(1), result(2, quantities={}), result(3)])
        table = store.table()
    assert [row["design"] for row in table.where("p_bar > 0.5 or shape.gauge_mm < 0.15").rows] == [1, 3]
    with pytest.raises(CaseError, match="no column 'p_bra', did you mean 'p_bar'"):
        table.where("p_bra > 1")
    with pytest.raises(CaseError, match="p_bar: is no condition; allowed: such as p_bar > 1"):
        table.where("p_bar")


def test_a_filter_knows_a_column_in_any_unit(tmp_path):
    """0.5 bar are 7.2519 psi: 6894.757 Pa a psi, by definition of the pound and the inch."""
    with begun(tmp_path) as store:
        store.add([result(1), result(2), result(3, quantities={})])
        table = store.table()
    assert [row["design"] for row in table.where("p_psi > 7.2518 and shape.gauge_in < 1").rows] == [2]
    assert [row["design"] for row in table.where("p_psi > 7.2520").rows] == []
    with pytest.raises(CaseError, match="no column 'p_mm'"):
        table.where("p_mm > 1")


# Two processes, killed processes --------------------------------------------------------------------------------------

WRITER = """
import sys
from buckle.store import About, DesignRow, Result, RowStatus, Store
first, count, directory = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
with Store(directory, create=True) as store:
    store.begin(About("one", "a study", (), (), 10**6))
    for number in range(first, first + count):
        store.note_designs([DesignRow("one", number, f"key {number}", {})])
        store.add([Result(f"key {number}", RowStatus.SOLVED, "", {"p_bar": number / 4, "text": "x" * 200})])
        print(number, flush=True)
"""


def writer(directory, first, count):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", WRITER, str(first), str(count), str(directory)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment)


def check_whole(directory, reported):
    """Every reported row is there and right, every row that is there is whole, and every line of the file is."""
    with Store(directory) as store:
        found = {row["design"]: row for row in store.table().rows}
        assert store.unreadable == 0
    assert set(reported) <= set(found)
    assert all(row["p_bar"] == number / 4 and row["text"] == "x" * 200 for number, row in found.items())


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


# Directories and files that will not do; damage is in tests/faults/test_store_damage.py -----------------------------


def test_a_full_disk_is_one_clear_error_and_loses_nothing(tmp_path, monkeypatch):
    """A drive takes half of what is written; the next process writes on behind it."""
    with begun(tmp_path) as store:
        store.add([result(1)])
        with monkeypatch.context() as patch:
            whole = os.write
            patch.setattr("buckle.store.journal.os.write", lambda file, data: whole(file, data[: len(data) // 2]))
            with pytest.raises(CaseError, match=r"study\.jsonl: cannot be used: No space left on device") as caught:
                store.add([result(2), result(3, quantities={"text": "x" * 100_000})])
        assert len(str(caught.value).splitlines()) == 1
        assert [row["design"] for row in store.table().rows] == [1, 2]  # whose line was whole already
        store.add([result(3)])
        assert [row["design"] for row in store.table().rows] == [1, 2, 3]
        assert store.unreadable == 1
        store.mended()
    with Store(tmp_path) as store:
        assert store.unreadable == 0


def test_a_file_that_may_only_be_read(tmp_path):
    begun(tmp_path).close()
    with Store(tmp_path) as store, pytest.raises(CaseError, match="cannot be used: "):
        store.add([result(1)])  # opened to be read: what a drive that takes nothing answers, for the superuser too


@pytest.mark.skipif(not Path("/proc/version").is_file(), reason="needs a directory that nobody may write to")
def test_a_directory_that_cannot_be_written():
    with pytest.raises(CaseError, match="cannot be used: "):
        Store("/proc/buckle", create=True)


@pytest.mark.parametrize("create", [False, True])
def test_a_name_that_no_directory_can_have(create):
    """Whether Python says of such a file that it is not there, or raises, is a matter of its version."""
    refusal = "cannot be used: File name too long" + ("" if create else "|allowed: a directory that buckle sweep wrote")
    with pytest.raises(CaseError, match=refusal):
        Store("x" * 1000, create=create)


def test_a_directory_without_a_batch(tmp_path):
    with pytest.raises(CaseError, match="allowed: a directory that buckle sweep wrote"):
        Store(tmp_path)
    assert not (tmp_path / FILE).exists()
    with Store(tmp_path, create=True) as store, pytest.raises(CaseError, match="holds no study yet; try: buckle sweep"):
        store.table()


def test_a_study_that_is_begun_again_is_noted_once(tmp_path):
    begun(tmp_path).close()
    size = (tmp_path / FILE).stat().st_size
    with Store(tmp_path, create=True) as store:
        store.begin(About("one", "a study", ("shape.gauge_mm",), (), 3))
        assert (tmp_path / FILE).stat().st_size == size
        store.begin(About("one", "another title", ("shape.gauge_mm",), (), 3))
        assert store.table().title == "another title"


def test_pages_of_a_table(tmp_path):
    with begun(tmp_path) as store:
        store.note_pages("rows", {"map.png": "abc"})
        assert store.pages("rows") == {"map.png": "abc"}
        assert store.pages("other rows") == {}


def test_what_another_process_has_done_needs_no_work(tmp_path):
    with begun(tmp_path) as one, Store(tmp_path, create=True) as other:
        other.add([result(2)])
        assert one.finished(["key 1", "key 2"]) == {"key 2": RowStatus.SOLVED}


def many_rows_are_all_there(tmp_path, count):
    with Store(tmp_path, create=True) as store:
        store.begin(About("one", "long", ("shape.gauge_mm",), (), count))
        for first in range(0, count, count // 10):
            numbers = range(first, first + count // 10)
            store.note_designs([DesignRow("one", at, f"key {at}", {"shape.gauge_mm": at}) for at in numbers])
            store.add([result(at) for at in numbers])
        assert len(store.table().where(f"p_bar >= {count / 8}")) == count // 2


def test_ten_thousand_rows_are_all_there(tmp_path):
    many_rows_are_all_there(tmp_path, 10_000)


@pytest.mark.slow
def test_a_hundred_thousand_rows_are_all_there(tmp_path):
    many_rows_are_all_there(tmp_path, 100_000)
