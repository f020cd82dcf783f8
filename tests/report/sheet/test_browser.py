"""The margin sheet in a browser, at the width of a desk and of a telephone, and on paper; skipped without Chromium."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from buckle.margins.judge import judge
from buckle.record.margins import verdict_fields
from buckle.report.files import write_results
from tests.helpers.made_run import made_case, made_outcomes

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None)
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)
pytestmark = pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")

FRAME = """
<iframe id="screen" style="width:%dpx;height:4000px;border:0" src="margin-sheet.html"></iframe>
<script>
screen_ = document.getElementById("screen");
screen_.onload = () => {
  const page = screen_.contentDocument, root = page.documentElement, wide = root.clientWidth;
  const scrolls = e => e && (["auto", "scroll"].includes(getComputedStyle(e).overflowX) || scrolls(e.parentElement));
  const out = [...page.body.querySelectorAll("*")].filter(e =>
    !e.closest("svg") && !e.closest(".skip") && e.getBoundingClientRect().right > wide + 1 && !scrolls(e));
  const missing = [...page.querySelectorAll("svg")].filter(e => e.getBoundingClientRect().height < 40);
  document.title = [root.scrollWidth, wide, out.length, missing.length, page.querySelectorAll("math").length].join(" ");
};
</script>
"""


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    case = made_case()
    outcomes = made_outcomes(case)
    target = tmp_path_factory.mktemp("browser") / "run"
    write_results(target, case, outcomes, verdict_fields(judge(case, outcomes)))
    return target


def browse(tmp_path: Path, *arguments: str) -> str:
    assert BROWSER is not None
    command = [BROWSER, *FLAGS, f"--user-data-dir={tmp_path / 'browser'}", *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=True).stdout


@pytest.mark.parametrize("width", [1280, 390])
def test_nothing_sticks_out_at_the_side(width: int, directory: Path, tmp_path: Path) -> None:
    """Only what scrolls by itself (pictures and long formulas on a telephone) may be wider than the page."""
    frame = directory / f"frame-{width}.html"
    frame.write_text(FRAME % width, encoding="utf-8")
    title = browse(
        tmp_path, "--allow-file-access-from-files", "--virtual-time-budget=10000", "--dump-dom", frame.as_uri()
    )
    found = re.search(r"<title>([\d ]+)</title>", title)
    assert found is not None, title[:500]
    scroll, wide, outside, missing, formulas = map(int, found[1].split())
    assert wide == width
    assert scroll <= width
    assert (outside, missing) == (0, 0)
    assert formulas > 10


def test_it_prints(directory: Path, tmp_path: Path) -> None:
    """A4 or letter by the printer's choice; every section and every limit state is on paper, no sign is missing."""
    paper = tmp_path / "sheet.pdf"
    browse(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={paper}", (directory / "margin-sheet.html").as_uri())
    assert paper.read_bytes().startswith(b"%PDF")
    reader = shutil.which("pdftotext")
    if reader is None:
        pytest.skip("no pdftotext on this machine")
    text = subprocess.run([reader, "-layout", str(paper), "-"], capture_output=True, text=True, check=True).stdout
    verdict, sections = "MET WITH DOUBT: onset of waves", ("2 Inputs as used", "8 Cautions")
    for expected in (verdict, *sections, "sphere.classical_pressure", "Checker"):
        assert expected in text
    assert "\ufffd" not in text
    assert "\u25a1" not in text
