"""The cut of a panel."""

from __future__ import annotations

import pytest

from trainer.competency.angoff import PanelUnfit, cut

# Method: Angoff 1971 in Thorndike (ed.), Educational Measurement; the example is an own one (check value ANG-01).
PANEL = [
    [0.9, 0.8, 0.6, 0.7, 0.5],
    [0.8, 0.85, 0.55, 0.75, 0.6],
    [0.95, 0.7, 0.65, 0.6, 0.5],
    [0.85, 0.8, 0.5, 0.7, 0.65],
]


def test_a_panel_of_four() -> None:
    found = cut(PANEL)
    assert found.judges == pytest.approx((3.5, 3.55, 3.4, 3.5))
    assert found.cut == pytest.approx(3.4875)
    assert found.share == pytest.approx(0.6975)
    assert found.error == pytest.approx(0.031458, abs=1e-6)
    assert found.spread == pytest.approx(2 * found.error)
    assert found.items[0] == pytest.approx(0.875)


def test_what_gives_no_cut_is_told() -> None:
    for estimates, why in (
        (PANEL[:1], "at least 2 judges are needed, and 1 answered"),
        ([[0.5], [0.5, 0.6]], "every judge has to estimate every item"),
        ([[], []], "every judge"),
        ([[0.5], [1.2]], "outside 0 to 100 %"),
    ):
        with pytest.raises(PanelUnfit, match=why):
            cut(estimates)
