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
from guidegen.errors import GuidegenError
from guidegen.publish.terminal import (
    LOUD,
    UNREADABLE,
    finding_record,
    loud,
    print_findings,
    unreadable,
    width,
)

# Every other room is imported inside the command that needs it: `--help` and `--version`
# must not wait for numpy.
if TYPE_CHECKING:
    from guidegen.publish.protocol import GuideLike

STOP = 1
#: Stands for `--or` among the changes: no argument of a command can hold it.
OR = "\0or"
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
        # Late: what is up to date needs no place.
        from guidegen.publish.swap import refuse_early

        refuse_early(output / slug(spec.name))
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
        unreadable(spec, error, as_json)
    if as_json:
        rows = [finding_record(finding) for finding in findings]
        click.echo(json.dumps({"spec": spec.name, "findings": rows}, indent=1, ensure_ascii=False))
    else:
        print_findings(findings)
    sys.exit(STOP if any(finding.level == "stop" for finding in findings) else 0)


class Columns(click.Command):
    """A command of which `--or` begins the next column of changes."""

    def parse_args(self, context: click.Context, args: list[str]) -> list[str]:
        """Leave the places of `--or` in the list of changes, among which its order counts."""
        kept: list[str] = []
        for word in args:
            option, equals, rest = word.partition("=")
            kept += [OR, *([rest] if equals else [])] if option == "--or" else [word]
        return super().parse_args(context, kept)


@main.command("try", cls=Columns, context_settings=HELP)
@click.argument("spec", type=SpecPath())
@click.argument("changes", metavar="KEY=VALUE...", nargs=-1)
@click.option(
    "--or",
    metavar="KEY=VALUE...",
    expose_value=False,
    help="Begins another column: these changes in place of those before.",
)
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@click.option(
    "--page",
    metavar="FILE.html",
    type=SpecPath(),
    help="Write it to one HTML file, columns side by side.",
)
def try_(spec: Path, changes: Sequence[str], as_json: bool, page: Path | None) -> None:
    """Say what other parts would do to SPEC; the spec stays as it is.

    KEY is a key of the spec as its messages write it, such as chain.lead.size, or supply for the
    part of the supply; VALUE is what would stand there. A fault in the second of them is told at
    argument:2 and the column in it. Exit status: 0 nothing stops, 1 something stops, 2 the spec
    or a change can't be read.
    """
    columns: list[list[str]] = [[]]
    for word in changes:
        if word == OR:
            columns.append([])
        else:
            columns[-1].append(word)
    try:
        # Late: as in `build_one`.
        from guidegen.road import trial_of, trial_page, trial_text

        found = trial_of(spec, columns)
        if page is not None:
            trial_page(spec, found, page)
    except (GuidegenError, OSError) as error:
        unreadable(spec, error, as_json)
    if as_json:
        click.echo(json.dumps(found, indent=1, ensure_ascii=False))
    else:
        click.echo(trial_text(spec, found, width(80), loud))
    sys.exit(STOP if any(one["verdict"] == "stop" for one in found["columns"]) else 0)


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
