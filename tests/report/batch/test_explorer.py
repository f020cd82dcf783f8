"""The page of a batch in a browser: chart, brush, filter, table and the picked design; skipped without Chromium."""

import json
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote, unquote

import pytest

from buckle.report.batch.explorer import outline, write_explorer
from buckle.store import Table
from tests.helpers.browser import BROWSER, Browser, opened
from tests.helpers.made_run import made_case

TRAP = "</script><script>console.error('broken out')</script>"
CAPACITY = "GMNA.capacity_pressure_bar"
QUANTITIES = (CAPACITY, "GMNA.at_least_pressure_bar", "verdict", "required", "required_pressure_bar")
LONG = "GMNA.deformation_theory_bifurcation_wave_number"
STEPS = """<script>
addEventListener("load", async () => {{
  const after = setTimeout;
  window.setTimeout = (done, ms) => after(done, ms / 10); // time passes ten times as fast
  const seen = [], by = id => document.getElementById(id), all = what => [...document.querySelectorAll(what)];
  const set = (id, value) => {{ by(id).value = value; by(id).dispatchEvent(new Event("change")); }};
  const ask = text => {{ by("where").value = text; by("filter").requestSubmit(); return by("count").textContent; }};
  const designs = () => all("#rows tr").map(line => Number(line.dataset.design));
  const press = (element, key) => element.dispatchEvent(new KeyboardEvent("keydown", {{ key, bubbles: true }}));
  const point = (kind, x, y) => {{
    const box = by("plot").getBoundingClientRect();
    by("plot").setPointerCapture = () => {{}}; // no real pointer is down
    const at = {{ clientX: box.left + x, clientY: box.top + y, button: 0 }};
    by("plot").dispatchEvent(new PointerEvent(kind, at));
  }};
  const drag = (from, to) => {{
    point("pointerdown", ...from);
    point("pointermove", ...to);
    point("pointerup", ...to);
  }};
  const mark = design => {{
    const moved = document.querySelector(`.marks [data-design="${{design}}"]`).getAttribute("transform");
    return moved.match(/[\\d.]+/g).map(Number);
  }};
  {steps}
  await new Promise(done => setTimeout(done, 500)); // what the page does later, it may complain of
  document.title = encodeURIComponent(JSON.stringify(seen)); // a title has no two blanks in a row
  parent.postMessage(document.title, "*");
}});
</script></body>"""
PHONE = """<!DOCTYPE html><body><iframe src="{page}" style="width: 390px; height: 800px; border: 0"></iframe>
<script>onmessage = event => {{ document.title = event.data; }}</script></body>"""

pytestmark = pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")


def made_rows() -> list[dict[str, object]]:
    """Gauges 0.21 to 0.25 mm in two depths at 6 to 10 bar, one of them known at least; one that could not be built."""
    rows: list[dict[str, object]] = [
        {
            "design": at,
            "shape.gauge_mm": 0.2 + 0.01 * at,
            "shape.depth_mm": 9.0 if at < 4 else 10.0,
            CAPACITY: 5.0 + at,
            "verdict": "not met" if at == 1 else "met",
            "required": True,
            "required_pressure_bar": 6.2,
            "status": "solved",
            "reason": "",
        }
        for at in range(1, 6)
    ]
    rows[4]["GMNA.at_least_pressure_bar"] = rows[4].pop(CAPACITY)
    rows[4]["status"] = "no limit found"
    last = {"design": 6, "shape.gauge_mm": 0.1, "shape.depth_mm": 9.0, "status": "not built", "reason": f"thin {TRAP}"}
    return [*rows, last]


def written(path: Path, rows: list[dict[str, object]], *units: str, title: str = "caps & <cups>") -> Path:
    varied = tuple(name for name in rows[0] if name.startswith("shape."))
    table = Table(title, varied, (*QUANTITIES, LONG), tuple(rows))
    write_explorer(path, table, {at: outline(made_case().meridian) for at in range(1, 6)}, *units)
    return path


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with opened(tmp_path_factory.mktemp("browser")) as browser:
        yield browser


@pytest.fixture
def page(tmp_path: Path) -> Path:
    return written(tmp_path / "explorer.html", made_rows())


def seen(browser: Browser, page: Path, steps: str = "", state: str = "", *, phone: bool = False) -> list:
    """Return what some steps on the page see; fails on any message of the console."""
    tried = page.with_name("tried.html")
    tried.write_text(page.read_text(encoding="utf-8").replace("</body>", STEPS.format(steps=steps)), encoding="utf-8")
    address = tried.as_uri() + state
    if phone:
        outer = page.with_name("phone.html")
        outer.write_text(PHONE.format(page=address), encoding="utf-8")
        address = outer.as_uri()
    title, messages = browser.title(address, quote("["))
    assert "CONSOLE" not in messages, messages
    return json.loads(unquote(title))


def test_the_chart_shows_verdicts_by_shape_what_is_required_and_what_is_missing(browser: Browser, page: Path) -> None:
    steps = """
    seen.push(all(".marks .mark").length);
    const shape = design => document.querySelector(`.marks [data-design="${design}"]`).getAttribute("d");
    seen.push(shape(1) !== shape(2), shape(2) === shape(3));
    seen.push(all(".marks .open").map(each => Number(each.dataset.design)), shape(5).length > shape(4).length);
    seen.push(all(".limits text").map(each => each.textContent));
    const limit = Number(document.querySelector("line.limit").getAttribute("y1"));
    seen.push(mark(1)[1] > limit, mark(2)[1] < limit);
    seen.push(by("missing").textContent);
    seen.push(all("#legend span").map(each => each.textContent));
    """
    assert seen(browser, page, steps) == [
        5,
        True,
        True,
        [5],
        True,
        ["6.2 bar required"],
        True,
        True,
        "1 of 6 designs has no value of GMNA capacity pressure  [bar] (1 not built).",
        ["met 4", "not met 1", "open, with an arrow: at least 1"],
    ]


def test_any_two_columns_make_a_chart_words_too(browser: Browser, page: Path) -> None:
    steps = """
    set("x", "verdict"); set("y", "shape.depth_mm");
    seen.push(all(".marks .mark").length, all(".limits text").length);
    seen.push(all(".back text").map(each => each.textContent).filter(text => /met|depth|verdict/.test(text)));
    seen.push(mark(1)[0] < mark(2)[0], mark(3)[1] > mark(4)[1]);
    seen.push(all("#x option").map(each => each.value).includes("reason"));
    """
    assert seen(browser, page, steps) == [5, 0, ["not met", "met", "depth  [mm]", "verdict"], True, True, True]


def test_a_filter_changes_chart_and_table(browser: Browser, page: Path) -> None:
    steps = """
    seen.push(by("count").textContent);
    const both = "shape.gauge_mm <= 0.225 and verdict == 'met'";
    for (const text of ["GMNA.capacity_pressure_bar > 7.5", "verdict == 'not met'", both]) {
      seen.push(ask(text), all(".marks .mark:not(.faint)").length, designs());
    }
    seen.push(ask("not verdict = 'met' and required"), ask("shape.gauge_mm * shape.depth_mm > 2.3 or design = 1"));
    seen.push(ask(""));
    for (const text of ["capacity_pressure_bar > 1", "design >"]) {
      ask(text);
      seen.push(/did you mean|missing at the end/.test(by("wrong").textContent), by("count").textContent);
    }
    by("filter").reset();
    seen.push(by("wrong").textContent);
    """
    expected = ["6 of 6 designs", "2 of 6 designs", 2, [3, 4], "1 of 6 designs", 1, [1], "1 of 6 designs", 1, [2]]
    wrong = [True, "6 of 6 designs"] * 2
    assert seen(browser, page, steps) == [*expected, "1 of 6 designs", "3 of 6 designs", "6 of 6 designs", *wrong, ""]


def test_a_brush_on_the_chart_filters_the_table(browser: Browser, page: Path) -> None:
    steps = """
    const [left, low] = mark(2), [right, high] = mark(4);
    drag([left - 8, low + 8], [right + 8, high - 8]);
    seen.push(by("count").textContent, designs());
    seen.push(all(".marks .faint").map(each => Number(each.dataset.design)), all(".brush rect").length);
    seen.push(ask("shape.gauge_mm < 0.235"), designs());
    by("unbrush").click();
    seen.push(designs(), all(".brush rect").length);
    drag([0, mark(2)[1] + 3], [999, mark(2)[1] - 3]);
    seen.push(designs());
    """
    expected = [
        "3 of 6 designs in the brush",
        [2, 3, 4],
        [1, 5],
        1,
        "2 of 6 designs in the brush",
        [2, 3],
        [1, 2, 3, 6],
        0,
        [2],
    ]
    assert seen(browser, page, steps) == expected


def test_a_click_on_a_mark_picks_it_and_keys_step_on(browser: Browser, page: Path) -> None:
    steps = """
    const name = () => by("name").firstChild.nextSibling.textContent;
    const click = at => { point("pointerdown", ...at); point("pointerup", ...at); };
    click(mark(3)); seen.push(name(), document.querySelector("tr[aria-selected=true]").dataset.design);
    press(by("plot"), "ArrowRight"); seen.push(name());
    press(by("plot"), "ArrowLeft"); press(by("plot"), "ArrowLeft"); seen.push(name());
    point("pointermove", ...mark(5)); seen.push(by("hint").textContent.split("\\n"));
    by("next").click(); seen.push(name());
    press(document.querySelector("#rows tr[data-design='3']"), "ArrowDown");
    seen.push(name(), document.activeElement.dataset.design);
    """
    hint = ["Design 5, met", "gauge  [mm]: 0.25", "GMNA capacity pressure  [bar]: at least 10"]
    assert seen(browser, page, steps) == ["Design 3", "3", "Design 4", "Design 2", hint, "Design 3", "Design 4", "4"]


def test_a_picked_design_is_shown_with_its_numbers_beside_the_one_before(browser: Browser, page: Path) -> None:
    steps = """
    const cells = line => [...line.children].map(cell => cell.textContent).join("|");
    const numbers = () => all("#numbers tr").map(cells);
    document.querySelector("tr[data-design='2']").click();
    seen.push(all("#section polyline").length, all("#section svg")[0].getBoundingClientRect().height > 20);
    seen.push(numbers().includes("GMNA.capacity_pressure_bar|7"));
    const order = ["inputs", "shape.gauge_mm|0.22", "results", "verdict|met"].map(each => numbers().indexOf(each));
    seen.push(order[0] >= 0 && order.every((each, at) => !at || each > order[at - 1]));
    document.querySelector("tr[data-design='5']").click();
    seen.push(all("#section polyline").length, numbers().includes("GMNA.capacity_pressure_bar|at least 10|7"));
    document.querySelector("tr[data-design='6']").click();
    seen.push(by("section").textContent, numbers().some(each => each.includes("thin <" + "/script>")));
    """
    text = "It has no section: it could not be built."
    assert seen(browser, page, steps) == [2, True, True, True, 4, True, text, True]


def test_a_line_joins_only_designs_alike_in_all_other_inputs(browser: Browser, page: Path) -> None:
    steps = """
    const joined = () => all(".alike polyline").map(each => each.getAttribute("points").split(" ").length);
    for (const design of [1, 4, 6]) {
      document.querySelector(`tr[data-design='${design}']`).click();
      seen.push(joined());
    }
    set("x", "verdict"); seen.push(joined());
    """
    assert seen(browser, page, steps) == [
        [3],
        [],
        [3],
        [],
    ]  # depth 9: 1, 2, 3 and 6, which has no capacity; 10: 4 and 5, at least


def test_sorting_is_marked_and_leaves_what_is_missing_last(browser: Browser, page: Path) -> None:
    steps = """
    const head = name => document.querySelector(`th[data-column="${name}"]`);
    const sort = name => {
      head(name).querySelector("button").click();
      return [designs(), head(name).ariaSort, head(name).querySelector(".arrow").textContent];
    };
    seen.push(sort("GMNA.capacity_pressure_bar"), sort("GMNA.capacity_pressure_bar"), sort("verdict"));
    seen.push(all("th[aria-sort]:not([aria-sort=none])").length, head("shape.depth_mm").ariaSort);
    seen.push(all("#head tr:last-child th").map(each => each.dataset.column).slice(0, 4));
    """
    columns = ["design", "shape.gauge_mm", "shape.depth_mm", CAPACITY]
    assert seen(browser, page, steps) == [
        [[1, 2, 3, 4, 5, 6], "ascending", "▲"],
        [[5, 4, 3, 2, 1, 6], "descending", "▼"],
        [[2, 3, 4, 5, 1, 6], "ascending", "▲"],
        1,
        "none",
        columns,
    ]


def test_units_are_chosen_and_stored_values_stay(browser: Browser, page: Path) -> None:
    """6.2 bar is 89.923 psi and 0.21 mm 0.0082677 in: 1 psi = 6894.757 Pa, 1 in = 25.4 mm."""
    steps = """
    set("pressure", "psi"); set("length", "in");
    seen.push(all(".limits text").map(each => each.textContent));
    seen.push(all(".back .name").map(each => each.textContent));
    seen.push(all("#rows tr[data-design='1'] td").map(each => each.textContent).slice(0, 3));
    seen.push(ask("GMNA.capacity_pressure_psi > 110"), ask("GMNA.capacity_pressure_bar > 7.5"));
    seen.push(ask("shape.gauge_in < 0.0085"));
    """
    assert seen(browser, page, steps) == [
        ["89.923 psi required"],
        ["GMNA capacity pressure  [psi]", "gauge  [in]"],
        ["0.0082677", "0.35433", "87.023"],
        "2 of 6 designs",
        "2 of 6 designs",
        "2 of 6 designs",
    ]


def test_the_page_begins_in_the_units_of_the_command(browser: Browser, tmp_path: Path) -> None:
    page = written(tmp_path / "explorer.html", made_rows(), "kPa", "in")
    steps = 'seen.push(all(".limits text")[0].textContent, all(".back .name").map(each => each.textContent));'
    assert seen(browser, page, steps) == ["620 kPa required", ["GMNA capacity pressure  [kPa]", "gauge  [in]"]]


def test_a_key_in_inches_is_shown_in_millimetres_where_these_are_chosen(browser: Browser, tmp_path: Path) -> None:
    """0.0106 in is 0.26924 mm: 1 in = 25.4 mm."""
    rows = [{**row, "shape.rim_in": 0.0106 * row["design"]} for row in made_rows()]
    steps = """
    const rim = () => all("#rows tr")[0].children[3].textContent;
    seen.push(all("[data-column='shape.rim_in']")[0].textContent.split(" ")[0], rim());
    seen.push(ask("shape.rim_mm < 0.3"), ask("shape.rim_in < 0.03"));
    set("length", "in");
    seen.push(rim());
    """
    page = written(tmp_path / "explorer.html", rows)
    assert seen(browser, page, steps) == ["shape.rim_mm", "0.26924", "1 of 6 designs", "2 of 6 designs", "0.0106"]


def test_a_link_keeps_what_was_looked_at(browser: Browser, page: Path) -> None:
    state = f"#where={quote('shape.gauge_mm > 0.235')}&design=5&x=shape.depth_mm&sort=-shape.gauge_mm&pressure=psi"
    steps = """
    seen.push(by("count").textContent, by("name").textContent, by("x").value, designs());
    location.hash = "";
    await new Promise(done => setTimeout(done, 1000));
    seen.push(location.hash, by("count").textContent);
    ask("shape.gauge_mm > 0.235");
    by("x").value = "shape.depth_mm"; by("x").onchange({ target: by("x") });
    document.querySelector("#rows [data-design='5']").click();
    document.querySelector("[data-column='shape.gauge_mm'] button").click();
    document.querySelector("[data-column='shape.gauge_mm'] button").click();
    set("pressure", "psi");
    await new Promise(done => setTimeout(done, 1000));
    seen.push(location.hash);
    """
    count, name, across, designs, emptied, every, left = seen(browser, page, steps, state)
    assert (emptied, every) == ("", "6 of 6 designs")
    assert (count, across, designs) == ("2 of 6 designs", "shape.depth_mm", [5, 4])
    assert name.startswith("Design 5")
    assert set(left[1:].split("&")) == set(state.replace("%20", "+")[1:].split("&"))


def test_a_link_that_means_nothing_is_passed_over(browser: Browser, page: Path) -> None:
    state = "#where=nonsense%20%3E%201&design=77&x=hasOwnProperty&brush=1%20x&sort=__proto__&pressure=furlong"
    steps = 'seen.push(by("count").textContent, by("wrong").textContent.includes("nonsense"), by("x").value);'
    assert seen(browser, page, steps, state) == ["6 of 6 designs", True, "shape.gauge_mm"]


def test_where_nothing_is_required_no_mark_speaks_of_a_verdict(browser: Browser, tmp_path: Path) -> None:
    keys = ("required", "required_pressure_bar")
    rows = [{key: value for key, value in row.items() if key not in keys} for row in made_rows()]
    page = written(tmp_path / "explorer.html", [{**row, "verdict": "no verdict"} for row in rows])
    steps = 'seen.push(all("#legend span")[0].textContent, all(".limits text").length);'
    assert seen(browser, page, steps) == ["5 designs, nothing is required", 0]


def test_many_designs_are_painted_and_named_as_one_scrolls(browser: Browser, tmp_path: Path) -> None:
    rows = [{**row, "design": at + 5 * again} for again in range(400) for at, row in enumerate(made_rows()[:5], 1)]
    steps = """
    const paper = document.querySelector("canvas"), pen = paper.getContext("2d");
    const painted = () => new Uint32Array(pen.getImageData(0, 0, paper.width, paper.height).data.buffer);
    const inks = () => new Set(painted()).size;
    seen.push(paper.hidden, all(".marks .mark").length, inks() > 10, designs().length < 200, by("count").textContent);
    by("scroll").scrollTop = 1e6; by("scroll").onscroll({ target: by("scroll") });
    seen.push(designs().length > 60);
    ask("design <= 100"); // the others are ghosts
    seen.push(paper.hidden);
    """
    page = written(tmp_path / "explorer.html", rows)
    assert seen(browser, page, steps) == [False, 0, True, True, "2000 of 2000 designs", True, False]


def test_paper_says_in_words_what_the_controls_would_show(browser: Browser, page: Path) -> None:
    steps = """
    ask("shape.gauge_mm < 0.245");
    change({ brush: { x: [0.215, 0.3], y: [0, 20] } });
    dispatchEvent(new Event("beforeprint"));
    seen.push(by("printed").textContent);
    """
    brush = "gauge  [mm] from 0.215 to 0.3; GMNA capacity pressure  [bar] from 0 to 20"
    assert seen(browser, page, steps) == [f"3 of 6 designs in the brush: with shape.gauge_mm < 0.245; {brush}."]


def test_a_phone_shows_picture_design_and_table_one_below_the_other(browser: Browser, tmp_path: Path) -> None:
    page = written(tmp_path / "explorer.html", [{**row, LONG: 7} for row in made_rows()])
    steps = """
    const top = what => document.querySelector(what).getBoundingClientRect().top;
    const whole = document.documentElement, tops = ["#plot", "#section", "#numbers", "#rows"].map(top);
    seen.push(innerWidth, whole.scrollWidth - whole.clientWidth, tops[0] < 400);
    seen.push(tops.every((each, at) => !at || each > tops[at - 1]));
    const touched = all("button, select, #where").filter(each => each.offsetParent && !each.closest(".scroll"));
    seen.push(touched.length > 5, touched.filter(each => each.getBoundingClientRect().height < 38).length);
    seen.push(getComputedStyle(document.querySelector("#rows .first")).position);
    """
    assert seen(browser, page, steps, phone=True) == [390, 0, True, True, True, 0, "sticky"]
