"""What is served over plain HTTP to other machines: how to come in, and nothing of the farm's."""

from typing import Any
from urllib.parse import quote

from litestar import Litestar, MediaType, Request, Response, route
from litestar.enums import HttpMethod
from litestar.exceptions import HTTPException
from litestar.handlers import HTTPRouteHandler

from api.headers import add_headers
from api.https import pages, profile
from api.https.authority import Authority
from api.https.reach import Reach
from api.https.renew import OwnCertificates
from api.problems import Forbidden, answer

CSS = "/onboarding.css"
_READ = [HttpMethod.GET, HttpMethod.HEAD]
_EVERY = [*_READ, HttpMethod.POST, HttpMethod.PUT, HttpMethod.PATCH, HttpMethod.DELETE]
_FRESH = {"Cache-Control": "no-store"}


class NeedsHttps(Forbidden):
    code, title = "needs-https", "Nubbin answers only over HTTPS."


def onboarding_app(reach: Reach) -> Litestar:
    """The application of the HTTP port while the app lives on the HTTPS port.

    With the farm's own authority the first page is the walk through trusting it; with certificate
    files, or with HTTPS off, every address explains.
    """
    own = reach.certificates if isinstance(reach.certificates, OwnCertificates) else None
    handlers = [_stylesheet(), _explain(reach, has_steps=own is not None)]
    if own is not None:
        handlers += _onboarding(reach, own.authority)
    return Litestar(
        route_handlers=handlers,
        exception_handlers={HTTPException: answer, Exception: answer},
        before_send=[add_headers],
        openapi_config=None,
        logging_config=None,
    )


def _onboarding(reach: Reach, authority: Authority) -> list[HTTPRouteHandler]:
    profile_bytes = profile.mobileconfig(authority)

    @route("/", http_method=_READ, media_type=MediaType.HTML, sync_to_thread=False)
    def first_page(request: Request[Any, Any, Any]) -> Response[bytes]:
        agent = request.headers.get("user-agent", "")
        return _html(pages.onboarding_page(authority, reach.app, agent))

    @route("/ca.crt", http_method=_READ, sync_to_thread=False)
    def certificate() -> Response[bytes]:
        return _file(authority.der, "application/x-x509-ca-cert", "nubbin-authority.crt")

    @route("/ca.mobileconfig", http_method=_READ, sync_to_thread=False)
    def for_iphones() -> Response[bytes]:
        return _file(
            profile_bytes, "application/x-apple-aspen-config", "nubbin-authority.mobileconfig"
        )

    @route("/qr.svg", http_method=_READ, sync_to_thread=False)
    def code() -> Response[bytes]:
        return Response(profile.qr_svg(reach.app), media_type="image/svg+xml", headers=_FRESH)

    return [first_page, certificate, for_iphones, code]


def _stylesheet() -> HTTPRouteHandler:
    @route(CSS, http_method=_READ, sync_to_thread=False)
    def stylesheet() -> Response[bytes]:
        return Response(pages.stylesheet(), media_type="text/css")

    return stylesheet


def _explain(reach: Reach, *, has_steps: bool) -> HTTPRouteHandler:
    paths = ["/{path:path}"] if has_steps else ["/", "/{path:path}"]

    @route(paths, http_method=_EVERY, media_type=MediaType.HTML, sync_to_thread=False)
    def explain(request: Request[Any, Any, Any]) -> Response[bytes]:
        path = request.scope["path"]
        if path.startswith("/api") or request.method not in _READ:
            raise NeedsHttps(f"Nothing was changed and nothing was taken. Use {reach.app} instead.")
        if reach.certificates is None:
            return _html(pages.off_page(), 403)
        page = pages.explaining_page(reach.app, quote(path), has_steps=has_steps)
        return _html(page, 403)

    return explain


def _html(page: bytes, status: int = 200) -> Response[bytes]:
    return Response(page, status_code=status, media_type=MediaType.HTML, headers=_FRESH)


def _file(content: bytes, media: str, name: str) -> Response[bytes]:
    shown = f'inline; filename="{name}"'
    return Response(content, media_type=media, headers=_FRESH | {"Content-Disposition": shown})
