"""The verbs of the bench and of the shop's data: ``read``, ``log``, ``backup``, ``restore``, ``export``, ``import``."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

from culmwright.cli.declare import Answer, Parser, Verb
from culmwright.cli.typed import moment
from culmwright.measure.errors import AnswerIsNo, BadInput
from culmwright.measure.moments import clock

STAGES = ("rough", "finish")


def in_shop(text: str) -> bool:
    """True if ``text`` names a rod of the shop, such as ``R7``, and no file of that name is here."""
    return re.fullmatch(r"[Rr][1-9][0-9]*(\.[1-9][0-9]*)?", text) is not None and not Path(text).exists()


def shop_option(parser: Parser) -> None:
    """The option that names the shop's file."""
    parser.add_argument("--shop", metavar="FILE", help="the shop's file (default CULMWRIGHT_SHOP, else your own)")


def _rod_of_shop(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", help="a rod file, or its number in the shop: R7, or R7.2 its revision 2")


def _read_arguments(parser: Parser) -> None:
    _rod_of_shop(parser)
    parser.add_argument("--stage", choices=STAGES, default="rough", help="what is cut to (default rough)")
    parser.add_argument("--section", action="append", metavar="T1", help="read this section only; may be repeated")
    parser.add_argument("--strip", action="append", type=int, metavar="N", help="read this strip only; may be repeated")
    parser.add_argument(
        "--pass", dest="cut", type=int, metavar="N", help="after which pass (default: go on where it was)"
    )
    parser.add_argument(
        "--order", choices=("strips", "stations"), default="strips", help="strip by strip (default), or …"
    )
    parser.add_argument("--backward", action="store_true", help="from the last strip and station to the first")
    parser.add_argument("--from", dest="start", metavar="SPOT", help="begin at this cell, such as T1/S3@25in")
    parser.add_argument("--gauge", metavar="NAME", help="the gauge read with; a new one needs --gauge-unit")
    parser.add_argument("--gauge-unit", choices=("in", "mm"), help="what the gauge shows where it sends no unit")
    parser.add_argument("--by", metavar="NAME", help="who is reading")
    shop_option(parser)


def _read(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bench_render
    from culmwright.cli.bench_screen import keyboard, run
    from culmwright.measure.spot import Spot
    from culmwright.workshop.judging import bench_state
    from culmwright.workshop.opening import begin, the_shop
    from culmwright.workshop.reading import Inner, Order, Stage, plan_of, read
    from culmwright.workshop.starting import read_rod

    if args.cut is not None and not 1 <= args.cut <= 999:
        raise BadInput(f"{args.cut} is not a number of a pass", where="--pass", remedy="Count passes from 1")
    sections, strips = tuple(args.section or ()), tuple(args.strip or ())
    if not in_shop(args.rod):
        plan_of(read_rod(args.rod), sections, strips)  # a name mistyped begins no shop and freezes no drawing
    with the_shop(args.shop, start=not in_shop(args.rod)) as shop:
        begun = begin(shop, args.rod)
        session = read(
            shop,
            begun,
            Stage(args.stage),
            sections,
            strips,
            cut=args.cut,
            order=Order(Inner.STATIONS if args.order == "strips" else Inner.STRIPS, args.backward),
            start=None if args.start is None else Spot.parse(args.start, begun.rod.display.bare),
            gauge=args.gauge,
            gauge_unit=args.gauge_unit,
            person=args.by,
        )
        notes = begun.notes
        if args.cut is None and session.task.cut > 1 and session.armed and not session.armed.done:
            notes = (*notes, f"pass {session.task.cut - 1} is read through; this is pass {session.task.cut}")
        for warning in (*notes, *begun.rod.warnings):
            print(f"note: {args.rod}: {warning}", file=sys.stderr)
        whole = run(session, keyboard(), sys.stderr if args.json else sys.stdout, notes)
        state, walked = bench_state(shop, begun), tuple(dict.fromkeys(one.section for one in session.task.plan))
    return Answer(state, lambda: bench_render.state(state, begun.rod, walked), exit_code=0 if whole else 1)


def _log_arguments(parser: Parser) -> None:
    parser.add_argument("rod", metavar="ROD", nargs="?", help="a rod of the shop or its file; all of them, without one")
    parser.add_argument("--section", metavar="T1", help="of this section only")
    parser.add_argument("--strip", type=int, metavar="N", help="of this strip only")
    parser.add_argument("--add", metavar="WHAT", help="put an event in: soak started, drying ended, glued, noted …")
    parser.add_argument("--note", metavar="TEXT", help="words to the event")
    parser.add_argument("--ready", metavar="TIME", help="when it should be over, such as 2026-11-25T08:00")
    shop_option(parser)


def _log(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bench_render
    from culmwright.workshop.noting import EventKind, note
    from culmwright.workshop.opening import begin, find_drawn, the_shop
    from culmwright.workshop.telling import log

    if args.rod is None:
        return _rods(args)
    if args.add is None and (args.note or args.ready):
        raise BadInput("a note belongs to an event", where="--note", remedy="Add --add noted, or another event")
    if args.strip is not None and args.section is None:
        raise BadInput("a strip is named without its section", where="--strip", remedy="Add --section, such as T1")
    with the_shop(args.shop, start=args.add is not None, write=args.add is not None) as shop:
        if args.add is not None:
            kinds = {one.value: one for one in EventKind if one is not EventKind.REVISION_FROZEN}
            if args.add not in kinds:
                raise BadInput(
                    f'"{args.add}" is no event known here', where="--add", remedy=f"Write {', '.join(kinds)}"
                )
            begun = begin(shop, args.rod)
            note(
                shop,
                begun,
                kinds[args.add],
                section=args.section,
                strip=args.strip,
                words=args.note,
                ready_at=None if args.ready is None else moment("--ready", args.ready),
            )
        else:
            begun = find_drawn(shop, args.rod)
        story = log(shop, begun, args.section, args.strip)
    return Answer(story, lambda: bench_render.story(story, begun))


def _rods(args: argparse.Namespace) -> Answer:
    """The rods of the shop: number, name, and where each stands."""
    from culmwright.workshop.looking import look_at_shop
    from culmwright.workshop.opening import the_shop

    if args.section or args.strip is not None or args.add or args.note or args.ready:
        raise BadInput("the rod is missing", where="log", remedy="Name it, such as R1; log alone lists the shop's rods")
    with the_shop(args.shop, write=False) as shop:
        found = look_at_shop(shop).rods
    stands = [f"{one.stage} is next" if one.state == "none" else f"{one.stage}, {one.next}" for one in found]
    said = "\n".join(f"{one.code:<5} {one.name}: {words}" for one, words in zip(found, stands, strict=True))
    return Answer({"rods": found}, lambda: said or "No rod is in this shop yet.")


def _backup_arguments(parser: Parser) -> None:
    parser.add_argument("--to", metavar="FOLDER", help="where to keep it (default: beside the shop)")
    shop_option(parser)


def _backup(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.guarding import backup

    made = backup(args.shop, args.to)
    return Answer(made, lambda: f"The backup is in {made.path}; it was read back and holds all {made.rows} rows.")


def _restore_arguments(parser: Parser) -> None:
    parser.add_argument("backup", metavar="BACKUP", nargs="?", help="the backup's file; without one they are listed")
    parser.add_argument("--yes", action="store_true", help="even where the shop holds rows that the backup does not")
    shop_option(parser)


def _restore(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.guarding import backups_kept, restore, would_lose

    if args.backup is None:
        kept = backups_kept(args.shop)
        listed = "\n".join(f"{clock(one.at)}  {one.file}" for one in kept)
        found = f"The backups of this shop, newest first:\n\n{listed}\n\nPut one back with: culmwright restore FILE"
        return Answer({"backups": kept}, lambda: found if kept else "There is no backup of this shop yet.")
    lost = {} if args.yes else would_lose(args.backup, args.shop)
    if lost:
        _must_be_meant(sum(lost.values()), ", ".join(f"{count} in {table}" for table, count in lost.items()))
    put = restore(args.backup, args.shop)
    aside = f" What stood there is kept in {put.before}." if put.before else ""
    return Answer(put, lambda: f"The shop in {put.file} is put back with {put.rows} rows.{aside}")


def _must_be_meant(count: int, words: str) -> None:
    """Have it typed on a terminal that newer rows may go; refuse where nobody can be asked."""
    newer = f"the shop holds {count} row{'s' if count > 1 else ''} that this backup does not ({words})"
    if not sys.stdin.isatty():
        raise BadInput(newer, where="--yes", remedy="Add --yes to put the backup back all the same; a copy is kept")
    print(f"{newer[0].upper()}{newer[1:]}. A copy of it is kept beside it.", file=sys.stderr)
    print("Type restore to go on, anything else to leave all as it is: ", end="", file=sys.stderr, flush=True)
    if sys.stdin.readline().strip().lower() != "restore":
        raise AnswerIsNo("nothing was changed", remedy="The shop stands as it was")


def _export_arguments(parser: Parser) -> None:
    parser.add_argument("target", metavar="TARGET", help="a new folder for CSV files, or a new workbook FILE.xlsx")
    shop_option(parser)


def _export(args: argparse.Namespace) -> Answer:
    from culmwright.workshop.guarding import Salvaged, export

    made = export(args.target, args.shop)
    if isinstance(made, Salvaged):
        rows = sum(made.saved.values())
        lost = f"; reading broke off in {', '.join(made.broken)}" if made.broken else ""
        words = f"The shop is damaged. What could still be read, {rows} rows, is in {made.folder}{lost}."
        return Answer(made, lambda: words, exit_code=1)
    return Answer(made, lambda: f"All {made.rows} rows are in {made.path}.")


def _import_arguments(parser: Parser) -> None:
    parser.add_argument("source", metavar="SOURCE", help="a folder or workbook that export made")
    parser.add_argument(
        "--write", action="store_true", help="write it; without this only what would be written is said"
    )
    shop_option(parser)


def _import(args: argparse.Namespace) -> Answer:
    from culmwright.cli import bench_render
    from culmwright.workshop.guarding import import_

    seen = import_(args.source, args.shop, write=args.write)
    return Answer(seen, lambda: bench_render.brought(seen, written=args.write))


BENCH_VERBS = (
    Verb("read", "read strips at the bench, judged as they come", _read_arguments, _read),
    Verb("log", "what happened to a rod, and how its strips stand", _log_arguments, _log),
)
DATA_VERBS = (
    Verb("backup", "back the shop up, and prove the copy", _backup_arguments, _backup),
    Verb("restore", "put a backup back", _restore_arguments, _restore),
    Verb("export", "write everything the shop holds to CSV or a workbook", _export_arguments, _export),
    Verb("import", "read an export back", _import_arguments, _import),
)
