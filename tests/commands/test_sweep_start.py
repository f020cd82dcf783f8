"""A batch loads what it needs: with nothing to do neither mechanics nor pictures, whose files stay as they are."""

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.pool import borrowed
from buckle.batch.runner import run_study
from buckle.cli import main
from buckle.commands.codes import MET
from buckle.store import Store
from buckle.study.reader import read_study
from tests.helpers.cap_case import CAP

STUDY = '[study]\nbase_case = "cap.toml"\n[vary]\n"shape.thickness_mm" = [0.8, 0.9, 1.0, 1.1]\n'
HEAVY = {"matplotlib", "jinja2", "meshio", "numba", "skfem", "scipy.stats", "scipy.sparse.csgraph", "buckle.analysis"}
"""Libraries of pictures and of mechanics, each of which takes longer to load than the answer may take."""


@pytest.fixture(scope="module")
def swept(tmp_path_factory) -> Path:
    """A finished batch with its pictures, made in threads: no worker has to start."""
    folder = tmp_path_factory.mktemp("swept")
    (folder / "cap.toml").write_text(CAP)
    (folder / "study.toml").write_text(STUDY)
    identity = Identity(read_study(folder / "study.toml"))
    with ThreadPoolExecutor(1) as threads, Store(folder / "out", create=True) as store:
        assert run_study(identity, store, borrowed(threads, 1), Counts(4), lambda: False)
    assert main(command(folder)) == MET
    return folder


def command(folder: Path, *words: str) -> list[str]:
    return ["sweep", str(folder / "study.toml"), "--out", str(folder / "out"), "--jobs", "1", "--quiet", *words]


def loaded_by(code: str) -> set[str]:
    """Return which of the heavy libraries some code loads in a process of its own."""
    code += "\nimport sys\nprint('LOADED', *sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120)
    assert done.stderr == ""
    return HEAVY & set(done.stdout.split("LOADED")[1].split())


def test_with_nothing_to_do_neither_mechanics_nor_pictures_are_loaded(swept: Path) -> None:
    assert loaded_by(f"from buckle.cli import main\nassert main({command(swept)!r}) == 0") == set()


def test_looking_at_a_batch_loads_neither(swept: Path) -> None:
    words = ["table", str(swept / "out"), "--where", "LBA.critical_pressure_psi > 1"]
    assert loaded_by(f"from buckle.cli import main\nassert main({words!r}) == 0") == set()


def test_a_worker_loads_no_pictures() -> None:
    assert not {"matplotlib", "jinja2", "meshio"} & loaded_by("from buckle.batch.work import ready\nassert ready()")


def test_pictures_are_made_again_only_where_they_are_not_those_of_the_rows(swept: Path) -> None:
    """One is lost, the page is altered, the title of the study changes: each time all is as it should be again."""
    pictures = {path.name for path in (swept / "out").glob("*.svg")}
    page, picture = swept / "out" / "explorer.html", swept / "out" / min(pictures)
    before = page.stat().st_mtime_ns
    assert main(command(swept)) == MET
    assert page.stat().st_mtime_ns == before
    picture.unlink()
    assert main(command(swept)) == MET
    assert picture.is_file()
    page.write_text("altered")
    assert main(command(swept)) == MET
    assert "altered" not in page.read_text(encoding="utf-8")[:100]
    (swept / "study.toml").write_text(STUDY.replace("[vary]", 'title = "another name"\n[vary]'))
    assert main(command(swept)) == MET
    assert "another name" in page.read_text(encoding="utf-8")


def test_pictures_of_a_batch_are_left_in_the_formats_asked_for(swept: Path) -> None:
    """Asked for in another way, they are made though the rows are the same; without any the page is there alone."""
    out = swept / "out"
    assert main(command(swept)) == MET
    pictured = {path.stem for path in out.glob("*.svg")}
    assert pictured
    assert not list(out.glob("*.png"))
    assert main(command(swept, "--figures", "both")) == MET
    assert {path.stem for path in out.glob("*.png")} == pictured
    for path in out.glob("*.svg"):
        path.unlink()
    assert main(command(swept, "--figures", "none")) == MET
    assert not list(out.glob("*.svg"))
    assert (out / "explorer.html").is_file()
