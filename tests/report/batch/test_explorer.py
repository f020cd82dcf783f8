"""The page of a batch in a real browser: no console error, a filter, a picked design; skipped without Chromium."""

import json
import re
import shutil
import subprocess
from pathlib import Path
from urllib.parse import quote

import pytest

from buckle.report.batch.explorer import outline, write_explorer
from buckle.store import Table
from tests.helpers.made_run import made_case

BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "chrome"))), None)
FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking")
TRAP = "</script><script>console.error('broken out')</script>"
PROBE = """<script>
addEventListener("load", () => {{
  const title = [];
  const count = () => document.getElementById("count").textContent;
  title.push(count());
  {steps}
  document.title = JSON.stringify(title);
}});
</script></body>"""


@pytest.fixture
def page(tmp_path: Path) -> Path:
    rows = [
        {
            "design": at,
            "shape.gauge_mm": 0.2 + 0.01 * at,
            "GMNA.governing_pressure_bar": 5.0 + at,
            "status": "solved",
            "reason": "",
        }
        for at in range(1, 6)
    ]
    rows.append({"design": 6, "shape.gauge_mm": 0.1, "status": "failed", "reason": f"too thin {TRAP}"})
    table = Table("caps & <cups>", ("shape.gauge_mm",), ("GMNA.governing_pressure_bar",), tuple(rows))
    path = tmp_path / "explorer.html"
    write_explorer(path, table, {at: outline(made_case().meridian) for at in range(1, 6)})
    return path


def test_the_page_needs_nothing_from_outside(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert "<title>caps &amp; &lt;cups&gt;</title>" in text
    assert re.findall(r"(?:src|href)=\"([^\"]*)\"", text) == ["data:,"]
    assert re.findall(r"https?://[^\"' ]+", text) == ["http://www.w3.org/2000/svg"]  # a name, not an address
    data = re.search(r'id="data">(.*?)</script>', text)
    assert json.loads(data[1])["rows"][5][-1] == f"too thin {TRAP}"


def seen(page: Path, steps: str = "", state: str = "") -> tuple[list, str]:
    """Return what the page tells after some steps, and its text; fails on any message of the console."""
    probe = page.with_name("probe.html")
    probe.write_text(page.read_text(encoding="utf-8").replace("</body>", PROBE.format(steps=steps)), encoding="utf-8")
    command = [BROWSER, *FLAGS, f"--user-data-dir={page.parent / 'browser'}", "--enable-logging=stderr", "--v=0"]
    command += ["--virtual-time-budget=5000", "--dump-dom", probe.as_uri() + state]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    assert "CONSOLE" not in done.stderr, done.stderr
    found = re.search(r"<title>(\[.*?\])</title>", done.stdout)
    assert found is not None, done.stdout[:500]
    return json.loads(found[1].replace("&gt;", ">").replace("&lt;", "<").replace("&amp;", "&")), done.stdout


@pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")
def test_a_filter_changes_the_count(page: Path) -> None:
    steps = """
    const both = "shape.gauge_mm <= 0.22 and status = solved";
    for (const text of ["GMNA.governing_pressure_bar > 7.5", "status = failed", both, ""]) {
      document.getElementById("where").value = text;
      document.querySelector("button").click();
      title.push(count());
    }
    document.getElementById("where").value = "nonsense > 1";
    document.querySelector("button").click();
    title.push(document.getElementById("wrong").textContent.slice(0, 20));
    """
    told, _ = seen(page, steps)
    assert told == [
        "6 of 6 designs",
        "3 of 6 designs",
        "1 of 6 designs",
        "2 of 6 designs",
        "6 of 6 designs",
        'no column "nonsense"',
    ]


@pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")
def test_picking_a_design_shows_its_section_and_its_numbers(page: Path) -> None:
    steps = """
    document.querySelector("tr[data-design='2']").click();
    title.push(document.querySelectorAll("#section polyline").length);
    title.push(document.querySelector("#section svg").getBoundingClientRect().height > 20);
    title.push(document.getElementById("numbers").textContent.includes("GMNA.governing_pressure_bar7"));
    document.querySelector("tr[data-design='6']").click();
    title.push(document.querySelectorAll("#section polyline").length);
    title.push(document.getElementById("numbers").textContent.includes("too thin <" + "/script>"));
    """
    told, _ = seen(page, steps)
    assert told[1:] == [2, True, True, 0, True]


@pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")
def test_a_link_keeps_what_was_looked_at(page: Path) -> None:
    told, text = seen(page, state=f"#where={quote('shape.gauge_mm > 0.235')}&design=5")
    assert told == ["2 of 6 designs"]
    assert "Design 5" in text
    assert "section of design 5" in text
