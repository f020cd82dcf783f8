"""What is packed: a wheel with the cases in it, and a source distribution that tests itself."""

import subprocess
import sys
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT

pytest.importorskip("hatchling", reason="packing needs the dev extra")
pytestmark = pytest.mark.slow
in_repository = pytest.mark.skipif(not (ROOT / ".git").exists(), reason="no repository to compare with")


def call(*words: object, cwd: Path = ROOT) -> str:
    return subprocess.run([*map(str, words)], cwd=cwd, check=True, capture_output=True, text=True).stdout


@pytest.fixture(scope="module")
def packed(tmp_path_factory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("dist")
    call(sys.executable, "-m", "hatchling", "build", "-d", folder)
    return {path.suffix: path for path in folder.iterdir()}


def tracked(*folders: str) -> set[str]:
    return {name for name in call("git", "ls-files", *folders).splitlines() if not name.endswith(".gitignore")}


@in_repository
def test_the_wheel_holds_the_package_and_the_cases(packed) -> None:
    names = set(zipfile.ZipFile(packed[".whl"]).namelist())
    wanted = tracked("buckle") | {f"buckle/{name}" for name in tracked("cases")}
    assert {name for name in names if ".dist-info/" not in name} == wanted


@in_repository
def test_the_source_distribution_holds_what_is_tracked(packed) -> None:
    with tarfile.open(packed[".gz"]) as file:
        names = {name.partition("/")[2] for name in file.getnames()}
    assert tracked() - names <= {name for name in tracked() if name.startswith(".")}


def test_an_installed_wheel_works_away_from_its_source(packed, tmp_path: Path) -> None:
    """The wheel alone; what it depends on is taken from this environment, so that nothing is fetched."""
    venv.create(tmp_path / "venv", with_pip=True)
    python = tmp_path / "venv" / "bin" / "python"
    call(python, "-m", "pip", "install", "--quiet", "--no-deps", packed[".whl"], cwd=tmp_path)
    site = Path(call(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=tmp_path).strip())
    dependencies = [path for path in map(Path, sys.path) if path.name in ("site-packages", "dist-packages")]
    (site / "here.pth").write_text("\n".join(map(str, dependencies)))
    assert call(python, "-c", "import buckle; print(buckle.__file__)", cwd=tmp_path).startswith(str(site))
    assert "base.toml" in call(python, "-m", "buckle", "examples", cwd=tmp_path)
    call(python, "-m", "buckle", "draw", "examples/demo/base.toml", cwd=tmp_path)
    printed = call(
        python, "-c", "from buckle.commands.bench import default_folder; print(default_folder())", cwd=tmp_path
    )
    assert Path(printed.strip()) == site / "buckle" / "cases" / "benchmarks"


def test_the_source_distribution_tests_itself(packed, tmp_path: Path) -> None:
    """Tests of documents, cases, scripts and architecture: those that read files outside the package."""
    with tarfile.open(packed[".gz"]) as file:
        file.extractall(tmp_path, filter="data")
    (root,) = tmp_path.iterdir()
    chosen = ("tests/test_readme.py", "tests/test_architecture.py", "tests/cases/test_validation_page.py", "tests/case")
    call(sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *chosen, cwd=root)
