from __future__ import annotations

from datetime import UTC, datetime, timedelta

from trainer.records.observation import StepMark, StepSeen, replayed

AT = datetime(2027, 3, 17, 9, 0, tzinfo=UTC)


def seen(step: str, mark: StepMark | None, minute: int, note: str = "") -> StepSeen:
    return StepSeen(step, mark, note, AT + timedelta(minutes=minute))


def test_steps_stand_in_the_order_of_their_first_mark_whenever_the_entries_came_in() -> None:
    entries = [
        seen("lift", StepMark.UNAIDED, 9),
        seen("vent", StepMark.UNAIDED, 1),
        seen("undo", StepMark.UNAIDED, 5),
        seen("vent", StepMark.WORD, 12, "told to wait at the gauge"),
    ]
    state = replayed(entries)
    assert [item.step for item in state] == ["vent", "undo", "lift"]
    assert (state[0].mark, state[0].note) == (StepMark.WORD, "told to wait at the gauge")


def test_a_mark_taken_back_and_made_again_goes_to_the_end() -> None:
    entries = [
        seen("vent", StepMark.UNAIDED, 1),
        seen("undo", StepMark.UNAIDED, 2),
        seen("vent", None, 3),
        seen("vent", StepMark.WRONG, 4),
    ]
    assert [item.step for item in replayed(entries)] == ["undo", "vent"]
    assert [item.step for item in replayed(entries[:3])] == ["undo", "vent"]
    assert replayed(entries[:3])[1].mark is None


def test_of_two_entries_at_the_same_time_the_later_one_counts() -> None:
    entries = [seen("vent", StepMark.UNAIDED, 1), seen("vent", StepMark.WRONG, 1)]
    assert [item.mark for item in replayed(entries)] == [StepMark.WRONG]
