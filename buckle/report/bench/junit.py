"""Trials as JUnit XML, for machines that gather test results."""

import re
from collections.abc import Sequence
from pathlib import Path
from xml.etree import ElementTree as Xml

from buckle.errors import CaseError
from buckle.margins import Comparison
from buckle.marked import plain
from buckle.report.bench.trial import Trial

UNSPEAKABLE = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 cannot hold."""


def write_junit(path: Path, trials: Sequence[Trial], seconds: float) -> None:
    """Write one test case a trial: a missed expectation is a failure, an unfinished analysis an error.

    Raises CaseError if the file cannot be written.
    """
    try:
        Xml.ElementTree(junit(trials, seconds)).write(path, encoding="utf-8", xml_declaration=True)
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error


def junit(trials: Sequence[Trial], seconds: float) -> Xml.Element:
    """Return the document's root."""
    counts = {
        "tests": str(len(trials)),
        "failures": str(sum(trial.status == "missed" for trial in trials)),
        "errors": str(sum(trial.status == "unfinished" for trial in trials)),
        "time": f"{seconds:.3f}",
    }
    root = Xml.Element("testsuites", counts)
    suite = Xml.SubElement(root, "testsuite", {"name": "buckle bench", "skipped": "0", **counts})
    for trial in trials:
        suite.append(_test_case(trial))
    Xml.indent(root)
    return root


def _test_case(trial: Trial) -> Xml.Element:
    folder, _, _ = trial.name.rpartition("/")
    group = ".".join(["benchmarks", *folder.split("/")]) if folder else "benchmarks"
    element = Xml.Element(
        "testcase", {"classname": _clean(group), "name": _clean(trial.name), "time": f"{trial.seconds:.3f}"}
    )
    if trial.unfinished:
        _message(element, "error", list(map(plain, trial.unfinished)))
    elif not trial.met:
        _message(element, "failure", [_sentence(each) for each in trial.comparisons if not each.met])
    lines = [trial.title, *[_sentence(each) for each in trial.comparisons]]
    Xml.SubElement(element, "system-out").text = _clean("\n".join(lines))
    return element


def _message(parent: Xml.Element, tag: str, lines: Sequence[str]) -> None:
    Xml.SubElement(parent, tag, {"message": _clean(lines[0])}).text = _clean("\n".join(lines))


def _sentence(each: Comparison) -> str:
    deviation = "" if each.deviation_percent is None else f", deviation {each.deviation_percent:.3g} %"
    allowed = "" if each.tolerance_percent is None else f", tolerance {each.tolerance_percent:g} %"
    return f"{each.quantity}: computed {each.found}, expected {each.expected}{deviation}{allowed} ({each.source})"


def _clean(text: str) -> str:
    return UNSPEAKABLE.sub("?", text)
