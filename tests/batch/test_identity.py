"""What tells one study, one case and one code from another in the store."""

import pytest

from buckle.batch.code import code_sha256
from buckle.batch.identity import Identity
from tests.study.test_study import study


def test_keys_and_digest_tell_what_can_change_a_number(tmp_path):
    text = '[vary]\n"shape.gauge_mm" = [0.23, 0.25]'
    made = study(tmp_path, text)
    same = study(tmp_path, text.replace("0.23", "0.230"))
    assert Identity(same).digest == Identity(made).digest
    assert Identity(same).key(same.case(same.design(1))) == Identity(made).key(made.case(made.design(1)))
    other = study(tmp_path, '[vary]\n"shape.gauge_um" = [230, 250]')  # the same cases, told in other words
    assert Identity(other).key(other.case(other.design(1))) == Identity(made).key(made.case(made.design(1)))
    for changed in (study(tmp_path, text, head="estimate_error = true"), study(tmp_path, text.replace("0.23", "0.24"))):
        assert Identity(changed).digest != Identity(made).digest
        assert Identity(changed).key(changed.case(changed.design(1))) != Identity(made).key(made.case(made.design(1)))
    assert Identity(made).key_without_case(made.design(1)) != Identity(made).key_without_case(made.design(2))


@pytest.mark.parametrize("what", ["versions", "code_sha256"])
def test_other_versions_and_other_code_have_other_keys(what: str, tmp_path, monkeypatch):
    made = study(tmp_path, '[vary]\n"shape.gauge_mm" = [0.23]')
    key = Identity(made).key(made.base)
    monkeypatch.setattr(f"buckle.batch.identity.{what}", lambda: "another")
    other = study(tmp_path, '[vary]\n"shape.gauge_mm" = [0.23]')
    assert Identity(other).key(other.base) != key


def test_code_differs_by_names_and_bytes(tmp_path):
    def digest(**files: str) -> str:
        package = tmp_path / str(len(list(tmp_path.iterdir())))
        package.mkdir()
        for name, text in files.items():
            (package / f"{name}.py").write_text(text)
        return code_sha256(package)

    assert digest(a="x = 1", b="y = 2") == digest(b="y = 2", a="x = 1")
    assert len({digest(a="x = 1"), digest(a="x = 2"), digest(b="x = 1"), digest(a="x = 1", b="")}) == 4
