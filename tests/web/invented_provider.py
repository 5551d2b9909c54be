"""An invented sign-in provider in a thread: publishes a key, takes a code for a token, and can be told to do it wrongly."""

from __future__ import annotations

import base64
import hashlib
import json
import threading
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs, urlsplit

from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import padding, rsa

from tests.web.scene import NOW

if TYPE_CHECKING:
    from collections.abc import Iterator

CLIENT = "trainer"
HOME = "http://localhost"


def b64(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).rstrip(b"=").decode()


def new_key() -> rsa.RSAPrivateKey:
    return rsa.generate_private_key(public_exponent=65537, key_size=2048)


@dataclass
class Provider:
    """What it publishes and answers; `changed` overrides claims (None takes one away)."""

    issuer: str = ""
    key: rsa.RSAPrivateKey = field(default_factory=new_key)
    signs_with: rsa.RSAPrivateKey | None = None
    alg: str = "RS256"
    subject: str = "u-4711"
    changed: dict[str, Any] = field(default_factory=dict)
    told: dict[str, Any] = field(default_factory=dict)
    asked: dict[str, str] = field(default_factory=dict)
    exchanged: dict[str, str] = field(default_factory=dict)
    authorization: str = ""
    redirects: bool = False

    def let_in(self, address: str) -> str:
        """Be the page where somebody signs in: return where it sends them back to."""
        parts = urlsplit(address)
        assert f"{parts.scheme}://{parts.netloc}{parts.path}" == f"{self.issuer}/authorize"
        self.asked = {name: values[0] for name, values in parse_qs(parts.query).items()}
        assert self.asked["code_challenge_method"] == "S256"
        assert self.asked["response_type"] == "code"
        assert self.asked["scope"] == "openid"
        return f"{urlsplit(self.asked['redirect_uri']).path}?code=once&state={self.asked['state']}"

    def description(self) -> dict[str, Any]:
        return {
            "issuer": self.issuer,
            "authorization_endpoint": f"{self.issuer}/authorize",
            "token_endpoint": f"{self.issuer}/token",
            "jwks_uri": f"{self.issuer}/keys",
            **self.told,
        }

    def keys(self) -> dict[str, Any]:
        numbers = self.key.public_key().public_numbers()
        n, e = (number.to_bytes((number.bit_length() + 7) // 8) for number in (numbers.n, numbers.e))
        return {"keys": [{"kty": "RSA", "use": "sig", "kid": "one", "n": b64(n), "e": b64(e)}]}

    def answer(self, sent: dict[str, str]) -> dict[str, Any] | None:
        """Return the tokens for a code, None when code or verifier is not right (RFC 7636, 4.6)."""
        self.exchanged = sent
        challenge = b64(hashlib.sha256(sent.get("code_verifier", "").encode()).digest())
        if sent.get("code") != "once" or challenge != self.asked["code_challenge"]:
            return None
        return {"access_token": "not used", "token_type": "Bearer", "id_token": self.token()}

    def token(self) -> str:
        at = int(NOW.timestamp())
        claims = {
            "iss": self.issuer,
            "sub": self.subject,
            "aud": CLIENT,
            "iat": at,
            "exp": at + 300,
            "nonce": self.asked["nonce"],
        }
        claims = {name: value for name, value in {**claims, **self.changed}.items() if value is not None}
        header = {"alg": self.alg, "kid": "one", "typ": "JWT"}
        signed = f"{b64(json.dumps(header).encode())}.{b64(json.dumps(claims).encode())}"
        if self.alg == "none":
            return f"{signed}."
        if self.alg == "HS256":
            import hmac

            public = json.dumps(self.keys()["keys"][0]).encode()
            return f"{signed}.{b64(hmac.new(public, signed.encode(), hashlib.sha256).digest())}"
        by = self.signs_with or self.key
        return f"{signed}.{b64(by.sign(signed.encode(), padding.PKCS1v15(), hashes.SHA256()))}"


@contextmanager
def running() -> Iterator[Provider]:
    """Yield a provider that answers on a loopback port."""
    provider = Provider()

    class Answers(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            pages = {
                "/.well-known/openid-configuration": provider.description,
                "/keys": provider.keys,
            }
            page = pages.get(self.path)
            if provider.redirects:
                self.send_response(302)
                self.send_header("Location", f"{provider.issuer}/elsewhere")
                self.end_headers()
                return
            self._send(page() if page else None, 404)

        def do_POST(self) -> None:
            sent = parse_qs(self.rfile.read(int(self.headers["Content-Length"])).decode())
            provider.authorization = self.headers.get("Authorization", "")
            self._send(provider.answer({name: values[0] for name, values in sent.items()}), 400)

        def _send(self, told: dict[str, Any] | None, otherwise: int) -> None:
            data = json.dumps(told or {"error": "invalid_grant"}).encode()
            self.send_response(200 if told else otherwise)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(data)))
            self.end_headers()
            self.wfile.write(data)

        def log_message(self, *args: object) -> None:
            """Keep quiet."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
    provider.issuer = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield provider
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
