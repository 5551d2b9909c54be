from __future__ import annotations

from dataclasses import replace

import pytest

from tests.exports import samples
from trainer.exports.job import disturbed, item_ranges, tightening_words, torque_words
from trainer.exports.packets import SizeNotInModule, StepNotInModule
from trainer.procedure.model import Adapter, BySize, Pattern
from trainer.trade.castle_nut import Rule as CastleRule
from trainer.trade.units import Quantity

NUTS = samples.main_valve().fasteners["cover_nuts"]
CASTLE = samples.main_valve().fasteners["castle_nut"]


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([], ""),
        ([7], "7"),
        ([7, 8], "7, 8"),
        ([9, 7, 8, 8], "7 to 9"),
        ([1, 3, 4, 10, 11, 12], "1, 3, 4, 10 to 12"),
    ],
)
def test_item_ranges(numbers: list[int], words: str) -> None:
    assert item_ranges(numbers) == words


def test_torque_leads_in_newton_metres_whatever_the_file_says() -> None:
    fastener = replace(NUTS, torque=BySize(common=Quantity.parse("70 lbf·ft")))
    # 70 x 1.355 817 948 = 94.907 (NIST SP 811, B.8).
    assert torque_words(fastener, "DN 80") == ("94.9\u202fN·m", "70\u202flbf·ft")


def test_a_torque_in_a_unit_of_something_else_is_printed_as_written() -> None:
    fastener = replace(NUTS, torque=BySize(common=Quantity.parse("8 bar")))
    assert torque_words(fastener, "DN 80") == ("8\u202fbar", "")
    assert "Passes: 30\u202f%, then" in tightening_words(fastener, "DN 80")[0]


def test_a_size_without_a_torque_has_a_dash() -> None:
    fastener = replace(NUTS, torque=BySize(each={"DN 50": Quantity.parse("60 N·m")}))
    assert torque_words(fastener, "DN 80") == ("–", "")


def test_a_prescribed_order_goes_before_the_pattern() -> None:
    fastener = replace(NUTS, pattern_order=BySize(common=(1, 2, 3)))
    assert "Order: 1-2-3" in tightening_words(fastener, "DN 80")


def test_a_pattern_that_no_list_gives_is_named() -> None:
    fastener = replace(NUTS, count=BySize(common=5))
    assert "Order: crosswise" in tightening_words(fastener, "DN 80")
    assert "Order: one after the other, round" in tightening_words(
        replace(NUTS, pattern=Pattern.ROUND), "DN 80"
    )


@pytest.mark.parametrize("rule", CastleRule)
def test_every_castle_rule_has_its_own_words(rule: CastleRule) -> None:
    assert CASTLE.castle is not None
    said = tightening_words(replace(CASTLE, castle=replace(CASTLE.castle, rule=rule)), "DN 80")
    others = [
        tightening_words(replace(CASTLE, castle=replace(CASTLE.castle, rule=other)), "DN 80")
        for other in CastleRule
        if other is not rule
    ]
    assert said not in others


def test_an_adapter_square_to_the_wrench_changes_nothing() -> None:
    # T x L / (L + E cos 90°) = T (US Army TM 1-1500-204-23-9, figure 8-16).
    adapter = Adapter(Quantity.parse("400 mm"), Quantity.parse("50 mm"), Quantity.parse("90 °"))
    assert (
        "at 90°: set the wrench to 40\u202fN·m"
        in tightening_words(replace(CASTLE, adapter=adapter), "DN 80")[1]
    )


def test_an_adapter_without_lever_is_told_not_reckoned() -> None:
    adapter = Adapter(Quantity.parse("50 mm"), Quantity.parse("50 mm"), Quantity.parse("180 °"))
    assert "leaves no lever" in tightening_words(replace(CASTLE, adapter=adapter), "DN 80")[1]


def test_locking_is_told() -> None:
    assert "Locked by tab washer" in tightening_words(replace(NUTS, locking="tab washer"), "DN 80")


def test_disturbed_is_what_steps_touch_carry_along_or_lift_off() -> None:
    packet = samples.job(order=("piston_out",))
    assert {"piston", "wear_band", "guide_sleeve"} <= disturbed(packet)
    assert "cover" not in disturbed(packet)


def test_a_size_that_the_procedure_does_not_cover_is_refused() -> None:
    with pytest.raises(SizeNotInModule, match=r"has no size 'DN 65'; it covers DN 50, DN 80, DN 100\.$"):
        samples.job(size="DN 65")


def test_a_step_that_is_not_there_is_refused() -> None:
    with pytest.raises(StepNotInModule, match="has no step 'fly'"):
        samples.job(order=("shut", "fly"))
