"""The commands; what they do is in the rooms."""

from __future__ import annotations

import gc
import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from guidegen import __version__
from guidegen.errors import GuidegenError, SpecError

# Every other room is imported inside the command that needs it: `--help` and `--version`
# must not wait for numpy.
if TYPE_CHECKING:
    from guidegen.publish.protocol import GuideLike

STOP, UNREADABLE = 1, 2
LOUD = {"stop": "red", "advice": "yellow", "holds": "green"}
HELP = {"help_option_names": ["-h", "--help"]}
SpecPath = partial(click.Path, path_type=Path)


@click.group(
    context_settings=HELP,
    epilog='Shell completion: add  eval "$(_GUIDEGEN_COMPLETE=bash_source guidegen)"  to '
    "~/.bashrc; zsh_source for zsh; for fish put the output of "
    "_GUIDEGEN_COMPLETE=fish_source guidegen  into ~/.config/fish/completions/guidegen.fish.",
)
@click.version_option(__version__, message="%(prog)s %(version)s")
@click.pass_context
def main(context: click.Context) -> None:
    """Build guides for low-voltage DC lights, computed from one fixture spec.

    Exit status: 0 all well, 1 a check stops the design, 2 the spec can't be read or the
    guide can't be written.
    """
    # A run lasts two seconds and keeps what it makes: looking for garbage costs a tenth of it.
    gc.set_threshold(200_000, 20, 20)
    if os.environ.get("NO_COLOR"):
        context.color = False


@main.command(context_settings=HELP)
@click.argument("specs", metavar="SPEC...", nargs=-1, required=True, type=SpecPath())
@click.option(
    "-o",
    "--output",
    metavar="FOLDER",
    type=SpecPath(),
    default=Path("guides"),
    show_default=True,
    help="Where the guides go; each gets a folder of its own name in it.",
)
@click.option(
    "--no-pdf",
    is_flag=True,
    help="Make no PDF, which takes longer than all the rest; print.html prints to one.",
)
@click.option(
    "--even-so",
    is_flag=True,
    help="Make the guide although a check stops the design, with a warning on every page.",
)
def build(specs: Sequence[Path], output: Path, no_pdf: bool, even_so: bool) -> None:
    """Compute each SPEC and write its build guide.

    The guide of specs/NAME.yaml is guides/NAME/index.html: open it by double click. A guide
    that is there already is replaced whole, or not at all.
    """
    sys.exit(max([build_one(spec, output, even_so, not no_pdf) for spec in specs]))


def build_one(spec: Path, output: Path, even_so: bool, pdf: bool) -> int:
    """Build one guide and say how it went; the exit status that it asks for."""
    options = {"pdf": pdf, "even_so": even_so}
    try:
        # Late: `--help` needs no hash; and none of these may be heavy, for this is all that a
        # guide costs which is up to date.
        from guidegen.folders import slug
        from guidegen.publish.inputs import made_from, up_to_date

        key = made_from(spec, options)
        if (lines := up_to_date(output / slug(spec.name), key)) is not None:
            for line in lines:
                click.echo(line, err=True)
            click.echo(f"{slug(spec.name)}: up to date.")
            return 0
        with stages(spec.stem) as stage:
            # Late, here and below: these rooms take half a second that `--help` must not pay.
            from guidegen.publish.build import build as publish
            from guidegen.publish.build import folder_of
            from guidegen.publish.drawn import ChartProcess
            from guidegen.road import design_of, guide_of

            # It loads what it draws with while this process computes.
            with closing(ChartProcess.waiting()) as charts:
                stage("design")
                design = design_of(spec)
                stopped = [finding for finding in design.findings if finding.level == "stop"]
                if stopped and not even_so:
                    stage("stopped")
                else:
                    stage("guide")
                    guide = guide_of(spec, design)
                    out = folder_of(guide, output)
                    before = main_numbers(out)
                    # A spec that was saved meanwhile may not be the one that was read.
                    key = key if key == made_from(spec, options) else ""
                    said = publish(guide, out, stage, charts, pdf, key)
        print_findings([f for f in design.findings if f.level != "holds"])
        if stopped and not even_so:
            click.echo(f"{spec}: not built. Mend what stops it, or build with --even-so.", err=True)
            return STOP
        for line in said:
            click.echo(line, err=True)
        print_summary(design.findings, guide, out, before)
    except (GuidegenError, OSError) as error:
        click.echo(str(error), err=True)
        return UNREADABLE
    return 0


@contextmanager
def stages(name: str) -> Iterator[Callable[[str], None]]:
    """A line on the terminal that grows with the work; nothing where nobody watches."""
    watched = sys.stderr.isatty()

    def stage(words: str) -> None:
        if watched:
            click.echo(f" · {words}", nl=False, err=True)

    if watched:
        click.echo(name, nl=False, err=True)
    try:
        yield stage
    finally:
        if watched:
            click.echo(err=True)


def main_numbers(folder: Path) -> dict[str, str]:
    """The main numbers of the guide in a folder, as texts; none where there is no guide."""
    from guidegen.publish.moved import main_numbers
    from guidegen.publish.swap import mark_of

    try:
        return main_numbers((folder / "guide.json").read_bytes()) if mark_of(folder) else {}
    except OSError:
        return {}  # no guide: nothing to compare


def print_summary(
    findings: Sequence[Any], guide: GuideLike, out: Path, before: dict[str, str]
) -> None:
    """Where the guide is, how many findings it has, and which main numbers moved."""
    from guidegen.publish.moved import moved

    changes = moved(before, main_numbers(out)) if before else []
    if changes:
        click.echo("Changed since the guide before:")
        for change in changes:
            click.echo(f"  {change}")
    elif before:
        click.echo("No main number changed since the guide before.")
    counts = ", ".join(
        f"{sum(finding.level == level for finding in findings)} {level}" for level in LOUD
    )
    click.echo(f"{guide.title}, revision {guide.revision}: {counts}.")
    sheets = out / f"{guide.name}.pdf"
    paper = sheets if sheets.is_file() else out / "print.html"
    click.echo(f"Open {out / 'index.html'}; print {paper}.")


@main.command(context_settings=HELP)
@click.argument("spec", type=SpecPath())
@click.argument("folder", type=SpecPath())
@click.option("--even-so", is_flag=True, help="Write them although a check stops the design.")
def pages(spec: Path, folder: Path, even_so: bool) -> None:
    """Write the guide of SPEC to FOLDER as a MkDocs project that needs no guidegen.

    Markdown, drawings, data files and settings; plain MkDocs with its theme builds the site.
    Exit status as for build.
    """
    sys.exit(write_pages(spec, folder, even_so))


def write_pages(spec: Path, folder: Path, even_so: bool) -> int:
    """Write one project and say how it went; the exit status that it asks for."""
    try:
        with stages(spec.stem) as stage:
            # Late: as in `build_one`.
            from guidegen.publish.drawn import ChartProcess
            from guidegen.publish.plain import write
            from guidegen.road import design_of, guide_of

            with closing(ChartProcess.waiting()) as charts:
                stage("design")
                design = design_of(spec)
                stopped = any(finding.level == "stop" for finding in design.findings)
                if not stopped or even_so:
                    stage("pages")
                    write(guide_of(spec, design), folder, charts)
        print_findings([finding for finding in design.findings if finding.level != "holds"])
        if stopped and not even_so:
            click.echo(f"{spec}: not written. Mend what stops it, or add --even-so.", err=True)
            return STOP
        click.echo(f"{folder / 'mkdocs.yml'} written. Next, in {folder}: mkdocs build --strict")
    except (GuidegenError, OSError) as error:
        click.echo(str(error), err=True)
        return UNREADABLE
    return 0


@main.command(context_settings=HELP)
@click.argument("spec", type=SpecPath())
@click.option(
    "--port",
    metavar="N",
    type=click.IntRange(1, 65535),
    default=8000,
    show_default=True,
    help="Where this machine shows it.",
)
def serve(spec: Path, port: int) -> None:
    """Show the guide of SPEC in the browser and follow every save of it.

    The parts and templates beside the spec are followed too. Trouble in a spec shows on the
    last good guide; Ctrl-C ends it. Exit status: 0 ended, 2 no such spec or no such port.
    """
    try:
        # Late: no other command needs a server.
        from guidegen.publish.serve import serve as show

        show(spec, port)
    except (GuidegenError, OSError) as error:
        _refuse(str(error))


@main.command(context_settings=HELP)
@click.argument("spec", type=SpecPath())
@click.option("--json", "as_json", is_flag=True, help="Print the findings as JSON.")
def check(spec: Path, as_json: bool) -> None:
    """Compute everything about SPEC and print the findings.

    Exit status: 0 nothing stops, 1 something stops, 2 the spec can't be read.
    """
    try:
        from guidegen.road import design_of

        findings = design_of(spec, judged=True).findings
    except (GuidegenError, OSError) as error:
        if as_json:
            click.echo(json.dumps({"spec": spec.name, "troubles": troubles(error)}, indent=1))
        click.echo(str(error), err=True)
        sys.exit(UNREADABLE)
    if as_json:
        rows = [finding_record(finding) for finding in findings]
        click.echo(json.dumps({"spec": spec.name, "findings": rows}, indent=1, ensure_ascii=False))
    else:
        print_findings(findings)
    sys.exit(STOP if any(finding.level == "stop" for finding in findings) else 0)


def troubles(error: Exception) -> list[dict[str, Any]]:
    """Every trouble of a spec, for programs."""
    if not isinstance(error, SpecError):
        return [{"message": str(error)}]
    return [
        {
            "file": trouble.place.file,
            "line": trouble.place.line,
            "column": trouble.place.column,
            "path": trouble.path,
            "message": trouble.message,
        }
        for trouble in error.troubles
    ]


def finding_record(finding: Any) -> dict[str, Any]:
    """One finding, for programs."""
    from guidegen.guide.sentences import finding_text

    def value(one: Any) -> dict[str, Any] | None:
        return one and {"name": one.name, "text": str(one), "si": one.si, "unit": one.kind.si}

    return {
        "id": finding.id,
        "level": finding.level,
        "required": value(finding.required),
        "found": value(finding.found),
        "place": str(finding.place) if finding.place else None,
        "text": " ".join(finding_text(finding).split()),
        "mends": [
            {"changes": dict(mend.changes), "effect": value(mend.effect)} for mend in finding.mends
        ],
    }


def print_findings(findings: Sequence[Any]) -> None:
    """The findings as a table: level, what and where, the worst first."""
    import shutil
    import textwrap

    from guidegen.guide.sentences import finding_text

    width = max(40, min(shutil.get_terminal_size().columns, 110))
    for finding in sorted(findings, key=lambda one: list(LOUD).index(one.level)):
        place = f" [{finding.place}]" if finding.place else ""
        words = " ".join(finding_text(finding).split()) + place
        lines = textwrap.wrap(words, width - 9, break_on_hyphens=False) or [""]
        level = click.style(f"{finding.level:<8}", fg=LOUD[finding.level], bold=True)
        click.echo(f"{level} {lines[0]}")
        for line in lines[1:]:
            click.echo(f"{'':9}{line}")


@main.command(context_settings=HELP)
@click.argument("spec", type=SpecPath())
@click.argument("readings", type=SpecPath())
def diagnose(spec: Path, readings: Path) -> None:
    """Name the faults of SPEC's light that fit what READINGS says was seen and read.

    READINGS is the file readings.csv of the guide, its last column filled in as far as you got.
    Exit status: 0 done, 2 a file can't be read.
    """
    try:
        from guidegen.road import causes_of

        for line in causes_of(spec, readings):
            click.echo(line)
    except (GuidegenError, OSError) as error:
        _refuse(str(error))


@main.command(context_settings=HELP)
@click.argument("name")
def new(name: str) -> None:
    """Write a short, commented starter spec, NAME.yaml, that builds as it is.

    The schema goes beside it, so that an editor completes and checks while one types.
    """
    from guidegen.spec.schema import json_schema
    from guidegen.spec.starter import starter

    path = Path(name if name.endswith((".yaml", ".yml")) else f"{name}.yaml")
    if not all(letter.isalnum() or letter in "-_" for letter in path.stem):
        _refuse(f"{path.stem}: not a name for a spec. Accepted: letters, digits, - and _")
    schema = json.dumps(json_schema(), indent=2, ensure_ascii=False) + "\n"
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(starter(path.stem))
        beside = path.with_name("fixture-spec.schema.json")
        if not beside.exists():
            beside.write_text(schema, encoding="utf-8")
    except FileExistsError:
        _refuse(f"{path}: is there already; it is left as it is")
    except OSError as error:
        _refuse(f"{error.filename or path}: {error.strerror or error}")
    click.echo(f"{path} written. Next: guidegen build {path}")


def _refuse(message: str) -> None:
    click.echo(message, err=True)
    sys.exit(UNREADABLE)


@main.command(context_settings=HELP)
def schema() -> None:
    """Print the JSON Schema of a fixture spec, with a description and an example on every key."""
    from guidegen.spec.schema import json_schema

    click.echo(json.dumps(json_schema(), indent=2, ensure_ascii=False))


if __name__ == "__main__":
    main()
