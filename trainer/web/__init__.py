"""The web: pages drawn on the server, which read forms, call one action each, and show what comes back."""

from __future__ import annotations

import gc

# What is loaded here stays for good: looking through all of it for garbage, again and again, takes a quarter of the start.
_collects = gc.isenabled()
gc.disable()
try:
    from trainer.web.application import create_app as create_app
    from trainer.web.serving import serve as serve
finally:
    gc.freeze()
    if _collects:
        gc.enable()
