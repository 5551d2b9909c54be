from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

import argon2
import pytest
from argon2.low_level import Type, core, ffi
from sqlalchemy import text
from zxcvbn.frequency_lists import FREQUENCY_LISTS

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, KIT
from trainer.actions import accounts, passwords, throttle
from trainer.actions import people as register
from trainer.actions.accounts import PasswordWrong, SessionOver, SignInRefused, SignInTooOften
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.permissions import Role
from trainer.store import events

if TYPE_CHECKING:
    from argon2 import PasswordHasher

    from trainer.actions.opening import Database

DESK = "192.0.2.10"
ELSEWHERE = "198.51.100.7"


def _fail(db: Database, name: str, address: str, times: int) -> None:
    for _ in range(times):
        with pytest.raises(SignInRefused):
            accounts.sign_in(db, name, "not the password", address=address, now=NOW)


def test_a_person_signs_in_and_is_known_by_the_token(db: Database) -> None:
    entered = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)
    actor = accounts.actor_for(db, entered.token, now=NOW)
    assert actor == entered.actor
    assert actor is not None
    assert (actor.person_id, actor.display_name, actor.crew) == (AMA.id, AMA.display_name, AMA.crew)
    assert actor.roles == {Role.TECHNICIAN}


def test_capitals_and_spaces_around_the_name_do_not_matter(db: Database) -> None:
    assert accounts.sign_in(db, "  AMA ", AMA.password, address=DESK, now=NOW).actor.person_id == AMA.id


def test_unknown_name_wrong_password_and_retired_person_are_refused_in_the_same_words(db: Database) -> None:
    register.retire(db, SYSTEM, BEN.id, now=NOW)
    said = set()
    for name, password in (("nobody", "x" * 12), (AMA.sign_in_name, BEN.password), ("ben", BEN.password)):
        with pytest.raises(SignInRefused) as refused:
            accounts.sign_in(db, name, password, address=DESK, now=NOW)
        said.add((type(refused.value), str(refused.value)))
    assert len(said) == 1


def test_the_token_is_not_in_the_database(db: Database) -> None:
    entered = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)
    with db.reading() as unit:
        (stored,) = unit.execute(text("SELECT token_hash FROM sessions")).scalars()
        logged = "".join(event.payload for event in events.since(unit))
    assert entered.token not in stored
    assert entered.token not in logged
    assert AMA.password not in logged


def test_five_failures_for_a_name_close_it_for_a_while_also_with_the_right_password(db: Database) -> None:
    _fail(db, AMA.sign_in_name, ELSEWHERE, throttle.PER_NAME)
    with pytest.raises(SignInTooOften) as refused:
        accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=ELSEWHERE, now=NOW)
    assert refused.value.wait_seconds == 15 * 60
    assert "15 minutes" in str(refused.value)
    later = NOW + timedelta(minutes=15)
    assert accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=ELSEWHERE, now=later)


def test_the_wait_ends_to_the_second(db: Database) -> None:
    _fail(db, AMA.sign_in_name, ELSEWHERE, throttle.PER_NAME)
    almost = NOW + timedelta(minutes=14, seconds=30)
    with pytest.raises(SignInTooOften) as refused:
        accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=ELSEWHERE, now=almost)
    assert refused.value.wait_seconds == 30


def test_names_that_nobody_has_are_slowed_down_as_well(db: Database) -> None:
    _fail(db, "nobody", ELSEWHERE, throttle.PER_NAME)
    with pytest.raises(SignInTooOften):
        accounts.sign_in(db, "nobody", "x" * 12, address=DESK, now=NOW)


@pytest.mark.parametrize("name", ["x" * 500, "nul\x00", "half a \ud800 pair", ""])
def test_a_name_that_nobody_can_have_is_refused_and_counted_like_any(db: Database, name: str) -> None:
    _fail(db, name, "2001:db8::" + "f" * 100, throttle.PER_NAME)
    with pytest.raises(SignInTooOften):
        accounts.sign_in(db, name, "\ud800 password", address=DESK, now=NOW)


def test_a_password_of_any_characters_is_checked(db: Database) -> None:
    with pytest.raises(SignInRefused):
        accounts.sign_in(db, AMA.sign_in_name, "\ud800\x00" * 600, address=DESK, now=NOW)


def test_an_address_that_tries_many_names_is_closed(db: Database) -> None:
    for number in range(throttle.PER_ADDRESS):
        _fail(db, f"guess {number}", ELSEWHERE, 1)
    with pytest.raises(SignInTooOften):
        accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=ELSEWHERE, now=NOW)
    assert accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)


def test_a_stranger_who_fails_on_purpose_does_not_keep_the_owner_out(db: Database) -> None:
    accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW - timedelta(days=2))
    _fail(db, AMA.sign_in_name, ELSEWHERE, throttle.PER_NAME)
    assert accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)


def test_a_right_password_is_not_counted(db: Database) -> None:
    for _ in range(throttle.PER_NAME + 2):
        accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)


def test_many_guesses_at_once_do_not_get_past_the_limit(db: Database) -> None:
    def guess(_: int) -> str:
        try:
            accounts.sign_in(db, AMA.sign_in_name, "not the password", address=ELSEWHERE, now=NOW)
        except (SignInRefused, SignInTooOften) as problem:
            return type(problem).__name__
        return "signed in"

    with ThreadPoolExecutor(8) as pool:
        outcomes = list(pool.map(guess, range(16)))
    assert outcomes.count("SignInRefused") == throttle.PER_NAME
    assert outcomes.count("SignInTooOften") == 16 - throttle.PER_NAME


def test_a_session_ends_after_its_hours_and_when_nobody_uses_it(db: Database) -> None:
    token = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW).token
    at = NOW
    while at + timedelta(hours=3) < NOW + timedelta(hours=12):
        at += timedelta(hours=3)
        assert accounts.actor_for(db, token, now=at) is not None
    assert accounts.actor_for(db, token, now=NOW + timedelta(hours=12)) is None
    other = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW).token
    assert accounts.actor_for(db, other, now=NOW + accounts.IDLE - timedelta(seconds=1)) is not None
    third = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW).token
    assert accounts.actor_for(db, third, now=NOW + accounts.IDLE) is None


def test_signing_out_ends_the_session_on_the_server(db: Database) -> None:
    token = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW).token
    accounts.sign_out(db, token, now=NOW)
    assert accounts.actor_for(db, token, now=NOW) is None
    accounts.sign_out(db, token, now=NOW)
    accounts.sign_out(db, "never a token", now=NOW)


def test_a_token_nobody_has_is_nobody(db: Database) -> None:
    assert accounts.actor_for(db, "", now=NOW) is None
    assert accounts.actor_for(db, "made up", now=NOW) is None


def test_confirming_the_password_replaces_the_token(db: Database) -> None:
    entered = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)
    fresh = accounts.confirm_password(db, entered.actor, AMA.password, now=NOW)
    assert fresh != entered.token
    assert accounts.actor_for(db, entered.token, now=NOW) is None
    assert accounts.actor_for(db, fresh, now=NOW) == entered.actor


def test_a_wrong_password_again_is_refused_counted_and_leaves_the_token(db: Database) -> None:
    entered = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)
    for _ in range(throttle.PER_NAME):
        with pytest.raises(PasswordWrong):
            accounts.confirm_password(db, entered.actor, BEN.password, now=NOW)
    with pytest.raises(SignInTooOften):
        accounts.confirm_password(db, entered.actor, AMA.password, now=NOW)
    assert accounts.actor_for(db, entered.token, now=NOW) == entered.actor


def test_a_session_that_is_over_confirms_nothing(db: Database) -> None:
    entered = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)
    accounts.sign_out(db, entered.token, now=NOW)
    with pytest.raises(SessionOver):
        accounts.confirm_password(db, entered.actor, AMA.password, now=NOW)
    with pytest.raises(NotAllowed):
        accounts.confirm_password(db, SYSTEM, AMA.password, now=NOW)


def test_changing_the_password_ends_the_other_sessions(db: Database) -> None:
    here = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)
    there = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=ELSEWHERE, now=NOW)
    fresh = accounts.change_password(db, here.actor, AMA.password, "a quite different one", now=NOW)
    assert accounts.actor_for(db, fresh, now=NOW) is not None
    assert accounts.actor_for(db, there.token, now=NOW) is None
    assert accounts.sign_in(db, AMA.sign_in_name, "a quite different one", address=DESK, now=NOW)
    with pytest.raises(SignInRefused):
        accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW)


@pytest.mark.parametrize("unfit", ["eleven char", "", "x" * 1001])
def test_a_password_needs_twelve_characters_and_nothing_else(db: Database, unfit: str) -> None:
    actor = bench.enter(db, AMA)
    with pytest.raises(passwords.PasswordUnfit):
        accounts.change_password(db, actor, AMA.password, unfit, now=NOW)
    assert accounts.change_password(db, actor, AMA.password, "☃ Ønsker ü ßand", now=NOW)


def test_the_sign_in_name_is_no_password(db: Database) -> None:
    with pytest.raises(passwords.PasswordUnfit, match="sign-in name"):
        register.add(
            db, SYSTEM, "longsigninname", "Long", [Role.TECHNICIAN], "", password="LongSignInName", now=NOW
        )


# The first five are on the list of zxcvbn 4.5.0 (MIT); the others are made of what is on it, or of the sign-in name.
@pytest.mark.parametrize(
    "password",
    [
        "123qweasdzxc",
        "1qaz2wsx3edc",
        "1Q2W3E4R5T6Y",
        "leavemealone",
        "123456654321",
        "PasswordPassword",
        "P@ssword1234",
        "qwertyuiop123",
        "iloveyouforever",
        "x" * passwords.LONGEST,
        "ama.lindqvist1",
    ],
)
def test_a_password_that_many_use_is_refused(password: str) -> None:
    with pytest.raises(passwords.PasswordUnfit, match="many people use it"):
        passwords.must_be_fit(password, "ama.lindqvist")


def test_whatever_is_long_enough_on_the_list_is_refused() -> None:
    listed = [word for word in FREQUENCY_LISTS["passwords"] if len(word) >= passwords.SHORTEST]
    assert len(listed) > 200
    for word in listed:
        with pytest.raises(passwords.PasswordUnfit):
            passwords.must_be_fit(word, "ama")


@pytest.mark.parametrize(
    "password",
    [
        "123qweasdzxc, but in a sentence",
        "the third kettle is blue",
        "\ud800\x00 whatever a keyboard gives",
    ],
)
def test_a_sentence_of_ones_own_and_a_given_password_are_taken(password: str) -> None:
    passwords.must_be_fit(password, "ama")
    passwords.must_be_fit(passwords.fresh(), "ama")


def test_the_hash_is_that_of_the_standard() -> None:
    # RFC 9106, 5.3: argon2id, 32 KiB, 3 passes, 4 lanes (value from memory; argon2-cffi gives the same tag).
    given = ffi.new("uint8_t[]", b"\x01" * 32), ffi.new("uint8_t[]", b"\x02" * 16)
    secret, beside = ffi.new("uint8_t[]", b"\x03" * 8), ffi.new("uint8_t[]", b"\x04" * 12)
    tag = ffi.new("uint8_t[]", 32)
    context = ffi.new(
        "argon2_context *",
        {
            "out": tag,
            "outlen": 32,
            "pwd": given[0],
            "pwdlen": 32,
            "salt": given[1],
            "saltlen": 16,
            "secret": secret,
            "secretlen": 8,
            "ad": beside,
            "adlen": 12,
            "t_cost": 3,
            "m_cost": 32,
            "lanes": 4,
            "threads": 4,
            "version": 0x13,
            "allocate_cbk": ffi.NULL,
            "free_cbk": ffi.NULL,
            "flags": 0,
        },
    )
    assert core(context, Type.ID.value) == 0
    assert (
        bytes(ffi.buffer(tag, 32)).hex() == "0d640df58d78766c08c037a34a8b53c9d01ef0452d75b65eb52520e96b01e659"
    )


def test_the_hash_has_the_published_parameters(
    db: Database, strong_hasher: PasswordHasher, monkeypatch: pytest.MonkeyPatch
) -> None:
    # OWASP Password Storage Cheat Sheet, argon2id, each as strong as the next: memory in KiB, passes, lanes. The first three
    # stand in ASVS 5.0, Appendix C, too. Less memory with the passes of a row, or fewer passes, is below all of them.
    as_strong = {(47104, 1, 1), (19456, 2, 1), (12288, 3, 1), (9216, 4, 1), (7168, 5, 1)}
    assert not as_strong & {(4096, 3, 1), (19456, 1, 1), (7168, 4, 1)}
    monkeypatch.setattr(passwords, "HASHER", strong_hasher)
    accounts.change_password(db, bench.enter(db, KIT), KIT.password, "a quite different one", now=NOW)
    with db.reading() as unit:
        stored = unit.execute(
            text("SELECT password_hash FROM people WHERE id = :id"), {"id": KIT.id}
        ).scalar_one()
    assert stored.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    found = argon2.extract_parameters(stored)
    assert (found.memory_cost, found.time_cost, found.parallelism) in as_strong


def test_coming_going_and_being_refused_stand_in_the_log(db: Database) -> None:
    token = accounts.sign_in(db, AMA.sign_in_name, AMA.password, address=DESK, now=NOW).token
    accounts.sign_out(db, token, now=NOW)
    _fail(db, AMA.sign_in_name, ELSEWHERE, 1)
    with db.reading() as unit:
        logged = [(e.action, e.person_id) for e in events.since(unit) if e.action.startswith("account:")]
    assert logged == [
        ("account:sign_in", AMA.id),
        ("account:sign_out", AMA.id),
        ("account:sign_in_refused", AMA.id),
    ]
