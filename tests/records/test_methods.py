"""Methods of evaluation: the law's list, and what may not stand alone."""

from __future__ import annotations

import pytest

from trainer.records.methods import Method, why_not_enough


def test_the_list_is_that_of_the_law() -> None:
    # 49 CFR 192.803, "evaluation": (a) written, (b) oral, (c) work performance history review, (d) observation
    # during (1) performance on the job, (2) on-the-job training, (3) simulations, (e) other forms of assessment.
    # Read in a stored public copy.
    paragraphs = [method.paragraph for method in Method]
    assert paragraphs == [
        "192.803 (a)",
        "192.803 (b)",
        "192.803 (c)",
        "192.803 (d)(1)",
        "192.803 (d)(2)",
        "192.803 (d)(3)",
        "192.803 (e)",
    ]
    assert all(method.words for method in Method)


@pytest.mark.parametrize(
    ("methods", "why"),
    [
        ((), "No method of evaluation is named."),
        # 49 CFR 192.809(d), through its twin 195.509(d): after 2002-10-28 not the sole method.
        ((Method.WORK_HISTORY,), "192.809(d)"),
        # 49 CFR 192.809(e), through its twin 195.509(e): after 2004-12-16 not the sole method.
        ((Method.ON_THE_JOB,), "192.809(e)"),
        ((Method.ON_THE_JOB, Method.ON_THE_JOB), "192.809(e)"),
    ],
)
def test_what_cannot_stand_alone_is_refused(methods: tuple[Method, ...], why: str) -> None:
    told = why_not_enough(methods)
    assert told is not None
    assert why in told


@pytest.mark.parametrize(
    "methods",
    [
        (Method.WRITTEN,),
        (Method.SIMULATION,),
        (Method.ON_THE_JOB, Method.ORAL),
        (Method.WORK_HISTORY, Method.WRITTEN),
        # 49 CFR 192.809(d), (e): each is barred only as the sole method.
        (Method.WORK_HISTORY, Method.ON_THE_JOB),
    ],
)
def test_other_methods_carry_a_qualification(methods: tuple[Method, ...]) -> None:
    assert why_not_enough(methods) is None
