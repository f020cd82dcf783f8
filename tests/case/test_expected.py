"""What an expectation may be about is what a record may hold as one number or one word, and nothing else."""

from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin

import pytest
from pydantic import BaseModel

from buckle.case.expected import OF_ANALYSIS, OF_CASE, is_number
from buckle.record.form import KindFields, RecordForm

UNEXPECTED = {"title", "purpose", "family", "input_sha256", "required"}
"""Words of a record that repeat the case file."""


def kinds(annotation: Any) -> set[type]:
    if get_origin(annotation) is Annotated:
        return kinds(get_args(annotation)[0])
    if get_origin(annotation) in (Union, UnionType):
        return {kind for part in get_args(annotation) for kind in kinds(part)} - {NoneType}
    return {annotation if isinstance(annotation, type) else object}


def single(model: type[BaseModel]) -> dict[str, bool]:
    """Whether each quantity of a part of a record that is one number or one word is a number."""
    found = {name: kinds(field.annotation) for name, field in model.model_fields.items()}
    return {name: str not in each for name, each in found.items() if each <= {int, float, str}}


@pytest.mark.parametrize(("model", "known"), [(KindFields, OF_ANALYSIS), (RecordForm, OF_CASE)])
def test_they_are_those_of_the_record(model: type[BaseModel], known: tuple[str, ...]) -> None:
    of_record = {name: number for name, number in single(model).items() if name not in UNEXPECTED}
    assert {name: is_number(name) for name in known} == of_record
