"""Serve the bench book from this machine, and stop quickly when asked to."""

from __future__ import annotations

import socket
from typing import TYPE_CHECKING

import uvicorn

from brasswright.errors import StoreRefused

if TYPE_CHECKING:
    from collections.abc import Callable

    from fastapi import FastAPI

__all__ = ["LOOPBACK_ADDRESS", "STOP_SECONDS", "listen", "serve"]

LOOPBACK_ADDRESS = "127.0.0.1"
STOP_SECONDS = 1
"""How long what is under way may take to end when the server is told to stop."""


def listen(port: int) -> socket.socket:
    """Take a port of this machine; 0 takes any that is free.

    Raises:
        StoreRefused: the port is taken or not allowed.
    """
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        taken.bind((LOOPBACK_ADDRESS, port))
    except OSError as error:
        taken.close()
        raise StoreRefused(
            f"The bench book cannot be served at port {port}: {error.strerror}.",
            got=port,
            remedy="Stop what is there, or choose another with --port.",
        ) from None
    return taken


def serve(app: FastAPI, at: socket.socket, ready: Callable[[str], None]) -> None:
    """Serve until interrupted; `ready` is told the address as soon as it answers."""
    settings = uvicorn.Config(
        app, log_level="warning", access_log=False, server_header=False, timeout_graceful_shutdown=STOP_SECONDS
    )
    ready(f"http://{LOOPBACK_ADDRESS}:{at.getsockname()[1]}/")
    uvicorn.Server(settings).run(sockets=[at])
