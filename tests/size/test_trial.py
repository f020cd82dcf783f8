"""What a design that was tried is judged by."""

from buckle.size.record import active
from buckle.size.trial import trial_of
from buckle.store import Result, RowStatus


def test_a_path_that_broke_off_in_waves():
    """The capacity is no lower than the onset, and asked at the same load: a wall in crush has no other."""
    found = {"reserve.onset_of_waves": 1.0, "demand.onset_of_waves": 2700.0, "reserve_factor": 1.0}
    trial = trial_of({}, Result("", RowStatus.SOLVED, "", found), lower_counts=False)
    assert trial.reserves == {"onset_of_waves": 1.0, "axisymmetric_capacity": 1.0}
    assert [each["demand"] for each in active(trial, 1.0)] == [2700.0, 2700.0]
