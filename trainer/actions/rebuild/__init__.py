"""The rows made again from the log alone: for each action, what its entry does to the tables.

A projection calls the same functions of the store as the action did, with what the entry tells. An action that writes no row
of a table in `store/read_models.py` stands in CHANGES_NO_TABLE; `tests/house/test_read_models.py` sees that each is in one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.rebuild import (
    answers,
    bench,
    carried,
    changes,
    keeping,
    modules,
    people,
    programme,
    qualifications,
    tasks,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit

PROJECTIONS: Mapping[str, Callable[[Unit, Entry], None]] = {
    "account:change_password": people.own_password,
    "earlier:check": qualifications.check,
    "earlier:transcribe": qualifications.transcribe,
    "earlier:turn_down": qualifications.check,
    "earlier:withdraw": qualifications.withdraw_paper,
    "evaluation:record": bench.evaluate,
    "keeping:confirm": keeping.confirm,
    "keeping:hold": keeping.hold,
    "keeping:lift": keeping.lift,
    "keeping:propose": keeping.propose,
    carried.CARRIED: carried.take,
    "module:assign": modules.assign,
    "module:publish": modules.publish,
    "module:withdraw": modules.withdraw,
    "notice:read": modules.read,
    "observation:begin": bench.begin,
    "observation:close": bench.close,
    "observation:give_up": bench.give_up,
    "observation:mark": bench.mark,
    "observation:photograph": bench.photograph,
    "observation:transcribe": bench.transcribe,
    "panel:keep": programme.keep_panel,
    "people:add": people.add,
    "people:change": people.change,
    "people:link": people.link,
    "people:retire": people.retire,
    "people:set_password": people.given_password,
    "people:unlink": people.unlink,
    "plan:keep": programme.keep_plan,
    "policy:keep": programme.set_policy,
    "policy:set": programme.set_policy,
    "practice:answer": answers.practise,
    "qualification:change_not_shown": changes.not_shown,
    "qualification:change_shown": changes.shown,
    "qualification:lift": qualifications.lift,
    "qualification:sign": qualifications.sign,
    "qualification:stop": qualifications.stop,
    "qualification:suspend": qualifications.suspend,
    "qualification:withdraw": qualifications.withdraw,
    "sitting:answer": answers.sit,
    "sitting:begin": answers.begin,
    "sitting:break_off": answers.break_off,
    "sitting:release": answers.release,
    "sitting:time_up": answers.time_up,
    "task:change": tasks.change,
    "task:register": tasks.register,
    "task:tell_agency": tasks.tell_agency,
}

CHANGES_NO_TABLE = frozenset(
    {
        "account:confirm_password",
        "account:password_refused",
        "account:provider_refused",
        "account:sign_in",
        "account:sign_in_refused",
        "account:sign_out",
        "address:put",
        "address:remove",
        "address:want",
        "calendar:end_address",
        "calendar:make_address",
        "data:fetch",
        "instance:restore",
        "log:rebuild",
        "reminder:send",
        "statement:send",
        "summary:rebuild",
    }
)
