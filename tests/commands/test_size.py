"""`buckle size` as a user meets it: one variable, JSON of the contract, the case that is written, refusals."""

import json

import pytest

from buckle.cli import main
from tests.helpers.cap_case import CAP

NEEDS = CAP + "\n[requirements]\npressure_bar = 10.0 # as the buyer asks\n"


@pytest.fixture
def written(tmp_path):
    def write(text=NEEDS):
        path = tmp_path / "cap.toml"
        path.write_text(text)
        return str(path)

    return write


def sized(arguments, tmp_path):
    out = ["--quiet", "--jobs", "1", "--figures", "none", "--json", str(tmp_path / "out.json"), "--out", str(tmp_path)]
    code = main(["size", *arguments, *out])
    return code, json.loads((tmp_path / "out.json").read_text())
