"""Signing in at a provider by OpenID Connect: the way there, and what is checked of what comes back.

Authorization code with PKCE (RFC 7636, S256), state and nonce. The token is verified by Authlib and joserfc: signature by
a key the provider publishes, issuer, audience, times, nonce (OpenID Connect Core 1.0, 3.1.3.7). Both are loaded when
somebody signs in so, never at the start.
"""

from __future__ import annotations

import json
import secrets
from base64 import b64encode
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from urllib.error import HTTPError, URLError
from urllib.parse import quote, quote_plus, urlencode, urlsplit
from urllib.request import HTTPRedirectHandler, ProxyHandler, Request, build_opener

from trainer.errors import TrainerError
from trainer.settings import SAME_MACHINE, is_safe_address

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

# Keys published for all to read sign with these; a shared secret or no signature at all is never accepted.
_ALGORITHMS = ["RS256", "PS256", "ES256"]
# Two clocks may differ by so much, seconds. A choice.
_LEEWAY = 60
# By so much the provider's clock may run behind ours when somebody signs in there anew, seconds. A choice, within the "acceptable
# range" that OpenID Connect Core 1.0, 3.1.3.7 leaves to us; that it is this very sign-in is shown by nonce and state.
_BEHIND = 30
_MOST_BYTES = 256 * 1024
_PATIENCE = 5
_LONGEST_SUBJECT = 255  # OpenID Connect Core 1.0, section 2
_WRONG = {
    "iss": "it was issued by somebody else",
    "aud": "it was issued for another program",
    "azp": "it was issued to another program",
    "exp": "it is out of date",
    "iat": "its time of issue is missing or in the future",
    "nbf": "it is not valid yet",
    "nonce": "it does not belong to this sign-in",
    "sub": "it names nobody",
    "at_hash": "it belongs to another access",
}


class ProviderOutOfReach(TrainerError):
    """The provider does not answer, or answers with something that is not its part."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The sign-in provider cannot be used just now: {why}. Sign in with your password.")


class TokenRefused(TrainerError):
    """What came back from the provider is not accepted."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(f"The answer of the sign-in provider is refused: {why}. Nobody was signed in.")


@dataclass(frozen=True)
class Provider:
    """A provider as the owner set it: issuer, our name there, our secret there ("" for none), where it sends people back."""

    issuer: str
    client_id: str
    back: str
    secret: str = field(default="", repr=False)


@dataclass(frozen=True)
class Begun:
    """A sign-in on its way: where the person goes, and what must come back with them."""

    address: str
    state: str
    nonce: str
    verifier: str = field(repr=False)


def begin(provider: Provider, *, anew: bool = False) -> Begun:
    """Return the way to the provider.

    Args:
        provider: the provider.
        anew: whoever is signed in there signs in once more (OpenID Connect Core 1.0, 3.1.2.1).

    Raises:
        ProviderOutOfReach: it does not say where people sign in.
    """
    from authlib.oauth2.rfc7636 import create_s256_code_challenge

    where = _endpoint(_description(provider), "authorization_endpoint")
    state, nonce, verifier = (secrets.token_urlsafe(32) for _ in range(3))
    asked = {
        "response_type": "code",
        "scope": "openid",
        "client_id": provider.client_id,
        "redirect_uri": provider.back,
        "state": state,
        "nonce": nonce,
        "code_challenge": create_s256_code_challenge(verifier),
        "code_challenge_method": "S256",
    }
    if anew:
        asked |= {"prompt": "login", "max_age": "0"}
    joint = "&" if urlsplit(where).query else "?"
    return Begun(f"{where}{joint}{urlencode(asked, quote_via=quote)}", state, nonce, verifier)


def subject_of(
    provider: Provider,
    code: str,
    *,
    nonce: str,
    verifier: str,
    now: datetime,
    since: datetime | None = None,
) -> str:
    """Return whom the provider vouches for, by the name that never changes there (`sub`).

    Args:
        provider: the provider.
        code: what the person brought back.
        nonce: of the sign-in that was begun.
        verifier: of the sign-in that was begun.
        now: the time.
        since: they must have signed in there at this moment or later; the clocks may differ by half a minute.

    Raises:
        ProviderOutOfReach: it does not answer.
        TokenRefused: what it answers does not stand.
    """
    told = _description(provider)
    answer = _fetched(_exchange(provider, _endpoint(told, "token_endpoint"), code, verifier))
    token = answer.get("id_token")
    if not isinstance(token, str):
        raise TokenRefused("the code was not accepted")
    keys = _fetched(Request(_endpoint(told, "jwks_uri")))  # noqa: S310 -- the address was looked at
    access = answer.get("access_token")
    claims = _verified(
        provider, token, keys, nonce=nonce, access=access if isinstance(access, str) else "", now=now
    )
    if since is not None:
        _must_be_anew(claims.get("auth_time"), since, now)
    return str(claims["sub"])


def _must_be_anew(auth_time: object, since: datetime, now: datetime) -> None:
    """Let pass a moment of signing in that the token states; it counts whole seconds (section 2) by the provider's clock."""
    if not isinstance(auth_time, int) or isinstance(auth_time, bool):
        raise TokenRefused("the provider does not say when you signed in there")
    if not int(since.timestamp()) - _BEHIND <= auth_time <= now.timestamp() + _LEEWAY:
        raise TokenRefused("you did not sign in there anew")


def _verified(
    provider: Provider, token: str, keys: Mapping[str, Any], *, nonce: str, access: str, now: datetime
) -> Mapping[str, Any]:
    from authlib.oidc.core import CodeIDToken
    from joserfc import jwt
    from joserfc.errors import ExpiredTokenError, JoseError
    from joserfc.jwk import KeySet

    try:
        read = jwt.decode(token, KeySet.import_key_set(dict(keys)), algorithms=_ALGORITHMS)  # type: ignore[arg-type]
    except (JoseError, ValueError, TypeError, KeyError) as problem:
        raise TokenRefused("no key of the provider has signed it") from problem
    claims = CodeIDToken(
        read.claims,
        read.header,
        options={
            "iss": {"essential": True, "value": provider.issuer},
            "aud": {"essential": True, "value": provider.client_id},
            "sub": {"essential": True},
            "exp": {"essential": True},
            "iat": {"essential": True},
            "nonce": {"essential": True, "value": nonce},
        },
        params={"nonce": nonce, "client_id": provider.client_id, "access_token": access},
    )
    try:
        claims.validate(now=int(now.timestamp()), leeway=_LEEWAY)
    except ExpiredTokenError as problem:
        raise TokenRefused(_WRONG["exp"]) from problem
    except (JoseError, ValueError, TypeError) as problem:
        raise TokenRefused(_WRONG.get(getattr(problem, "claim", ""), "it is not well formed")) from problem
    subject = claims["sub"]
    if not isinstance(subject, str) or not 0 < len(subject) <= _LONGEST_SUBJECT or not subject.isprintable():
        raise TokenRefused(_WRONG["sub"])
    return dict(claims)


def _description(provider: Provider) -> Mapping[str, Any]:
    """Return what the provider says of itself (OpenID Connect Discovery 1.0, section 4)."""
    address = f"{provider.issuer.rstrip('/')}/.well-known/openid-configuration"
    told = _fetched(Request(address))  # noqa: S310 -- the settings let only safe addresses in
    if told.get("issuer") != provider.issuer:
        raise ProviderOutOfReach("it calls itself by another name than the settings")
    return told


def _endpoint(told: Mapping[str, Any], name: str) -> str:
    address = told.get(name)
    if not isinstance(address, str) or not is_safe_address(address):
        raise ProviderOutOfReach(f"its {name} is missing or not safe")
    return address


def _exchange(provider: Provider, address: str, code: str, verifier: str) -> Request:
    fields = {
        "grant_type": "authorization_code",
        "code": code,
        "redirect_uri": provider.back,
        "code_verifier": verifier,
    }
    headers = {"Accept": "application/json"}
    if provider.secret:
        pair = f"{quote_plus(provider.client_id)}:{quote_plus(provider.secret)}"
        headers["Authorization"] = f"Basic {b64encode(pair.encode()).decode()}"
    else:
        fields["client_id"] = provider.client_id
    return Request(address, urlencode(fields).encode(), headers)  # noqa: S310 -- the address was looked at


class _NoRedirect(HTTPRedirectHandler):
    """A code or a secret is never carried on to an address that nobody looked at."""

    def redirect_request(self, *_: Any, **__: Any) -> None:
        """Follow nothing."""


def _fetched(request: Request) -> Mapping[str, Any]:
    near = urlsplit(request.full_url).hostname in SAME_MACHINE
    opener = build_opener(_NoRedirect, *([ProxyHandler({})] if near else []))
    try:
        with opener.open(request, timeout=_PATIENCE) as answer:
            data = answer.read(_MOST_BYTES + 1)
    except HTTPError as problem:
        problem.close()
        if request.data is not None:
            raise TokenRefused("the code was not accepted") from problem
        raise ProviderOutOfReach(f"it answers with {problem.code}") from problem
    except (URLError, OSError, ValueError) as problem:
        raise ProviderOutOfReach("it does not answer") from problem
    try:
        told = json.loads(data) if len(data) <= _MOST_BYTES else None
    except ValueError:
        told = None
    if not isinstance(told, dict):
        raise ProviderOutOfReach("its answer cannot be read")
    return told
