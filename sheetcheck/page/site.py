"""The addresses of the page, all below the secret of this start, and what each of them answers."""

from __future__ import annotations

import asyncio
import time
from collections import Counter
from collections.abc import Awaitable, Callable, Mapping, Sequence
from contextvars import ContextVar
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from sheetcheck import __version__
from sheetcheck.errors import SettingError, SheetcheckError
from sheetcheck.page import asked, sizes
from sheetcheck.page.guard import Guard
from sheetcheck.page.shelf import Opened, Scaled, Shelf, fault_of_ours
from sheetcheck.settings import MASS_UNITS, Settings, from_mapping
from sheetcheck.words import Manner, languages, number, of_the_translation, speaking, tr, tr_count
from sheetcheck.workbook.limits import file_limits

if TYPE_CHECKING:
    from sheetcheck.model import Audit
    from sheetcheck.page.result import ResultShown

UPLOAD = "/check"
AT_ONCE = 1.5  # seconds that a result is waited for before a page says that it is coming
_CHUNK = 1 << 20
STATIC = Path(__file__).parent / "static"
KINDS = ".xlsx,.xlsm,.xltx,.xltm,.xls,.ods,.csv,.tsv"
_CAUTIONS_SHOWN = ("before", "mixing", "splash", "swallowed", "defer")  # groups
Answering = Callable[[Request], Awaitable[Response]]

_language: ContextVar[str] = ContextVar("language", default="en")  # of the answer, for those who read it aloud


class Present:
    """Whether the page is open anywhere: each tab says that it is there, and says so when it goes."""

    def __init__(self, *, left: float = 15.0, silent: float = 1800.0, no_script: float = 7200.0) -> None:
        self.left, self.silent, self.no_script = left, silent, no_script  # seconds
        self._tabs: dict[str, float] = {}
        self._last, self._ever, self.ended = time.monotonic(), False, False

    def seen(self, tab: str = "") -> None:
        """Note that a tab is there, or that something was asked for."""
        self._last = time.monotonic()
        if tab:
            self._ever = True
            self._tabs[tab] = self._last

    def gone(self, tab: str) -> None:
        """Note that a tab leaves: for another page of ours, or for good."""
        self._tabs.pop(tab, None)
        self._last = time.monotonic()

    def is_over(self) -> bool:
        """Whether nobody is there any more."""
        now = time.monotonic()
        self._tabs = {tab: seen for tab, seen in self._tabs.items() if now - seen < self.silent}
        if self.ended or self._tabs:
            return self.ended
        return now - self._last > (self.left if self._ever else self.no_script)


def make_site(
    shelf: Shelf, *, port: int, secret: str, settings: Settings | None = None, present: Present | None = None
) -> Guard:
    """Return the whole site, behind its guard."""
    site = _Site(shelf, f"/{secret}", settings or Settings(), present or Present())
    app = Starlette(routes=[Mount(f"/{secret}", routes=site.routes())], exception_handlers=site.refusals())
    limits = file_limits(site.settings)
    return Guard(app, port=port, secret=secret, upload=UPLOAD, upload_bytes=limits.file_bytes)


class _Site:
    def __init__(self, shelf: Shelf, base: str, settings: Settings, present: Present) -> None:
        self.shelf, self.base, self.settings, self.present = shelf, base, settings, present
        self.pages = Environment(
            loader=PackageLoader("sheetcheck.page"), autoescape=True, undefined=StrictUndefined, trim_blocks=True
        )
        self.pages.globals |= {"tr": tr, "tr_count": tr_count, "number": number, "base": base, "version": __version__}
        self.pages.globals["of_the_translation"] = of_the_translation

    def routes(self) -> list[Route | Mount]:
        book = "/book/{key}"
        answers: Sequence[tuple[str, Answering, str]] = (
            ("/", self.start, "GET"),
            (UPLOAD, self.check, "POST"),
            (book, self.book, "GET"),
            (f"{book}/stage", self.stage, "GET"),
            (f"{book}/answers", self.answers, "POST"),
            (f"{book}/copy", self.copy, "GET"),
            (f"{book}/pages", self.recipe_pages, "GET"),
            (f"{book}/report", self.report, "GET"),
            (f"{book}/unmarked", self.unmarked, "GET"),
            (f"{book}/rescale", self.rescale, "POST"),
            (f"{book}/rescaled", self.rescaled, "GET"),
            (f"{book}/rescaled/book", self.rescaled_book, "GET"),
            (f"{book}/close", self.put_away, "POST"),
            ("/rule/{name}", self.rule, "GET"),
            ("/forget", self.forget, "POST"),
            ("/here", self.here, "POST"),
            ("/leaving", self.leaving, "POST"),
            ("/close", self.close, "POST"),
        )
        return [
            *(Route(path, self._spoken(answer), methods=[method]) for path, answer, method in answers),
            Mount("/static", StaticFiles(directory=STATIC), name="static"),
        ]

    def refusals(self) -> Mapping[Any, Callable[..., Awaitable[Response]]]:
        """Return what is said where something is asked for wrongly."""

        async def refused(request: Request, error: Exception) -> Response:
            with speaking(self._manner(request).voice()):
                if not isinstance(error, HTTPException):
                    return self._page("refused.html", 500, why=fault_of_ours(error))
                why = tr("There is no such page. The workbook may have been put away.")
                return self._page("refused.html", error.status_code, why=why)

        return {HTTPException: refused, Exception: refused}

    def _spoken(self, answer: Answering) -> Answering:
        async def spoken(request: Request) -> Response:
            self.present.seen()
            manner = self._manner(request)
            _language.set(manner.language)
            with speaking(manner.voice()):
                return await answer(request)

        return spoken

    def _manner(self, request: Request) -> Manner:
        """Speak the language of the settings, else the first of the browser's that there is a catalogue for."""
        if self.settings.language != "en":
            return Manner(self.settings.language)
        wanted = (
            part.split(";")[0].strip()[:2].lower() for part in request.headers.get("accept-language", "").split(",")
        )
        return Manner(next((language for language in wanted if language in languages()), "en"))

    def _page(self, template: str, status: int = 200, **shown: object) -> HTMLResponse:
        return HTMLResponse(self.pages.get_template(template).render(language=_language.get(), **shown), status)

    def _opened(self, request: Request) -> Opened:
        opened = self.shelf.get(request.path_params["key"])
        if opened is None:
            raise HTTPException(404)
        return opened

    def _result(self, opened: Opened) -> ResultShown:
        from sheetcheck.page.result import ResultShown  # noqa: PLC0415 - loads pandas

        if opened.result is None:
            raise HTTPException(404)
        return ResultShown(opened.result.audit, opened.result.excerpts, opened.result.answered)

    # ----------------------------------------------------------------------- choosing a workbook

    async def start(self, _request: Request) -> Response:
        return self._start_page()

    def _start_page(self, status: int = 200, refused: str = "") -> Response:
        return self._page(
            "start.html",
            status,
            refused=refused,
            kinds=KINDS,
            units=MASS_UNITS,
            most_bytes=file_limits(self.settings).file_bytes,
            opened=[opened for opened in self.shelf.opened() if not opened.refused],
            kept=asked.kept(),
        )

    async def check(self, request: Request) -> Response:
        """Take the workbook and begin to check it; a small one is done before the answer goes out."""
        try:
            async with request.form(max_files=1, max_fields=20) as form:
                file = form.get("book")
                if not isinstance(file, UploadFile) or not file.filename:
                    return self._start_page(400, tr("Choose a workbook first."))
                settings = self._settings(form)
                place = self.shelf.place_for(file.filename)
                with place.open("xb") as target:
                    while chunk := await file.read(_CHUNK):
                        target.write(chunk)
        except MultiPartException as error:
            return self._start_page(400, tr("What was sent cannot be read: {why}", why=error.message))
        except SettingError as error:
            return self._start_page(400, str(error))
        except OSError as error:
            return self._start_page(507, tr("There is no room for it on this machine: {why}", why=error.strerror))
        opened = self.shelf.open(place, settings)
        return await self._led_to(opened)

    def _settings(self, form: FormData) -> Settings:
        base = replace(self.settings, names={**asked.kept(), **self.settings.names})
        unit, sheets = form.get("unit"), form.get("sheets")
        said: dict[str, object] = {}
        if isinstance(unit, str) and unit:
            said["default_unit"] = unit
        if isinstance(sheets, str) and sheets.strip():
            said["only_sheets"] = [name.strip() for name in sheets.split(";") if name.strip()]
        return from_mapping(said, tr("on the page"), base)

    async def _led_to(self, opened: Opened) -> Response:
        await asyncio.to_thread(opened.wait, AT_ONCE)
        return RedirectResponse(f"{self.base}/book/{opened.key}", 303)

    async def forget(self, _request: Request) -> Response:
        asked.forget()
        return RedirectResponse(f"{self.base}/", 303)

    # ----------------------------------------------------------------------- one workbook

    async def book(self, request: Request) -> Response:
        opened = self._opened(request)
        if not opened.ready:
            return self._page("working.html", opened=opened, stage=tr(opened.stage))
        if opened.result is None:
            return self._page("refused.html", 422, why=opened.refused)
        return self._book_page(opened)

    def _book_page(self, opened: Opened, status: int = 200, **said: str) -> Response:
        from sheetcheck.reference import cautions  # noqa: PLC0415 - loads pandas
        from sheetcheck.reference.substances import substances  # noqa: PLC0415 - the same

        result, book = self._result(opened), self._result(opened).book
        with speaking(book.manner.voice()):
            return self._page(
                "book.html",
                status,
                opened=opened,
                result=result,
                kinds=KINDS,
                most_bytes=file_limits(self.settings).file_bytes,
                questions=asked.questions(book),
                assumptions=asked.assumptions(book),
                known=sorted({tr(s.name) for s in substances().values()}),
                moulds=opened.result.moulds if opened.result is not None else {},
                sizes=sizes,
                cautions=[next(c for c in cautions() if c.group == group) for group in _CAUTIONS_SHOWN],
                said={"answers": "", "rescale": "", **said},
            )

    async def stage(self, request: Request) -> Response:
        opened = self._opened(request)
        seconds = time.monotonic() - opened.began
        said = tr("{stage} ({seconds} s)", stage=tr(opened.stage), seconds=number(seconds, 0))
        return JSONResponse({"done": opened.ready, "stage": said})

    async def put_away(self, request: Request) -> Response:
        self.shelf.put_away(self._opened(request).key)
        return RedirectResponse(f"{self.base}/", 303)

    async def answers(self, request: Request) -> Response:
        """Take up what she answered, and check again."""
        opened = self._opened(request)
        result = self._result(opened)
        async with request.form(max_files=0, max_fields=2000) as form:
            said = {name: value for name, value in form.items() if isinstance(value, str)}
        meanings = _after("word:", said) | {w: m for w, m in _after("other:", said).items() if m.strip()}
        offered = {a.text: frozenset(c.means for c in a.choices) for a in asked.questions(result.book)}
        try:
            opened.settings = asked.with_meanings(opened.settings, meanings, offered)
        except SettingError as error:
            return self._book_page(opened, 400, answers=tr("{what}: {why}.", what=error.where, why=error.problem))
        opened.answers |= asked.as_answers(_after("finding:", said))
        if said.get("keep"):
            try:
                asked.keep(opened.settings.names)
            except OSError as error:
                return self._book_page(
                    opened, 507, answers=tr("The words could not be kept: {why}", why=error.strerror)
                )
        self.shelf.check(opened)
        return await self._led_to(opened)

    async def rule(self, request: Request) -> Response:
        from sheetcheck.rules import all_rules  # noqa: PLC0415 - loads pandas

        rule = next((r for r in all_rules() if r.name == request.path_params["name"]), None)
        if rule is None:
            raise HTTPException(404)
        return self._page("rule.html", rule=rule)

    # ----------------------------------------------------------------------- what she downloads

    async def copy(self, request: Request) -> Response:
        from sheetcheck.pipeline import annotate  # noqa: PLC0415 - loads pandas
        from sheetcheck.workbook.target import choose_target  # noqa: PLC0415 - the same

        opened = self._opened(request)
        audit = self._result(opened).audit

        def write() -> Path:
            return annotate(audit, opened.file, choose_target(opened.file, None, overwrite=True), overwrite=True).copy

        return await self._download(write)

    async def recipe_pages(self, request: Request) -> Response:
        from sheetcheck.pipeline import write_pages  # noqa: PLC0415 - loads pandas

        return await self._written(request, "pages.html", write_pages)

    async def report(self, request: Request) -> Response:
        from sheetcheck.report.json_report import write_report  # noqa: PLC0415 - loads pandas

        return await self._written(request, "report.json", lambda audit, place: write_report(audit, str(place)))

    async def _written(self, request: Request, ending: str, write: Callable[[Audit, Path], object]) -> Response:
        """Write what an audit gives to a file beside the book, and answer with it."""
        opened = self._opened(request)
        audit = self._result(opened).audit
        place = opened.folder / f"{opened.file.stem}.{ending}"

        def made() -> Path:
            write(audit, place)
            return place

        return await self._download(made)

    async def unmarked(self, request: Request) -> Response:
        from sheetcheck.workbook import remove_marks  # noqa: PLC0415 - loads lxml

        opened = self._opened(request)
        place = opened.folder / f"{opened.file.stem}.unmarked{opened.file.suffix}"

        def write() -> Path:
            place.unlink(missing_ok=True)
            remove_marks(opened.file, place)
            return place

        return await self._download(write)

    async def _download(self, write: Callable[[], Path]) -> Response:
        try:
            written = await asyncio.to_thread(self.shelf.do, write)
        except SheetcheckError as error:
            return self._page("refused.html", 422, why=str(error))
        return FileResponse(written, filename=written.name, content_disposition_type="attachment")

    # ----------------------------------------------------------------------- rescaling

    async def rescale(self, request: Request) -> Response:
        opened = self._opened(request)
        async with request.form(max_files=0, max_fields=5000) as form:
            said = {name: [str(value) for value in form.getlist(name)] for name in form}
        try:
            done = await asyncio.to_thread(self.shelf.do, partial(_rescaled, opened, sizes.wanted(said)))
        except SettingError as error:
            return self._book_page(
                opened, 400, rescale=tr("{what}: {why}.", what=_field(error.where), why=error.problem)
            )
        except SheetcheckError as error:
            return self._book_page(opened, 422, rescale=str(error))
        opened.rescaled = done
        return RedirectResponse(f"{self.base}/book/{opened.key}/rescaled", 303)

    async def rescaled(self, request: Request) -> Response:
        opened = self._opened(request)
        if opened.rescaled is None:
            raise HTTPException(404)
        from sheetcheck.rescaling.drift import too_coarse  # noqa: PLC0415 - loads pandas
        from sheetcheck.rescaling.not_taken_over import in_another_shape, not_read  # noqa: PLC0415 - the same
        from sheetcheck.rescaling.rows import job_rows  # noqa: PLC0415 - the same

        done = opened.rescaled.rescaled
        counts = Counter(done.jobs["label"])
        left_out = [replace(left, why=_without_options(left.why)) for left in done.left_out]
        coarse = [(job.name, said) for job in job_rows(done.jobs) if (said := too_coarse(job, done))]
        told = {
            tr("Scale too coarse"): coarse,
            tr("Not read in your book"): not_read(done, among_recipes=True),
            tr("In another shape than in your book"): in_another_shape(done),
        }
        return self._page("rescaled.html", opened=opened, done=done, counts=counts, left_out=left_out, told=told)

    async def rescaled_book(self, request: Request) -> Response:
        opened = self._opened(request)
        if opened.rescaled is None:
            raise HTTPException(404)
        place = opened.rescaled.file
        return FileResponse(place, filename=place.name, content_disposition_type="attachment")

    # ----------------------------------------------------------------------- open, and closed

    async def here(self, request: Request) -> Response:
        self.present.seen(request.query_params.get("tab", "")[:40])
        return Response(status_code=204)

    async def leaving(self, request: Request) -> Response:
        self.present.gone(request.query_params.get("tab", "")[:40])
        return Response(status_code=204)

    async def close(self, _request: Request) -> Response:
        self.present.ended = True
        return self._page("closed.html")


def _after(prefix: str, said: Mapping[str, str]) -> dict[str, str]:
    return {name.removeprefix(prefix): value for name, value in said.items() if name.startswith(prefix)}


def _field(option: str) -> str:
    """Name the place of a wrong setting without the words of the command line."""
    return option.removeprefix("--to ").strip() if option.startswith("--to ") else option.removeprefix("--")


def _without_options(why: str) -> str:
    """Say what the page offers where the command line says which option to take."""
    from sheetcheck.rescaling.choosing import ANSWER  # noqa: PLC0415 - loads pandas

    return why.replace(tr(ANSWER), tr("Put it right, or tick it under “Which recipes” once you have made sure of it."))


def _rescaled(opened: Opened, wanted: sizes.Wanted) -> Scaled:
    from sheetcheck.pipeline import rescale  # noqa: PLC0415 - loads pandas

    place = opened.folder / f"{opened.file.stem}.rescaled.xlsx"
    done, file = rescale(
        opened.file,
        wanted.to,
        place,
        replace(opened.settings, paper=wanted.paper or opened.settings.paper),
        bench=wanted.bench,
        also=wanted.also,
        only=wanted.only,
        keep_lye=wanted.keep_lye,
        date=wanted.date,
        overwrite=True,
    )
    return Scaled(done, file)
