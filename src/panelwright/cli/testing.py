"""Commands for testing a panel: testsheet, records."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, give, json_option
from .group import PDF, main, over, target, write
from .papers import Paper, papers

if TYPE_CHECKING:
    from ..finding import Judgement, Sheet
    from ..records import FilledIn, Kept

Kind = Literal["cold", "live"]
KINDS: tuple[Kind, ...] = ("cold", "live")


@main.command()
@files_argument
@click.option("--cold", "which", flag_value="cold", help="Only the cold test.")
@click.option("--live", "which", flag_value="live", help="Only the live test.")
@click.option("--out", "-o", metavar="PATH", help="PDF file or folder to write to, to be printed.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@click.option("--form", metavar="PATH", help="Write a text file to type the results of --cold or --live into.")
@click.option("--results", type=click.Path(exists=True, dir_okay=False), metavar="FILE",
              help='Judge results, one line each: "12: 24 V", "13: ok", "14: open".')  # fmt: skip
@click.option("--keep", is_flag=True, help="Also keep the results in the records beside the panel file.")
@json_option
def testsheet(files: tuple[str, ...], which: Kind | None, out: str | None, paper: str, form: str | None,
              results: str | None, keep: bool, as_json: bool) -> None:  # fmt: skip
    """Sheets for testing a panel before and under power, or the judgement of a filled one."""
    if form and not which:
        raise CouldNot("say with --cold or --live for which sheet the form is.")

    def answer(file: Paper, circuit: Circuit) -> Answer:
        if results:
            return _judged(file, circuit, which, results, keep)
        sheets = [api.test_sheet(circuit, kind) for kind in ((which,) if which else KINDS)]
        if form:
            return _form(file, sheets[0], form)
        return _sheets(file, circuit, sheets, out, paper)

    over(files, as_json, "Working out", answer)


def _sheets(file: Paper, circuit: Circuit, sheets: list[Sheet], out: str | None, paper: str) -> Answer:
    from ..finding import sheet_text, sheet_values

    values: dict[str, Any] = {"file": file.name, "sheets": [sheet_values(sheet) for sheet in sheets]}
    if out is None:
        return Answer(Code.FINE, "\n\f\n".join(sheet_text(sheet) for sheet in sheets), values)
    pages = api.test_sheet_pages(circuit, sheets, paper=paper, from_file=Path(file.name).name)
    place = target(file, out, f"-test{PDF}")
    write(place, api.pdf(pages))
    told = f"{file.name}: {len(pages)} page{'s' * (len(pages) != 1)} in {place}"
    return Answer(Code.FINE, told, values | {"pages": len(pages), "pdf": str(place)})


def _form(file: Paper, sheet: Sheet, form: str) -> Answer:
    from ..records import form_text

    place = Path(form) / f"{Path(file.name).stem}-{sheet.kind}.txt" if Path(form).is_dir() else Path(form)
    if place.exists():
        raise CouldNot(f"{place} is there already, perhaps with results in it; take another name.")
    write(place, form_text(sheet.kind, sheet.title, ((line.do, line.expect) for line in sheet.lines)))
    told = f"{file.name}: {len(sheet.lines)} lines to fill in are in {place}"
    return Answer(Code.FINE, told, {"file": file.name, "form": str(place), "lines": len(sheet.lines)})


def _judged(file: Paper, circuit: Circuit, which: Kind | None, path: str, keep: bool) -> Answer:
    from ..finding import search_text, search_values

    filled = _filled_in(path)
    kind = which or next((one for one in KINDS if one == filled.head["sheet"].lower()), None)
    if kind is None:
        raise CouldNot(f'{path}: say with --cold or --live, or with a line "sheet: cold", which sheet it belongs to.')
    judgement = api.judge_results(circuit, kind, filled.results)
    lines = [f"{len(judgement.lines)} lines: {len(judgement.failed)} failed, {len(judgement.not_done)} not done."]
    lines += [
        f"  {one.number}  {one.line.do}: {one.result}, wanted {one.line.expect or 'a tick'}" for one in judgement.failed
    ]
    lines += [
        f"  {one.number}  '{one.result}' is not understood"
        for one in judgement.lines
        if one.verdict == "not understood"
    ]
    extra = sorted(set(filled.results) - {one.number for one in judgement.lines})
    lines += [f"  {number}  is no line of this sheet; nothing was made of it" for number in extra]
    values: dict[str, Any] = {
        "file": file.name,
        "lines": [{"number": one.number, "result": one.result, "verdict": one.verdict} for one in judgement.lines],
        "find": search_values(judgement.search) if judgement.search is not None else None,
    }
    if keep:
        number, place = _keep(file, kind, filled, judgement)
        lines.append(f"Kept as no. {number} in {place}.")
        values |= {"kept": number, "records": str(place)}
    if judgement.search is not None:
        lines += ["", search_text(judgement.search)]
    is_fine = all(one.verdict in ("passed", "not done") for one in judgement.lines)
    return Answer(Code.FINE if is_fine else Code.FOUND, "\n".join(lines), values)


def _filled_in(path: str) -> FilledIn:
    from ..records import Misread, read_results

    try:
        return read_results(Path(path).read_text(encoding="utf-8-sig"))
    except Misread as reason:
        raise CouldNot(f"{path}:{reason.line}: {reason}.") from reason
    except UnicodeDecodeError as reason:
        raise CouldNot(f"{path} is no plain text (UTF-8); save it as such.") from reason


def _keep(file: Paper, kind: Kind, filled: FilledIn, judgement: Judgement) -> tuple[int, Path]:
    from ..records import beside

    if file.path is None:
        raise CouldNot("records are kept beside a panel file; this one was typed or piped in.")
    try:
        return api.keep_results(file.path, kind, judgement, **_about(filled)), beside(file.path)
    except (OSError, ValueError) as reason:
        raise CouldNot(f"{reason}.") from reason


def _about(filled: FilledIn) -> dict[str, str]:
    return {name: value for name, value in filled.head.items() if name != "sheet"}


@main.command()
@files_argument
@json_option
def records(files: tuple[str, ...], as_json: bool) -> None:
    """What was tested so far, by whom, with which results, and what of today's sheets is still open."""
    give((_recorded(paper) for paper in papers(files)), as_json)


def _recorded(file: Paper) -> Answer:
    from ..records import beside, text_hash

    if file.path is None:
        raise CouldNot("records are kept beside a panel file; this one was typed or piped in.")
    try:
        kept = api.kept_results(file.path)
    except (OSError, ValueError) as reason:
        raise CouldNot(f"{reason}.") from reason
    if not kept:
        told = f"{file.name}: nothing is kept yet; testsheet --results FILE --keep does it, or Test on the bench."
        return Answer(Code.FINE, told, {"file": file.name, "records": []})
    today = text_hash(file.text)
    lines = [f"{file.name}: {len(kept)} test{'s' * (len(kept) != 1)} in {beside(file.path)}"]
    for one in kept:
        lines += _told(one, changed=one.hash != today)
    still_failed = any(line.verdict == "failed" for line in api.last_results(kept))
    return Answer(Code.FOUND if still_failed else Code.FINE, "\n".join(lines),
                  {"file": file.name, "records": [_values(one, today) for one in kept]})  # fmt: skip


def _told(kept: Kept, *, changed: bool) -> list[str]:
    one = kept.sitting
    about = [f"panel {one.panel}" * bool(one.panel), one.by and f"by {one.by}", one.meter and f"meter {one.meter}"]
    failed = [line for line in one.lines if line.verdict == "failed"]
    passed = sum(line.verdict == "passed" for line in one.lines)
    said = ", ".join(filter(None, (f"{kept.number}. {kept.at}", f"{one.kind} test", *about, one.date)))
    lost = sum(line.verdict == "not understood" for line in one.lines)
    since = (f", {lost} not understood" if lost else "") + ("; the panel file has changed since" if changed else "")
    return [
        f"  {said}: {passed} passed, {len(failed)} failed{since}",
        *(f"      {line.number}  {line.do}: {line.result}, wanted {line.expect or 'a tick'}" for line in failed),
    ]


def _values(kept: Kept, today: str) -> dict[str, Any]:
    one = kept.sitting
    return {
        "number": kept.number, "at": kept.at, "kind": one.kind, "panel": one.panel, "by": one.by, "meter": one.meter,
        "date": one.date, "hash": kept.hash, "same_text": kept.hash == today,
        "lines": [{"number": line.number, "do": line.do, "expect": line.expect, "result": line.result,
                   "verdict": line.verdict} for line in one.lines],
    }  # fmt: skip
