"""Handing statements over, and what each answer of the other side means."""

from __future__ import annotations

import socket
import ssl
import subprocess
import threading
from typing import TYPE_CHECKING

import pytest

from tests import receiver
from tests.receiver import DROP, SILENT, System
from trainer.exports.activity.post import Fate, KeyUnusable, Receiver, post

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

STATEMENT = '{"id":"a"}'


@pytest.fixture
def system() -> Iterator[System]:
    with receiver.running() as started:
        yield started


def test_statements_are_posted_as_the_standard_has_it(system: System) -> None:
    # Part Three, 2.1.2: POST to the resource `statements`; 3.3: the version is told in a header.
    reply = post(Receiver(system.address, "Basic aW52ZW50ZWQ="), [STATEMENT, '{"id":"b"}'])
    assert reply.fate is Fate.TAKEN
    [heard] = system.heard
    assert heard.path == "/xapi/statements"
    assert [one["id"] for one in heard.statements] == ["a", "b"]
    headers = {name.lower(): value for name, value in heard.headers.items()}
    assert headers["x-experience-api-version"] == "1.0.3"
    assert headers["content-type"] == "application/json"
    assert headers["authorization"] == "Basic aW52ZW50ZWQ="


@pytest.mark.parametrize("ending", ["", "/", "/statements", "/statements/"])
def test_the_address_may_name_the_resource_or_what_is_above_it(system: System, ending: str) -> None:
    assert post(Receiver(f"{system.address}{ending}"), [STATEMENT]).fate is Fate.TAKEN
    assert system.heard[0].path == "/xapi/statements"
    assert "Authorization" not in system.heard[0].headers


# Part Three, 3.2, and RFC 9110, 15: what is wrong with the statements, and what may be otherwise later.
@pytest.mark.parametrize(
    ("told", "fate", "says"),
    [
        (400, Fate.REFUSED, "does not take it as it is (400)"),
        (409, Fate.REFUSED, "other content under this id"),
        (413, Fate.REFUSED, "(413)"),
        (401, Fate.LATER, "check the key"),
        (403, Fate.LATER, "check the key"),
        (404, Fate.LATER, "no receiver at this address"),
        (429, Fate.LATER, "just now (429)"),
        (500, Fate.LATER, "just now (500)"),
        (503, Fate.LATER, "just now (503)"),
        (302, Fate.LATER, "which is not followed"),
        (307, Fate.LATER, "which is not followed"),
        (DROP, Fate.LATER, "broke before there was an answer"),
        (SILENT, Fate.LATER, "did not answer within 0.2 seconds"),
    ],
)
def test_what_goes_wrong_is_one_sentence(system: System, told: int | str, fate: Fate, says: str) -> None:
    system.next = [told]
    reply = post(Receiver(system.address, "key", timeout=0.2 if told == SILENT else 60), [STATEMENT])
    assert reply.fate is fate
    assert says in reply.why
    assert reply.why.endswith(".")
    assert "\n" not in reply.why
    # The key and the statements went nowhere else.
    system.await_requests(1)
    assert len(system.heard) == 1


def test_nobody_listening_is_told() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
    reply = post(Receiver(f"http://127.0.0.1:{port}"), [STATEMENT])
    assert reply.fate is Fate.LATER
    assert "cannot be reached" in reply.why


def test_a_certificate_that_nobody_vouches_for_is_refused(tmp_path: Path) -> None:
    key, certificate = tmp_path / "key.pem", tmp_path / "certificate.pem"
    subprocess.run(  # noqa: S603  # openssl on fixed arguments
        [
            *("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1"),
            *(
                "-nodes",
                "-days",
                "1",
                "-subj",
                "/CN=localhost",
                "-keyout",
                str(key),
                "-out",
                str(certificate),
            ),
        ],
        check=True,
        capture_output=True,
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    heard = []
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            came, _ = server.accept()
            try:
                with context.wrap_socket(came, server_side=True) as safe:
                    heard.append(safe.recv(100))
            except OSError:
                came.close()

        thread = threading.Thread(target=serve)
        thread.start()
        reply = post(Receiver(f"https://localhost:{server.getsockname()[1]}"), [STATEMENT])
        thread.join()
    assert reply.fate is Fate.LATER
    assert "certificate verify failed" in reply.why
    assert heard in ([], [b""])


@pytest.mark.parametrize("key", ["a\r\nX-Other: b", "a\nb", "schlüssel", "\x00"])
def test_a_key_that_would_end_its_header_is_refused(key: str) -> None:
    with pytest.raises(KeyUnusable):
        Receiver("https://records.example", key)
