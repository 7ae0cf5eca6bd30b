"""What a phone asks for before anybody has signed in: the certificate to trust, and how the dashboard looks on its home
screen (Web Application Manifest, W3C).
"""

import json
import os
from pathlib import Path

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from pipelines.home.certificate import AUTHORITY, FOLDER
from schemas.html import html

CERTIFICATE, MANIFEST = "/certificate", "/app.webmanifest"
ICONS = {size: f"/app/static/icon-{size}.png" for size in (180, 192, 512)}  # px; 180 is what iOS asks for
NO_CERTIFICATE = "This dashboard has no certificate of its own: it is open on this machine alone."
PAPER, INK = "#FBFAF6", "#14181D"
HEAD = html(
    '<link rel="manifest" href="{}"><link rel="apple-touch-icon" href="{}"><meta name="theme-color" content="{}">',
    MANIFEST,
    ICONS[180],
    PAPER,
)


async def certificate(request: Request) -> Response:
    """Hand out the authority of this home's certificate, never a key."""
    try:
        content = (Path(os.environ["THIRDSTEP_HOME"]) / FOLDER / AUTHORITY).read_bytes()
    except OSError:
        return PlainTextResponse(NO_CERTIFICATE, status_code=404)
    told = {"content-disposition": 'attachment; filename="thirdstep-network.crt"'}
    return Response(content, media_type="application/x-x509-ca-cert", headers=told)


async def manifest(request: Request) -> Response:
    """Say what the dashboard is called and looks like on a home screen. It names no squad and no person."""
    told = {
        "name": "thirdstep",
        "short_name": "thirdstep",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [{"src": ICONS[n], "sizes": f"{n}x{n}", "type": "image/png"} for n in (192, 512)],
    }
    return Response(json.dumps(told), media_type="application/manifest+json")


class WithManifest:
    """ASGI middleware: names the manifest in the head of the dashboard's page, which the framework writes."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass everything on as it is, but for the head of a page."""
        if scope["type"] != "http" or scope["method"] != "GET":
            await self.app(scope, receive, send)
            return
        begun: list[Message] = []
        body = bytearray()

        async def send_with(message: Message) -> None:
            if message["type"] == "http.response.start" and _is_whole_page(message):
                begun.append(message)  # held until the body is known: its length changes
            elif not begun or message["type"] != "http.response.body":
                await send(message)
            else:
                body.extend(message.get("body", b""))
                if not message.get("more_body", False):
                    whole = bytes(body).replace(b"</head>", HEAD.encode() + b"</head>", 1)
                    headers = MutableHeaders(scope=begun[0])
                    headers["content-length"] = str(len(whole))
                    del headers["etag"], headers["last-modified"]  # of the framework's file, which this is not
                    await send(begun[0])
                    await send({"type": "http.response.body", "body": whole})

        await self.app(scope, receive, send_with)


def _is_whole_page(message: Message) -> bool:
    headers = MutableHeaders(scope=message)
    is_html = headers.get("content-type", "").startswith("text/html")
    return bool(message["status"] == 200 and is_html and "content-encoding" not in headers)


ROUTES = [Route(CERTIFICATE, certificate, methods=["GET"]), Route(MANIFEST, manifest, methods=["GET"])]
