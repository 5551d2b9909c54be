"""The web: pages drawn on the server, which read forms, call one action each, and show what comes back."""

from __future__ import annotations

from trainer.web.application import create_app as create_app
from trainer.web.serving import serve as serve
