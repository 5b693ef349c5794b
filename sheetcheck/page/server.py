"""The server of the page: on the loop-back address, until the page is closed; then nothing of it is left."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import threading
import webbrowser
from collections.abc import Callable

import uvicorn

from sheetcheck.page.guard import LOOP_BACK, new_secret
from sheetcheck.page.shelf import Shelf
from sheetcheck.page.site import Present, make_site
from sheetcheck.plugins.surroundings import for_other_programs
from sheetcheck.settings import Settings

_LOOK_SECONDS = 0.5  # between two looks whether the page is still open
_FIRST_SECONDS = 0.3  # in which the browser is served alone
_LAST_SECONDS = 2  # for the style and the icon of the page that says that all is closed
_GRACE_SECONDS = 2  # for what is being downloaded when the page is closed


class Server:
    """One start of the page: a port that the system chose, and a secret.

    Parameters
    ----------
    present
        Knows whether the page is open anywhere.
    """

    def __init__(self, settings: Settings | None = None, present: Present | None = None) -> None:
        self.present = present or Present()
        self._socket = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        self._socket.bind((LOOP_BACK, 0))
        self.port: int = self._socket.getsockname()[1]
        self.secret = new_secret()
        self.shelf = Shelf()
        self.site = make_site(self.shelf, port=self.port, secret=self.secret, settings=settings, present=self.present)

    @property
    def address(self) -> str:
        """The whole address of the page."""
        return f"http://{LOOP_BACK}:{self.port}/{self.secret}/"

    def run(self, began: Callable[[str], None]) -> None:
        """Serve until the page is closed or the program is interrupted; `began` gets the address."""
        config = uvicorn.Config(
            self.site,
            http="h11",
            ws="none",
            loop="asyncio",
            lifespan="off",
            log_config=None,
            access_log=False,
            server_header=False,
            date_header=False,
            timeout_graceful_shutdown=_GRACE_SECONDS,
        )
        server = uvicorn.Server(config)
        try:
            with contextlib.suppress(KeyboardInterrupt):  # which is how a page is closed from a terminal
                asyncio.run(self._serve(server, began))
        finally:
            self._socket.close()
            self.shelf.close()

    async def _serve(self, server: uvicorn.Server, began: Callable[[str], None]) -> None:
        async def look() -> None:
            while not (server.started or server.should_exit):  # noqa: ASYNC110 - uvicorn has no event for it
                await asyncio.sleep(0.01)
            began(self.address)
            await asyncio.sleep(_FIRST_SECONDS)
            self.shelf.warm_up()
            while not self.present.is_over():  # noqa: ASYNC110 - silence has none either
                await asyncio.sleep(_LOOK_SECONDS)
            await asyncio.sleep(_LAST_SECONDS)
            server.should_exit = True

        looking = asyncio.create_task(look())
        await server.serve(sockets=[self._socket])
        looking.cancel()


def open_browser(address: str) -> None:
    """Open the address in the browser that she uses, without waiting for it."""

    def opened() -> None:
        with for_other_programs():
            webbrowser.open(address)

    threading.Thread(target=opened, daemon=True).start()
