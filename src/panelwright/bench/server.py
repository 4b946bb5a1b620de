"""The local web server of the bench: the page, its parts, and one WebSocket a page."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import webbrowser
from collections.abc import AsyncIterator, Callable, Iterable
from functools import partial
from importlib.resources import files as packaged
from pathlib import Path

import msgspec
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import FileResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.websockets import WebSocket, WebSocketDisconnect

from ..sheets.svg import page_css
from .files import panel_files
from .page_view import Page
from .protocol import read_request
from .security import LOOPBACK, OwnPagesOnly
from .session import Session

HERE = Path(str(packaged("panelwright.bench")))
FONTS = Path(str(packaged("panelwright.sheets"))) / "fonts"
FIRST_PORT = 8640  # ours; the next free one is taken when it is in use
PORTS_TRIED = 20
FIRST_CHOICE = "well-pump"  # the panel a folder opens with, if it is there


class NoPanels(FileNotFoundError):
    """There is no panel file where one was wanted."""


class Bench:
    """The panels on the bench; each is opened when its page is first asked for."""

    def __init__(self, paths: Iterable[Path]) -> None:
        found = panel_files(tuple(paths))
        if not found:
            raise NoPanels("There is no .panel file there. Start one with: panelwright new")
        self.files = {_free_name(path, found): path for path in found}
        self.sessions: dict[str, Session] = {}

    @property
    def first(self) -> str:
        """The panel to open with."""
        return FIRST_CHOICE if FIRST_CHOICE in self.files else next(iter(self.files))

    def session(self, name: str) -> Session:
        """The session of a panel. Raises KeyError for a name that is not on this bench, OSError if unreadable."""
        if name not in self.sessions:
            self.sessions[name] = Session(self.files[name], name, tuple(self.files))
        return self.sessions[name]

    async def close(self) -> None:
        """Stop every clock and keep every unsaved text."""
        for session in self.sessions.values():
            await session.close()


def _free_name(path: Path, all_paths: tuple[Path, ...]) -> str:
    """The stem, with its folder where two panels have the same one."""
    twins = [one for one in all_paths if one.stem == path.stem]
    return path.stem if len(twins) == 1 else f"{path.parent.name}.{path.stem}"


def make_app(bench: Bench, names: tuple[str, ...] = LOOPBACK) -> OwnPagesOnly:
    """The whole web application, guarded."""

    async def first(_: Request) -> Response:
        return RedirectResponse(f"/panel/{bench.first}", 302)

    async def page(request: Request) -> Response:
        if request.path_params["name"] not in bench.files:
            return PlainTextResponse(f"There is no panel {request.path_params['name']} on this bench.\n", 404)
        return FileResponse(HERE / "page" / "index.html", headers={"cache-control": "no-cache"})

    async def look(_: Request) -> Response:
        return Response(page_css("/fonts"), media_type="text/css", headers={"cache-control": "no-cache"})

    async def live(socket_: WebSocket) -> None:
        if socket_.path_params["name"] not in bench.files:
            await socket_.close(1008, "no such panel")
            return
        await socket_.accept()
        await converse(socket_, bench.session(socket_.path_params["name"]))

    @contextlib.asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        yield
        await bench.close()

    routes = [
        Route("/", first),
        Route("/panel/{name}", page),
        Route("/look.css", look),
        WebSocketRoute("/live/{name}", live),
        Mount("/page", PageFiles(directory=HERE / "page")),
        Mount("/fonts", StaticFiles(directory=FONTS)),
    ]
    return OwnPagesOnly(Starlette(routes=routes, lifespan=lifespan), names)


class PageFiles(StaticFiles):
    """The page's files, always asked for again, so that a new version is never mixed with an old one."""

    def file_response(self, *args: object, **kwargs: object) -> Response:
        response = super().file_response(*args, **kwargs)  # type: ignore[arg-type]
        response.headers["cache-control"] = "no-cache"
        return response


async def converse(line: WebSocket, session: Session) -> None:
    """Serve one page until it goes away; what it held down is then let go."""
    page = Page(session)
    session.join(page)
    telling = asyncio.create_task(_tell(line, page))
    try:
        while True:
            words = await line.receive_text()
            try:
                request = read_request(words)
            except msgspec.DecodeError as reason:
                page.tell("refused", f"The bench did not understand the page: {reason}. Load the page again.")
                continue
            await session.answer(page, request)
    except WebSocketDisconnect:
        pass
    finally:
        session.leave(page)
        telling.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await telling


async def _tell(line: WebSocket, page: Page) -> None:
    """Send what differs from what the page was last shown, whenever something changed."""
    encode = msgspec.json.Encoder().encode
    while True:
        await page.changed.wait()
        page.changed.clear()
        news = page.news()
        if news:
            try:
                await line.send_text(encode(news).decode("utf-8"))
            except (WebSocketDisconnect, RuntimeError):
                return  # gone while we spoke; the other half of `converse` sees it too


def serve(
    paths: Iterable[Path],
    *,
    port: int | None = None,
    open_browser: bool = True,
    said: Callable[[str], None] = print,
) -> None:
    """Serve the bench on this machine alone until Ctrl+C.

    `port`: None takes the first free one from 8640 on. `said`: gets the line with the address.
    Raises: NoPanels, FileNotFoundError; OSError when the given port is in use.
    """
    bench = Bench(paths)
    listening = _listen(port)
    address = f"http://127.0.0.1:{listening.getsockname()[1]}/"
    said(f"The bench is at {address} (Ctrl+C stops it)")
    settings = uvicorn.Config(
        make_app(bench),
        log_level="warning",
        timeout_graceful_shutdown=1,
        ws_per_message_deflate=False,
        ws_max_size=8 * 2**20,
    )
    server = uvicorn.Server(settings)
    if open_browser:
        _when_up(server, partial(webbrowser.open, address))
    with contextlib.suppress(KeyboardInterrupt):  # Ctrl+C is the way to stop it, no accident
        server.run(sockets=[listening])
    said("The bench is closed.")


def _listen(port: int | None) -> socket.socket:
    wanted = [port] if port is not None else range(FIRST_PORT, FIRST_PORT + PORTS_TRIED)
    failed: OSError | None = None
    for number in wanted:
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind(("127.0.0.1", number))
            listening.listen()  # from now on a page may knock; it is let in once the server runs
        except OSError as reason:
            listening.close()
            failed = reason
            continue
        return listening
    raise OSError(f"No free port: {failed}. Give another one with --port.")


def _when_up(server: uvicorn.Server, do: Callable[[], object]) -> None:
    import threading
    import time

    def waits() -> None:
        while not server.started and not server.should_exit:
            time.sleep(0.05)
        if server.started:
            do()

    threading.Thread(target=waits, daemon=True).start()
